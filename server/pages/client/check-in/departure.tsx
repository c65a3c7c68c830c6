import { useState } from 'preact/hooks';
import { disconnectSteps } from '../../../../core/check-in/steps.ts';
import type { ShiftStay } from '../../../check-ins/shift-document.ts';
import { type Dock, shiftBase, texts } from './context.ts';

/** Disconnecting in the reverse order, and what comes back. */
export function Departure({ dock, stay }: { readonly dock: Dock; readonly stay: ShiftStay }) {
  const [missing, setMissing] = useState<readonly string[]>([]);
  const { boat, loans, stayId, place } = stay;
  const store = () =>
    dock.enter(stayId, `${texts.departure}: ${boat.name}`, {
      kind: 'departure',
      at: new Date(dock.now).toISOString(),
      shift: shiftBase(dock.shift),
      stayId,
      adaptersBack: loans.filter(({ id }) => !missing.includes(id)).map(({ id }) => ({ loanId: id, note: null })),
    });
  return (
    <section class="check-in-sheet">
      <p>
        <a href="#list">{texts.back}</a>
      </p>
      <h2>
        {texts.departure}: {boat.name} {place !== null && `· ${texts.berth(place.berthLabel)}`}
      </h2>
      <ol class="steps">
        {disconnectSteps.map(({ id, text }) => (
          <li key={id}>{text}</li>
        ))}
      </ol>
      {loans.length > 0 && (
        <fieldset class="tiles">
          <legend>{texts.adaptersBack}</legend>
          {loans.map(({ id, label }) => (
            <label key={id} class="tile">
              <input
                type="checkbox"
                checked={!missing.includes(id)}
                onChange={({ currentTarget }) =>
                  setMissing(currentTarget.checked ? missing.filter((each) => each !== id) : [...missing, id])
                }
              />
              <span>{label}</span>
            </label>
          ))}
        </fieldset>
      )}
      <div class="big-actions">
        <button type="button" onClick={store}>
          {texts.storeDeparture}
        </button>
      </div>
    </section>
  );
}

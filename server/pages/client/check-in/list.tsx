import type { ShiftStay } from '../../../check-ins/shift-document.ts';
import { type Dock, shiftBase, texts } from './context.ts';

/** The shift: who is to come, who is here, what is to be reported. */
export function List({ dock }: { readonly dock: Dock }) {
  const { shift } = dock;
  const here = shift.stays.filter(({ state }) => state === 'arrived');
  const toCome = shift.stays.filter(({ state }) => state !== 'arrived');
  return (
    <>
      <Stays dock={dock} title={texts.toCome} stays={toCome} />
      <Stays dock={dock} title={texts.here} stays={here} />
      <h2>{texts.report}</h2>
      <div class="big-actions">
        {(['outletFault', 'wrongBerth', 'trip', 'hotContact'] as const).map((kind) => (
          <a key={kind} class="button second" href={`#report=${kind}`}>
            {texts[kind]}
          </a>
        ))}
      </div>
      {shift.overdue.length > 0 && (
        <>
          <h2>{texts.overdue}</h2>
          <ul class="plain">
            {shift.overdue.map(({ id, label, boatName, dueAt, stayId }) => (
              <li key={id} class="big-row">
                <span>
                  <strong>{label}</strong> · {boatName} · {dock.time(dueAt)}
                </span>
                <button
                  type="button"
                  class="second"
                  onClick={() =>
                    dock.enter(stayId, `${label}: ${texts.isBack}`, {
                      kind: 'adapterBack',
                      at: new Date(dock.now).toISOString(),
                      shift: shiftBase(shift),
                      loanId: id,
                    })
                  }
                >
                  {texts.isBack}
                </button>
              </li>
            ))}
          </ul>
        </>
      )}
    </>
  );
}

interface StaysProps {
  readonly dock: Dock;
  readonly title: string;
  readonly stays: readonly ShiftStay[];
}

function Stays({ dock, title, stays }: StaysProps) {
  return (
    <>
      <h2>
        {title} ({stays.length})
      </h2>
      {stays.length === 0 && <p class="empty">{texts.nobody}</p>}
      <ul class="plain">
        {stays.map((stay) => (
          <StayRow key={stay.stayId} dock={dock} stay={stay} />
        ))}
      </ul>
    </>
  );
}

function StayRow({ dock, stay }: { readonly dock: Dock; readonly stay: ShiftStay }) {
  const { stayId, boat, place, state, arrival, departure, checkedIn, troubles } = stay;
  const waits = dock.store.queue().some((event) => event.stayId === stayId);
  const path = encodeURIComponent(stayId);
  return (
    <li class="big-row">
      <a class="stay-link" href={`#stay=${path}`}>
        <strong>{boat.name}</strong>
        <span>{place === null ? texts.noBerth : texts.berth(place.berthLabel)}</span>
        <span class="small">
          {state === 'arrived' ? texts.leaves(dock.time(departure)) : texts.arrives(dock.time(arrival))} ·{' '}
          {waits ? texts.stillQueued : checkedIn?.outcome ? texts.outcomes[checkedIn.outcome] : texts.notCheckedIn}
          {troubles > 0 && ` · ${texts.troubles(troubles)}`}
        </span>
      </a>
      {state === 'arrived' && (
        <a class="button second" href={`#leave=${path}`} aria-label={`${texts.departure}: ${boat.name}`}>
          {texts.departure}
        </a>
      )}
    </li>
  );
}

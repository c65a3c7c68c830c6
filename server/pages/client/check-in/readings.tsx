import { liveReadings, readingsToTake } from '../../../../core/check-in/readings.ts';
import { texts } from './context.ts';
import { typedKey } from './draft.ts';
import type { Entering } from './entering.ts';
import { outletsOf } from './facts.ts';

/** Fields for the meter: a value each, or the reason why there is none. */
export function Readings({ dock, stay, draft, change, areLive }: Entering & { readonly areLive: boolean }) {
  const used = outletsOf(dock.shift, stay).filter(({ id }) => draft.outletIds.includes(id));
  const { mandatoryReadings } = dock.shift.settings;
  const type = (key: string, part: Partial<{ value: string; because: string }>) => {
    const before = draft.typed[key] ?? { value: '', because: '' };
    change({ typed: { ...draft.typed, [key]: { ...before, ...part } } });
  };
  return (
    <>
      {used.map((outlet) => (
        <fieldset key={outlet.id} class="readings">
          <legend>
            {texts.outlet} {outlet.label}
          </legend>
          {readingsToTake(outlet)
            .filter(({ name }) => liveReadings.has(name) === areLive)
            .map((asked) => {
              const key = typedKey(asked);
              const id = `r-${key.replaceAll(/\W/g, '-')}`;
              const typed = draft.typed[key] ?? { value: '', because: '' };
              return (
                <div key={key} class="reading">
                  <label for={id}>
                    {asked.label}, {asked.unit}
                    {asked.nominal !== null && <span class="small"> ({asked.nominal})</span>}
                    {mandatoryReadings.includes(asked.name) && <span class="small"> · {texts.mandatory}</span>}
                  </label>
                  <input
                    id={id}
                    class="meter"
                    inputMode="decimal"
                    autoComplete="off"
                    value={typed.value}
                    onInput={({ currentTarget }) => type(key, { value: currentTarget.value })}
                  />
                  {typed.value.trim() === '' && (
                    <input
                      aria-label={`${asked.label}: ${texts.notMeasured}`}
                      placeholder={texts.notMeasured}
                      maxLength={200}
                      value={typed.because}
                      onInput={({ currentTarget }) => type(key, { because: currentTarget.value })}
                    />
                  )}
                </div>
              );
            })}
        </fieldset>
      ))}
      {areLive && used.length > 0 && (
        <label class="tile">
          <input
            type="checkbox"
            checked={draft.loadsOn}
            onChange={({ currentTarget }) => change({ loadsOn: currentTarget.checked })}
          />
          <span>{texts.loadsOn}</span>
        </label>
      )}
    </>
  );
}

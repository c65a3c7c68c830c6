import { type FittingLook, pointsToLookAt } from '../../../../core/check-in/fitting-points.ts';
import { texts } from './context.ts';
import type { Entering } from './entering.ts';

/** Point by point, ticked as good; a tap takes the tick away and asks what is bad. */
export function Fittings({ draft, change }: Entering) {
  const looks = new Map(draft.looks.map((look) => [look.pointId, look]));
  const put = (pointId: string, look: Omit<FittingLook, 'pointId'> | null) => {
    const others = draft.looks.filter((each) => each.pointId !== pointId);
    change({ looks: look === null ? others : [...others, { pointId, ...look }] });
  };
  return (
    <fieldset class="tiles">
      <legend>{texts.fittings}</legend>
      {pointsToLookAt(draft.adapters.length > 0).map(({ id, place, good }) => {
        const look = looks.get(id);
        return (
          <div key={id} class="fitting">
            <label class="tile">
              <input
                type="checkbox"
                checked={look === undefined}
                onChange={({ currentTarget }) => put(id, currentTarget.checked ? null : { seen: 'bad', note: null })}
              />
              <span>
                <strong>{texts.places[place]}</strong> {good}
              </span>
            </label>
            {look !== undefined && (
              <div class="fitting-bad">
                <label>
                  <input
                    type="radio"
                    name={`seen-${id}`}
                    checked={look.seen === 'bad'}
                    onChange={() => put(id, { ...look, seen: 'bad' })}
                  />
                  {texts.bad}
                </label>
                <label>
                  <input
                    type="radio"
                    name={`seen-${id}`}
                    checked={look.seen === 'notLooked'}
                    onChange={() => put(id, { ...look, seen: 'notLooked' })}
                  />
                  {texts.notLooked}
                </label>
                <input
                  aria-label={texts.whatIsBad}
                  placeholder={texts.whatIsBad}
                  maxLength={200}
                  value={look.note ?? ''}
                  onInput={({ currentTarget }) =>
                    put(id, { ...look, note: currentTarget.value === '' ? null : currentTarget.value })
                  }
                />
              </div>
            )}
          </div>
        );
      })}
    </fieldset>
  );
}

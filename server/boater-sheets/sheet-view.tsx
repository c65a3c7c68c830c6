import { Cautions } from '../pages/parts/cautions.tsx';
import { ContactPattern } from '../pages/parts/contact-pattern.tsx';
import { lengthText, momentText, type View } from '../pages/view.ts';
import type { Sheet } from './schema.ts';
import { anotherPlace, outletStaysOff } from './words.ts';

interface SheetProps {
  readonly sheet: Sheet;
  readonly view: View;
}

/** The sheet itself: one printed page. */
export function SheetView({ sheet, view }: SheetProps) {
  const { sheet: texts } = view.texts;
  const { place, changes, verdict, contact, price, terms, afterHours } = sheet;
  return (
    <article class="boater-sheet">
      <h1>{texts.title(sheet.boatName)}</h1>
      <p class="small">
        {sheet.marinaName} · {texts.issue(sheet.issue, momentText(view, sheet.issuedAt))}
      </p>
      {changes.length > 0 && (
        <section class="sheet-changes">
          <h2>{texts.changed}</h2>
          <ul>
            {changes.map((change) => (
              <li key={change}>{change}</li>
            ))}
          </ul>
        </section>
      )}
      <dl class="sheet-facts">
        <dt>{texts.berth}</dt>
        <dd>
          {place === null ? (
            texts.noBerth
          ) : (
            <>
              <strong>{texts.berthWords(place.berth, place.dock)}</strong>
              <br />
              {texts.sides[place.orientation]}
              {place.sideTo !== null && `, ${texts.sideTo[place.sideTo]}`}
            </>
          )}
        </dd>
        <dt>{texts.arrive}</dt>
        <dd>{momentText(view, sheet.arrival)}</dd>
        <dt>{texts.leave}</dt>
        <dd>{momentText(view, sheet.departure)}</dd>
        <dt>{texts.outlet}</dt>
        <dd>
          <Outlets sheet={sheet} view={view} />
        </dd>
        <dt>{texts.adapter}</dt>
        <dd>
          {sheet.adapters.length === 0
            ? texts.noAdapter
            : sheet.adapters.map(({ name, from }) => (
                <p key={`${name} ${from}`}>
                  {name}: <strong>{texts.adapterFrom[from]}</strong>
                </p>
              ))}
        </dd>
        <dt>{texts.cord}</dt>
        <dd>
          {sheet.cords.map(({ inletId, configurationId, lengthM }) => (
            <p key={inletId}>
              {texts.cordWords(configurationId, lengthM === null ? texts.cordUnknown : lengthText(view, lengthM))}
            </p>
          ))}
        </dd>
        <dt>{texts.runs}</dt>
        <dd>
          <Power sheet={sheet} view={view} />
        </dd>
      </dl>
      {sheet.needsBerth && (
        <p class="sheet-verdict">
          <strong>{anotherPlace}</strong>
        </p>
      )}
      {verdict !== null && <p class="sheet-verdict">{texts.verdicts[verdict]}</p>}
      <h2>{texts.afterHours}</h2>
      <p>
        <strong>{outletStaysOff}</strong>
      </p>
      {afterHours !== '' && <p class="as-entered">{afterHours}</p>}
      {contact !== null && (
        <p>
          {texts.contact}: <strong>{contact}</strong>
        </p>
      )}
      {price !== '' && (
        <>
          <h2>{texts.price}</h2>
          <p class="as-entered">{price}</p>
        </>
      )}
      {terms !== '' && (
        <>
          <h2>{texts.terms}</h2>
          <p class="as-entered">{terms}</p>
        </>
      )}
      <Cautions view={view} />
      <section class="no-print">
        <h2>{texts.short}</h2>
        <p class="hint">{texts.shortHint}</p>
        <p class="as-entered sheet-short">{sheet.shortText}</p>
      </section>
    </article>
  );
}

function Outlets({ sheet, view }: SheetProps) {
  const { sheet: texts } = view.texts;
  if (sheet.outlets.length === 0) return <>{texts.noOutlet}</>;
  return (
    <>
      {sheet.outlets.map(({ label, configurationId, name, side }) => (
        <div key={label} class="sheet-outlet">
          <ContactPattern configurationId={configurationId} size={96} />
          <p>
            <strong>{texts.outletWords(label, configurationId, name)}</strong>
            {side !== null && (
              <>
                <br />
                {texts.side[side]}
              </>
            )}
            <br />
            <span class="small">{texts.drawn}</span>
          </p>
        </div>
      ))}
    </>
  );
}

function Power({ sheet, view }: SheetProps) {
  const { sheet: texts } = view.texts;
  const figure = (value: number | null) => (value === null ? view.texts.common.unknown : String(Math.round(value)));
  if (sheet.power.length === 0) return <>{texts.powerUnknown}</>;
  return (
    <>
      {sheet.power.map(({ inletId, legs, availableVa }) => (
        <p key={inletId}>
          {inletId}: {legs.map(({ amperes, volts }) => texts.leg(figure(amperes), figure(volts))).join(', ')};{' '}
          {texts.inAll(figure(availableVa))}
        </p>
      ))}
      {sheet.together !== null && (
        <>
          <p>
            {texts.fits}: {sheet.together.fits.join(', ') || view.texts.common.none}
          </p>
          {sheet.together.tooMuch.length > 0 && (
            <p>
              <strong>{texts.tooMuch}:</strong> {sheet.together.tooMuch.join(', ')}
            </p>
          )}
        </>
      )}
    </>
  );
}

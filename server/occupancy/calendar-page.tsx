import { Temporal } from 'temporal-polyfill';
import { z } from 'zod';
import type { SpaceUnit } from '../../core/inventory/inventory.ts';
import { type HoldingDocument, holdingsSchema } from '../holdings/schema.ts';
import { everyRole } from '../http/access.ts';
import { inventoryId } from '../inventory/schema.ts';
import { localDayOf, localInstantAt } from '../local-time.ts';
import type { Api } from '../pages/api-door.ts';
import { definePage } from '../pages/define-page.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Empty } from '../pages/parts/table.tsx';
import { dayText, type View } from '../pages/view.ts';
import { calendarDay } from '../stays/schema.ts';
import { type CalendarRow, calendarRows, type Night, type Stretch } from './calendar.ts';
import { occupancySchema } from './occupancy-schema.ts';

const nightsShown = 10;
/** A longer dock is shown part by part: a page stays light, and a part can be taken in. */
const rowsShown = 50;
/** Who is there in the evening or in the morning is there for the night. */
const [evening, morning] = ['18:00', '06:00'];

/** Berth space over the nights to come, dock by dock, with holders who are away. */
export const calendarPage = definePage({
  url: '/marinas/:marinaId/calendar',
  roles: everyRole,
  query: z.strictObject({
    from: calendarDay.optional(),
    dock: inventoryId.optional(),
    part: z.coerce.number().int().min(1).max(1_000).default(1),
  }),
  show: async ({ api, view, query, now, principal }) => {
    const { index } = await inventoryOf(api);
    const first = query.from ?? localDayOf(now, view.timeZone);
    const dock = index.docks.get(query.dock ?? '') ?? index.inventory.docks[0];
    const { desk } = view.texts;
    const nights = nightsFrom(first, view.timeZone);
    const units = index.inventory.spaceUnits.filter((unit) => unit.dockId === dock?.id);
    const start = Math.min(query.part - 1, Math.max(0, Math.ceil(units.length / rowsShown) - 1)) * rowsShown;
    return {
      kind: 'page',
      section: 'calendar',
      title: desk.calendar,
      wide: true,
      body: (
        <>
          <h1>{dock === undefined ? desk.calendar : desk.calendarOf(dock.label)}</h1>
          {dock === undefined ? (
            <Empty>{desk.noDocks}</Empty>
          ) : (
            <>
              <CalendarForm
                view={view}
                docks={index.inventory.docks}
                dockId={dock.id}
                first={first}
                units={units}
                start={start}
              />
              <Calendar
                view={view}
                base={`/marinas/${principal.marinaId}`}
                nights={nights}
                rows={calendarRows(index, units.slice(start, start + rowsShown), nights, {
                  spaces: await spacesOf(api, dock.id, nights),
                  holdings: await holdingsOf(api),
                })}
              />
            </>
          )}
        </>
      ),
    };
  },
});

function nightsFrom(first: string, timeZone: string): Night[] {
  const day = Temporal.PlainDate.from(first);
  return Array.from({ length: nightsShown }, (_, position) => {
    const [from, until] = [day.add({ days: position }), day.add({ days: position + 1 })].map(String);
    return {
      from: Date.parse(localInstantAt(from ?? first, evening, timeZone)),
      until: Date.parse(localInstantAt(until ?? first, morning, timeZone)),
    };
  });
}

async function spacesOf(api: Api, dockId: string, nights: readonly Night[]) {
  const [first, last] = [nights[0], nights.at(-1)];
  if (first === undefined || last === undefined) return [];
  const query = { dockId, from: new Date(first.from).toISOString(), until: new Date(last.until).toISOString() };
  return (await api.ask('listOccupancy', occupancySchema, { query })).body.spaces;
}

async function holdingsOf(api: Api): Promise<HoldingDocument[]> {
  const found: HoldingDocument[] = [];
  for (let cursor: string | null | undefined; cursor !== null; ) {
    const page = await api.ask('listHoldings', holdingsSchema, { query: { limit: '200', cursor } });
    found.push(...page.body.items);
    cursor = page.nextCursor;
  }
  return found;
}

interface CalendarFormProps {
  readonly view: View;
  readonly docks: readonly { readonly id: string; readonly label: string }[];
  readonly dockId: string;
  readonly first: string;
  /** Of the dock. */
  readonly units: readonly SpaceUnit[];
  /** Position of the first that is shown. */
  readonly start: number;
}

function CalendarForm({ view, docks, dockId, first, units, start }: CalendarFormProps) {
  const { desk } = view.texts;
  const day = Temporal.PlainDate.from(first);
  const part = start / rowsShown;
  const at = (days: number) => `?dock=${dockId}&from=${day.add({ days })}${part === 0 ? '' : `&part=${part + 1}`}`;
  const firsts = units.filter((_, position) => position % rowsShown === 0);
  const lastOf = (position: number) => units[Math.min((position + 1) * rowsShown, units.length) - 1]?.label ?? '';
  return (
    <form class="inline-form no-print">
      <p class="field">
        <label for="f-dock">{desk.dockPick}</label>
        <select id="f-dock" name="dock">
          {docks.map(({ id, label }) => (
            <option key={id} value={id} selected={id === dockId}>
              {label}
            </option>
          ))}
        </select>
      </p>
      {firsts.length > 1 && (
        <p class="field">
          <label for="f-part">{desk.berths}</label>
          <select id="f-part" name="part">
            {firsts.map(({ id, label }, position) => (
              <option key={id} value={String(position + 1)} selected={position === part}>
                {desk.partOf(label, lastOf(position))}
              </option>
            ))}
          </select>
        </p>
      )}
      <p class="field">
        <label for="f-from">{desk.firstNight}</label>
        <input id="f-from" type="date" name="from" value={first} />
      </p>
      <button type="submit" class="second">
        {desk.show}
      </button>
      <p class="actions">
        <a href={at(-nightsShown)}>{desk.nightsBefore(nightsShown)}</a>
        <a href={at(nightsShown)}>{desk.nightsAfter(nightsShown)}</a>
      </p>
    </form>
  );
}

interface CalendarProps {
  readonly view: View;
  readonly base: string;
  readonly nights: readonly Night[];
  readonly rows: readonly CalendarRow[];
}

function Calendar({ view, base, nights, rows }: CalendarProps) {
  const { desk } = view.texts;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: who has no mouse scrolls it by keys
    <section class="scroll" tabIndex={0} aria-label={desk.calendar}>
      <table class="calendar">
        <caption class="hidden">{desk.calendar}</caption>
        <thead>
          <tr>
            <th scope="col">{desk.berth}</th>
            {nights.map(({ from }) => (
              <th key={from} scope="col">
                {dayText(view, from)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(({ unit, stretches }) => (
            <tr key={unit.id}>
              <th scope="row">{unit.label}</th>
              {stretches.map((stretch, position) => (
                <StretchCell key={position} view={view} base={base} stretch={stretch} />
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function StretchCell({
  view,
  base,
  stretch,
}: {
  readonly view: View;
  readonly base: string;
  readonly stretch: Stretch;
}) {
  const { desk } = view.texts;
  const { nights, spaces, away } = stretch;
  const kind = spaces[0]?.by.kind ?? 'free';
  return (
    <td colSpan={nights} class={`nights ${kind}`}>
      {spaces.length === 0 && <span class="free">{desk.free}</span>}
      {spaces.map(({ by, fromM, overdueSince }) => (
        <span key={`${by.id} ${fromM}`} class="who">
          {by.stayId === null ? by.label : <a href={`${base}/stays/${by.stayId}`}>{by.label}</a>}
          {overdueSince !== null && ` · ${desk.notSeenToLeave}`}
          {by.kind === 'outOfService' && ` · ${desk.outletUses.outOfService}`}
        </span>
      ))}
      {away.map(({ id, holderName }) => (
        <span key={id} class="away">
          {desk.away(holderName)}
        </span>
      ))}
    </td>
  );
}

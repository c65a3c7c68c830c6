import { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Berth, Outlet } from '../../core/inventory/inventory.ts';
import { configuration } from '../../core/standards/configurations.ts';
import { Problem } from '../errors.ts';
import { groupBy } from '../group-by.ts';
import { everyRole } from '../http/access.ts';
import { id } from '../http/fields.ts';
import { inventoryId } from '../inventory/schema.ts';
import { occupancySchema } from '../occupancy/occupancy-schema.ts';
import { definePage } from '../pages/define-page.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { LineWeight, OutletSymbol, type OutletUse } from '../pages/parts/symbols.tsx';
import { lengthText, momentText, type View } from '../pages/view.ts';
import { configurationText } from '../pages/words.ts';
import { type DockLine, dockDiagram, type Tap } from './dock-diagram.ts';
import { demandAt, SupplyTree } from './docks-page.tsx';
import { LoadText } from './load-text.tsx';
import { MomentForm, momentOf, momentQuery } from './moment-form.tsx';
import type { PartLoad } from './part-load.ts';

type Occupancy = z.output<typeof occupancySchema>;
type User = Occupancy['spaces'][number]['by'];

/** One dock as the single-line diagram that it is, at any moment. */
export const dockPage = definePage({
  url: '/marinas/:marinaId/docks/:dockId',
  roles: everyRole,
  params: z.strictObject({ marinaId: id, dockId: inventoryId }),
  query: z.strictObject(momentQuery),
  show: async ({ api, view, params, query, now, principal }) => {
    const at = momentOf(query.at, now, view.timeZone);
    const { index } = await inventoryOf(api);
    const dock = index.docks.get(params.dockId);
    if (dock === undefined) throw new Problem('not-found', `There is no dock "${params.dockId}".`);
    const loads = await demandAt(api, at);
    const { body: occupancy } = await api.ask('listOccupancy', occupancySchema, {
      query: { at: new Date(at).toISOString() },
    });
    const diagram = dockDiagram(index, dock.id);
    const { desk } = view.texts;
    const base = `/marinas/${principal.marinaId}`;
    const drawing = { view, index, base, users: usersOf(occupancy), outletUsers: outletUsersOf(occupancy) };
    return {
      kind: 'page',
      section: 'docks',
      title: desk.dock(dock.label),
      scripts: ['partial'],
      body: (
        <>
          <h1>{desk.dock(dock.label)}</h1>
          <MomentForm view={view} at={at} now={now} path={`${base}/docks/${dock.id}`} />
          <div id="drawing">
            <p class="lead">
              {momentText(view, at)}. {desk.lineWeight}
            </p>
            <p>
              <a href={`${base}/docks/${dock.id}/volts?at=${query.at ?? ''}`}>{view.texts.manage.voltsLink}</a>
            </p>
            <SupplyTree view={view} parts={diagram.supply} loads={loads} base={base} />
            {diagram.lines.map((line) => (
              <Line key={line.part.id} line={line} load={loads.get(line.part.id)} {...drawing} />
            ))}
            {diagram.others.length > 0 && (
              <section>
                <h2>{desk.alongside}</h2>
                <ul class="plain">
                  {diagram.others.map((berth) => (
                    <li key={berth.id} class="berth">
                      <BerthText berth={berth} {...drawing} />
                    </li>
                  ))}
                </ul>
              </section>
            )}
            <p class="small legend">
              <OutletSymbol use="inUse" /> {desk.outletUses.inUse} <OutletSymbol use="free" /> {desk.outletUses.free}{' '}
              <OutletSymbol use="outOfService" /> {desk.outletUses.outOfService}
            </p>
          </div>
          <Cautions view={view} />
        </>
      ),
    };
  },
});

interface Drawing {
  readonly view: View;
  readonly index: InventoryIndex;
  readonly base: string;
  readonly users: ReadonlyMap<string, Occupancy['spaces']>;
  readonly outletUsers: ReadonlyMap<string, User>;
}

function usersOf({ spaces }: Occupancy): Map<string, Occupancy['spaces']> {
  return groupBy(spaces, ({ unitId }) => unitId);
}

function outletUsersOf({ outlets }: Occupancy): Map<string, User> {
  return new Map(outlets.map(({ outletId, by }) => [outletId, by]));
}

/** One feeder with its limit at its head and its pedestals in order; the line thins as load leaves it. */
function Line({ line, load, ...drawing }: Drawing & { readonly line: DockLine; readonly load: PartLoad | undefined }) {
  const { view, base } = drawing;
  const { part, taps } = line;
  const share = load?.share ?? null;
  const all = usedA(taps, drawing.outletUsers);
  return (
    <section class="dock-line" aria-labelledby={`line-${part.id}`}>
      <SupplyHead view={view} part={part} load={load} href={`${base}/load/${part.id}`} />
      <ol class="taps">
        {taps.map((tap, position) => {
          const below = usedA(taps.slice(position), drawing.outletUsers);
          return (
            <TapItem
              key={tap.pedestal.id}
              tap={tap}
              share={share === null ? null : all === 0 ? 0 : (share * below) / all}
              {...drawing}
            />
          );
        })}
      </ol>
    </section>
  );
}

function SupplyHead({
  view,
  part,
  load,
  href,
}: {
  readonly view: View;
  readonly part: DockLine['part'];
  readonly load: PartLoad | undefined;
  readonly href: string;
}) {
  return (
    <h2 id={`line-${part.id}`} class="line-head">
      <a href={href}>{part.label}</a> <span class="small">{load && <LoadText view={view} load={load} />}</span>
    </h2>
  );
}

/** Ratings of the outlets in use, A. */
function usedA(taps: readonly Tap[], users: Drawing['outletUsers']): number {
  let sum = 0;
  for (const { outlets } of taps) {
    for (const { id: outletId, configurationId } of outlets) {
      if (isUsed(users.get(outletId))) sum += configuration(configurationId)?.ratedA ?? 0;
    }
  }
  return sum;
}

function isUsed(user: User | undefined): boolean {
  return user !== undefined && user.kind !== 'outOfService';
}

function TapItem({ tap, share, ...drawing }: Drawing & { readonly tap: Tap; readonly share: number | null }) {
  const [left, ...right] = tap.berths;
  return (
    <li class="pedestal">
      <span class="berth left">{left && <BerthText berth={left} {...drawing} />}</span>
      <span class="trunk">
        <LineWeight share={share} />
        <span class="designation">{tap.pedestal.label}</span>
      </span>
      <span class="right">
        <span class="outlets">
          {tap.outlets.map((outlet) => (
            <OutletMark key={outlet.id} outlet={outlet} {...drawing} />
          ))}
        </span>
        {right.map((berth) => (
          <span key={berth.id} class="berth">
            <BerthText berth={berth} {...drawing} />
          </span>
        ))}
      </span>
    </li>
  );
}

function OutletMark({ view, outlet, outletUsers }: Drawing & { readonly outlet: Outlet }) {
  const { desk } = view.texts;
  const user = outletUsers.get(outlet.id);
  const use: OutletUse = user === undefined ? 'free' : user.kind === 'outOfService' ? 'outOfService' : 'inUse';
  const rating = configuration(outlet.configurationId)?.ratedA ?? outlet.configurationId;
  const words = `${outlet.label}, ${configurationText(outlet.configurationId)}: ${desk.outletUses[use]}`;
  return (
    <span class={`outlet ${use}`} title={user === undefined ? words : `${words}, ${user.label}`}>
      <OutletSymbol use={use} />
      {outlet.label} {rating}
      <span class="hidden">
        {' '}
        {user === undefined ? desk.outletUses[use] : `${desk.outletUses[use]}, ${user.label}`}
      </span>
    </span>
  );
}

function BerthText({ view, base, users, berth }: Drawing & { readonly berth: Berth }) {
  const { desk } = view.texts;
  const here = (users.get(berth.unitIds[0] ?? '') ?? []).filter(({ fromM, untilM }) => {
    if (berth.faceFromM === null || berth.faceUntilM === null || fromM === null || untilM === null) return true;
    return fromM < berth.faceUntilM && untilM > berth.faceFromM;
  });
  return (
    <>
      <span class="designation">{berth.label}</span>{' '}
      {here.length === 0 ? (
        <span class="free">{desk.free}</span>
      ) : (
        here.map(({ by, fromM, untilM }) => (
          <span key={`${by.id} ${fromM}`} class="who">
            {by.stayId === null ? by.label : <a href={`${base}/stays/${by.stayId}`}>{by.label}</a>}
            {by.kind === 'holding' && <span class="small"> · {desk.holder}</span>}
            {by.kind === 'outOfService' && <strong> · {desk.outletUses.outOfService}</strong>}
            {fromM !== null && untilM !== null && (
              <span class="small"> · {desk.metresFromTo(lengthText(view, fromM), lengthText(view, untilM))}</span>
            )}
          </span>
        ))
      )}
    </>
  );
}

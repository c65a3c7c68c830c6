import { z } from 'zod';
import type { Equipment } from '../../core/inventory/inventory.ts';
import { groupBy } from '../group-by.ts';
import { everyRole } from '../http/access.ts';
import { nextLocalHour } from '../local-time.ts';
import type { Api } from '../pages/api-door.ts';
import { definePage } from '../pages/define-page.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { EquipmentSymbol, LineWeight } from '../pages/parts/symbols.tsx';
import { Empty, Table } from '../pages/parts/table.tsx';
import { momentText, type View } from '../pages/view.ts';
import { LoadText } from './load-text.tsx';
import { MomentForm, momentOf, momentQuery } from './moment-form.tsx';
import { type PartLoad, partLoads, tightestFirst } from './part-load.ts';
import { demandSchema } from './schema.ts';

const nightEndsAtHour = 8;
const shownTightest = 5;

/** The whole marina on one line, from the service to its docks, and where tonight is tightest. */
export const docksPage = definePage({
  url: '/marinas/:marinaId/docks',
  roles: everyRole,
  query: z.strictObject(momentQuery),
  show: async ({ api, view, query, now, principal }) => {
    const at = momentOf(query.at, now, view.timeZone);
    const { index } = await inventoryOf(api);
    const atMoment = await demandAt(api, at);
    const tonight = await demandOver(api, now, nextLocalHour(now, nightEndsAtHour, view.timeZone));
    const { desk } = view.texts;
    const base = `/marinas/${principal.marinaId}`;
    const tightest = tightestFirst(tonight.values()).slice(0, shownTightest);
    return {
      kind: 'page',
      section: 'docks',
      title: desk.docks,
      body: (
        <>
          <h1>{desk.docks}</h1>
          <MomentForm view={view} at={at} now={now} />
          {index.inventory.docks.length === 0 ? (
            <Empty>{desk.noDocks}</Empty>
          ) : (
            <ul class="plain actions">
              {index.inventory.docks.map(({ id, label }) => (
                <li key={id}>
                  <a class="button second" href={`${base}/docks/${id}?at=${encodeURIComponent(query.at ?? '')}`}>
                    {desk.dock(label)}
                  </a>
                </li>
              ))}
            </ul>
          )}
          <h2>{desk.supplyAt(momentText(view, at))}</h2>
          <SupplyTree
            view={view}
            parts={index.inventory.equipment.filter(({ kind }) => kind !== 'branchCircuit')}
            loads={atMoment}
            base={base}
          />
          <h2>{desk.tonight}</h2>
          <Table
            caption={desk.tonight}
            rows={tightest}
            keyOf={({ part }) => part.equipmentId}
            empty={desk.noLimits}
            columns={[
              {
                head: desk.part,
                heads: true,
                cell: ({ part }) => <a href={`${base}/load/${part.equipmentId}`}>{part.label}</a>,
              },
              { head: desk.loadAndLimit, cell: (load) => <LoadText view={view} load={load} /> },
              { head: desk.at, cell: ({ tightest: limit }) => (limit === null ? '' : momentText(view, limit.at)) },
            ]}
          />
          <Cautions view={view} />
        </>
      ),
    };
  },
});

export async function demandAt(api: Api, at: number) {
  const query = { at: new Date(at).toISOString() };
  return partLoads((await api.ask('readDemand', demandSchema, { query })).body);
}

async function demandOver(api: Api, from: number, until: number) {
  const query = { from: new Date(from).toISOString(), until: new Date(until).toISOString() };
  return partLoads((await api.ask('readDemand', demandSchema, { query })).body);
}

interface TreeProps {
  readonly view: View;
  /** Those drawn. */
  readonly parts: readonly Equipment[];
  readonly loads: ReadonlyMap<string, PartLoad>;
  readonly base: string;
}

/** Parts hanging off what feeds them, from the service down: symbol, name, load and limit of each. */
export function SupplyTree({ view, parts, loads, base }: TreeProps) {
  const drawn = new Set(parts.map(({ id }) => id));
  const children = groupBy(parts, ({ parentId }) => (parentId !== null && drawn.has(parentId) ? parentId : null));
  const draw = (parentId: string | null) => {
    const below = children.get(parentId) ?? [];
    if (below.length === 0) return null;
    return (
      <ul class={parentId === null ? 'tree' : undefined}>
        {below.map((part) => (
          <li key={part.id}>
            <div class="supply">
              <span class="supply-line">
                <LineWeight share={loads.get(part.id)?.share ?? null} />
                <EquipmentSymbol kind={part.kind} />
              </span>
              <span class="supply-text">
                <a href={`${base}/load/${part.id}`}>{part.label}</a>
                <br />
                <LoadOf view={view} load={loads.get(part.id)} />
              </span>
            </div>
            {draw(part.id)}
          </li>
        ))}
      </ul>
    );
  };
  return draw(null);
}

function LoadOf({ view, load }: { readonly view: View; readonly load: PartLoad | undefined }) {
  return load === undefined ? null : <LoadText view={view} load={load} />;
}

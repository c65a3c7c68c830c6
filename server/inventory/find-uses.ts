import type { Finding, RuleName, Subject } from '../../core/findings.ts';
import type { InventoryDifference } from '../../core/inventory/change.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { openEnd } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import { Problem } from '../errors.ts';
import { localTime, localTimestamp } from '../local-time.ts';

type UsedKind = 'spaceUnit' | 'outlet' | 'berth' | 'stock';

interface Use {
  readonly kind: UsedKind;
  readonly id: string;
  /** Who uses it: a boat, a holder, the reason it is out of service. */
  readonly by: string;
  /** End of the last such use, epoch milliseconds. */
  readonly until: number;
}

const ofUse = `LEFT JOIN assignment a ON a.marina_id = u.marina_id AND a.id = u.assignment_id
    LEFT JOIN stay s ON s.marina_id = a.marina_id AND s.id = a.stay_id
    LEFT JOIN boat b ON b.marina_id = s.marina_id AND b.id = s.boat_id`;
const others = `LEFT JOIN holding h ON h.marina_id = u.marina_id AND h.id = u.holding_id
    LEFT JOIN out_of_service o ON o.marina_id = u.marina_id AND o.id = u.out_of_service_id`;
const notOver = `u.marina_id = $1 AND u.until_at > to_timestamp($2::float8 / 1000)`;
const byAnyone = `coalesce('the boat ' || b.name, 'the holder ' || h.holder_name, 'out of service: ' || o.reason)`;
const groupOf = `LEFT JOIN stay_group g ON g.marina_id = u.marina_id AND g.id = u.group_id`;

// A berth is used by whoever was given it; the units alone do not say which of several berths that was.
const statement = `SELECT kind, id, used_by AS by, (extract(epoch FROM max(until_at)) * 1000)::float8 AS until FROM (
    SELECT 'spaceUnit' AS kind, u.unit_id AS id, coalesce(${byAnyone}, 'the group ' || g.name) AS used_by, u.until_at
      FROM space_use u ${ofUse} ${others} ${groupOf}
      WHERE ${notOver} AND u.unit_id = ANY($3)
    UNION ALL
    SELECT 'outlet', u.outlet_id, ${byAnyone}, u.until_at FROM outlet_use u ${ofUse} ${others}
      WHERE ${notOver} AND u.outlet_id = ANY($4)
    UNION ALL
    SELECT 'berth', a.berth_id, 'the boat ' || b.name, u.until_at FROM space_use u ${ofUse}
      WHERE ${notOver} AND a.berth_id = ANY($5)
    UNION ALL
    SELECT 'berth', u.berth_id, 'the holder ' || u.holder_name, u.until_at FROM holding u
      WHERE ${notOver} AND u.berth_id = ANY($5)
    UNION ALL
    SELECT 'berth', berth.id, 'the group ' || u.name, u.until_at FROM stay_group u
      JOIN LATERAL jsonb_array_elements_text(u.berth_ids) AS berth(id) ON berth.id = ANY($5)
      WHERE ${notOver} AND u.released_at IS NULL
    UNION ALL
    SELECT 'stock', u.stock_id, 'the boat ' || b.name, u.until_at FROM stock_use u ${ofUse}
      WHERE ${notOver} AND u.stock_id = ANY($6)
  ) found GROUP BY kind, id, used_by ORDER BY kind, id, until, used_by LIMIT 100`;

/**
 * Throws `in-use` where something that the change removes is used at `now` or later: the findings name each thing, who
 * uses it and until when. A unit of space that becomes a face, or no face any more, counts as removed: what is stored
 * on it is measured in other metres, so that the database could not tell a double use.
 */
export async function requireUnused(
  db: Tx,
  marinaId: string,
  before: Inventory,
  after: Inventory,
  { collections }: InventoryDifference,
  now: number,
): Promise<void> {
  const { spaceUnits, outlets, berths, adapterStock } = collections;
  const ids = [
    [...spaceUnits.removed, ...remeasured(before, after)],
    [...outlets.removed],
    [...berths.removed],
    [...adapterStock.removed],
  ];
  if (ids.every((removed) => removed.length === 0)) return;
  const uses = await db.$queryRawUnsafe<Use[]>(statement, marinaId, now, ...ids);
  const findings = uses.map((use) => findingOf(use, before));
  const [first] = findings;
  if (first === undefined) return;
  const more = findings.length > 1 ? ` (and ${findings.length - 1} more uses)` : '';
  throw new Problem('in-use', `${first.message}${more}`, { findings });
}

/** Units of space that are let by the metre on one side only. */
function remeasured(before: Inventory, after: Inventory): string[] {
  const wasFace = new Map(before.spaceUnits.map(({ id, kind }) => [id, kind === 'face']));
  return after.spaceUnits
    .filter(({ id, kind }) => wasFace.has(id) && wasFace.get(id) !== (kind === 'face'))
    .map(({ id }) => id);
}

function findingOf(use: Use, before: Inventory): Finding {
  const { rule, subject, noun } = describe(use, before);
  const until = use.until >= openEnd ? 'an open end' : localTime(use.until, before.timeZone);
  return {
    rule,
    level: 'refuse',
    subject,
    actual: use.until >= openEnd ? null : localTimestamp(use.until, before.timeZone),
    limit: null,
    unit: null,
    source: 'what is in use is kept',
    message: `${noun} "${subject.label}" cannot be removed or change its kind: it is in use until ${until} (${use.by}). End that use first, or remove it afterwards.`,
    mend: 'the end of its use',
  };
}

function describe(
  { kind, id }: Use,
  inventory: Inventory,
): { readonly rule: RuleName; readonly subject: Subject; readonly noun: string } {
  const labelIn = (items: readonly { readonly id: string; readonly label: string }[]) =>
    items.find((item) => item.id === id)?.label ?? id;
  switch (kind) {
    case 'spaceUnit':
      return { rule: 'space.inUse', subject: { kind, id, label: labelIn(inventory.spaceUnits) }, noun: 'Space unit' };
    case 'berth':
      return { rule: 'space.inUse', subject: { kind, id, label: labelIn(inventory.berths) }, noun: 'Berth' };
    case 'outlet':
      return { rule: 'outlet.inUse', subject: { kind, id, label: outletLabel(id, inventory) }, noun: 'Outlet' };
    case 'stock':
      return {
        rule: 'stock.inUse',
        subject: { kind: 'adapter', id, label: labelIn(inventory.adapterStock) },
        noun: 'Adapter stock',
      };
  }
}

/** Pedestal and outlet as people call it: `A1-B`. */
function outletLabel(id: string, { outlets, pedestals }: Inventory): string {
  const outlet = outlets.find((each) => each.id === id);
  const pedestal = pedestals.find((each) => each.id === outlet?.pedestalId);
  return [pedestal?.label, outlet?.label ?? id].filter((part) => part !== undefined).join('-');
}

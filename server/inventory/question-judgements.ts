import { isDeepStrictEqual } from 'node:util';
import type { Finding } from '../../core/findings.ts';
import type { InventoryDifference } from '../../core/inventory/change.ts';
import { indexInventory } from '../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { unconfirm } from '../assignments/unconfirm.ts';
import type { Tx } from '../db/client.ts';
import { localTimestamp } from '../local-time.ts';

const condition = `a.berth_id = ANY($4::text[])
  OR EXISTS (SELECT 1 FROM outlet_use u WHERE u.marina_id = a.marina_id AND u.assignment_id = a.id
    AND u.outlet_id = ANY($5::text[]))
  OR EXISTS (SELECT 1 FROM stock_use u WHERE u.marina_id = a.marina_id AND u.assignment_id = a.id
    AND u.stock_id = ANY($6::text[]))
  OR EXISTS (SELECT 1 FROM jsonb_array_elements(a.hook_up #> '{connection,hookUp,adapters}') adapter
    WHERE adapter ->> 'kindId' = ANY($7::text[]))`;

/**
 * Places were judged on the marina as it was entered then. Where a berth, an outlet, what feeds it, an adapter kind, a
 * stock or a setting that judges has changed since, other than in its label, what was judged on it is confirmed no more.
 */
export async function questionJudgements(
  tx: Tx,
  marinaId: string,
  before: Inventory,
  after: Inventory,
  { collections }: InventoryDifference,
  now: number,
): Promise<void> {
  const berthIds = isJudgedOtherwise(before, after, collections)
    ? after.berths.map(({ id }) => id)
    : judgedAnew(before.berths, after.berths, collections.berths.changed);
  const stockIds = judgedAnew(before.adapterStock, after.adapterStock, collections.adapterStock.changed);
  const kindIds = judgedAnew(before.adapterKinds, after.adapterKinds, collections.adapterKinds.changed);
  const outletIds = outletsTouched(before, after, collections);
  if (berthIds.length + stockIds.length + kindIds.length + outletIds.length === 0) return;
  await unconfirm(tx, marinaId, now, inventoryChanged(marinaId, after, now), {
    condition,
    values: [berthIds, outletIds, stockIds, kindIds],
  });
}

/** Whether a setting, a practice or a dock that judgements rest on has changed, for all berths alike. */
function isJudgedOtherwise(
  before: Inventory,
  after: Inventory,
  collections: InventoryDifference['collections'],
): boolean {
  const docks = judgedAnew(before.docks, after.docks, collections.docks.changed);
  const judging = ({ settings }: Inventory) => {
    // Hours, notice and turnover time judge nothing.
    const {
      arrivalHour: _,
      departureHour: _departure,
      noShowHour: _noShow,
      recallNoticeHours: _notice,
      turnoverMinutes: _turnover,
      ...rest
    } = settings;
    return rest;
  };
  return docks.length + collections.practices.changed.length > 0 || !isDeepStrictEqual(judging(before), judging(after));
}

/** Outlets that have changed, or whose pedestal or anything above them has. */
function outletsTouched(
  before: Inventory,
  after: Inventory,
  { outlets, pedestals, equipment }: InventoryDifference['collections'],
): string[] {
  const own = new Set(judgedAnew(before.outlets, after.outlets, outlets.changed));
  const ofPedestals = new Set(judgedAnew(before.pedestals, after.pedestals, pedestals.changed));
  const feeding = judgedAnew(before.equipment, after.equipment, equipment.changed);
  if (own.size + ofPedestals.size + feeding.length === 0) return [];
  const { outletsBelow } = indexInventory(after);
  for (const { id, pedestalId } of after.outlets) if (ofPedestals.has(pedestalId)) own.add(id);
  for (const id of feeding) for (const outlet of outletsBelow.get(id) ?? []) own.add(outlet.id);
  return [...own];
}

function judgedAnew<Item extends { readonly id: string }>(
  before: readonly Item[],
  after: readonly Item[],
  changed: readonly string[],
): string[] {
  const old = new Map(before.map((item) => [item.id, item]));
  const present = new Map(after.map((item) => [item.id, item]));
  // Neither labels nor the side of a finger pier are judged.
  const unlabelled = (item: Item | undefined) => ({ ...item, label: '', fingerOn: null });
  return changed.filter((id) => !isDeepStrictEqual(unlabelled(old.get(id)), unlabelled(present.get(id))));
}

function inventoryChanged(marinaId: string, { name, timeZone }: Inventory, now: number): Finding {
  const subject = { kind: 'marina', id: marinaId, label: name } as const;
  return {
    rule: 'hookup.inventoryChanged',
    level: 'confirm',
    subject,
    actual: localTimestamp(now, timeZone),
    limit: null,
    unit: null,
    source: 'what is unknown is unconfirmed',
    message:
      'The berth, its outlets, what feeds them, an adapter or a setting changed after this place was judged. Judge it again: move the stay to the same berth or to another.',
    missingFact: {
      subject,
      fact: 'judgement',
      question: 'Does this place still hold with the marina as it is now? Judge it again.',
    },
  };
}

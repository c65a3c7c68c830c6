import { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Period } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import { heldOutlets } from '../holdings/schema.ts';
import type { Touched } from '../occupancy/derived-uses.ts';
import type { Image, KeptRow } from './kept-rows.ts';

/** Space and outlets that an undo touches, with the time over which it does. */
export interface ClaimsTouched extends Touched {
  readonly until: number;
  /** Whether holders, absences, groups or closings come back or go: somebody may have been placed since, on what they leave. */
  readonly hasClaims: boolean;
}

const claimTables: ReadonlySet<string> = new Set(['holding', 'absence', 'out_of_service', 'stay_group']);
const storedIds = z.array(z.string());

/** Everything whose derived rows must be derived anew, from the rows as they were and as they are. */
export async function claimsTouched(
  tx: Tx,
  marinaId: string,
  index: InventoryIndex,
  rows: readonly KeptRow[],
): Promise<ClaimsTouched> {
  const unitIds = new Set<string>();
  const outletIds = new Set<string>();
  const periods: Period[] = [];
  let hasClaims = false;
  const holdings: Image[] = [];
  const blockBerthIds = new Set<string>();
  for (const { table, before, after } of rows) {
    for (const image of [before, after]) {
      if (image === null || table === 'boat' || table === 'stay' || table === 'stock_use') continue;
      periods.push({ from: momentIn(image, 'from_at'), until: momentIn(image, 'until_at') });
      if (typeof image.unit_id === 'string') unitIds.add(image.unit_id);
      if (typeof image.outlet_id === 'string') outletIds.add(image.outlet_id);
      if (table === 'holding') holdings.push(image);
      if (table === 'stay_group') {
        for (const berthId of storedIds.parse(image.berth_ids)) blockBerthIds.add(berthId);
      }
      if (table === 'absence') {
        const where = { marinaId_id: { marinaId, id: String(image.holding_id) } };
        const holding = await tx.holding.findUnique({ where });
        if (holding !== null) holdings.push({ berth_id: holding.berthId, outlets: holding.outlets });
      }
      hasClaims ||= claimTables.has(table);
    }
  }
  for (const { berth_id: berthId, outlets } of holdings) {
    for (const unitId of index.berths.get(String(berthId))?.unitIds ?? []) unitIds.add(unitId);
    for (const { outletId } of heldOutlets.parse(outlets)) outletIds.add(outletId);
  }
  for (const berthId of blockBerthIds) {
    for (const unitId of index.berths.get(berthId)?.unitIds ?? []) unitIds.add(unitId);
  }
  return {
    unitIds: [...unitIds],
    outletIds: [...outletIds],
    since: Math.min(...periods.map(({ from }) => from)),
    until: Math.max(...periods.map(({ until }) => until)),
    hasClaims,
  };
}

export function momentIn(image: Image, column: string): number {
  const at = Date.parse(String(image[column]));
  if (Number.isNaN(at)) throw new Error(`a kept row has no moment in "${column}"`);
  return at;
}

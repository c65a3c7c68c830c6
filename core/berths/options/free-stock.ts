import type { AvailableAdapter } from '../../electrical/hook-up/available-adapter.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import { overlaps, type Period } from '../../periods.ts';
import type { StockUse } from '../occupancy.ts';

/** Adapters of the dock that are free for the whole period: the stock less the most that is out at any one moment. */
export function freeStock(index: InventoryIndex, uses: readonly StockUse[], period: Period): AvailableAdapter[] {
  return index.inventory.adapterStock.map(({ id, adapterKindId, quantity }) => ({
    kindId: adapterKindId,
    from: 'stock',
    stockId: id,
    quantity: Math.max(0, quantity - mostOut(uses.filter((use) => use.stockId === id && overlaps(use, period)))),
  }));
}

/** Uses only begin to add up where one begins, so these moments are enough. */
function mostOut(uses: readonly StockUse[]): number {
  let most = 0;
  for (const { from } of uses) {
    let out = 0;
    for (const use of uses) if (use.from <= from && from < use.until) out += use.quantity;
    most = Math.max(most, out);
  }
  return most;
}

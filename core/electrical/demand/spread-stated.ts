import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import { loadModel } from './load-model.ts';

/**
 * What each outlet of a hook-up carries of what its boat says it draws in all, VA, spread by rating as admission spreads
 * it; null (the rating counts) where nobody said, or where a rating is unknown.
 */
export function spreadStatedVa(
  index: InventoryIndex,
  outletIds: readonly string[],
  statedVa: number | null,
): ReadonlyMap<string, number | null> {
  const model = loadModel(index);
  const ratings = outletIds.map((id) => {
    const outlet = index.outlets.get(id);
    return outlet === undefined ? null : model.outletLoad(outlet).rating;
  });
  const ratedVa = ratings.reduce((sum, rating) => sum + (rating?.connectedVa ?? 0), 0);
  return new Map(
    outletIds.map((id, i) => {
      const rating = ratings[i] ?? null;
      return [id, statedVa === null || rating === null || ratedVa === 0 ? null : (statedVa / ratedVa) * rating.leastVa];
    }),
  );
}

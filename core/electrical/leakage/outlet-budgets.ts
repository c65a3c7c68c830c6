import type { OutletUse } from '../../berths/occupancy.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { LeakageReading } from './leakage.ts';
import { leakagePlaces, outletPlaceId } from './places.ts';
import { budgetsLeft, leakageBelow } from './sum-leakage.ts';

const known = new WeakMap<InventoryIndex, ReturnType<typeof leakagePlaces>>();

/**
 * What is left of the leakage budget on an outlet for one more boat, mA, for ranking and never for a judgement. All of a
 * period's uses are taken together; a boat that nobody has read counts as one of the leakier sound ones. A device or
 * setting on the way up that is unknown leaves no room that anybody knows of: 0, or less where a known device has less.
 */
export function outletBudgets(index: InventoryIndex, uses: readonly OutletUse[]): (outletId: string) => number {
  const places = known.get(index) ?? leakagePlaces(index);
  known.set(index, places);
  const readings = uses.flatMap(({ outletId, by, leakageMa }): LeakageReading[] => {
    if (by.kind === 'outOfService' || !index.outlets.has(outletId)) return [];
    const boat = { kind: by.kind === 'holding' ? 'holding' : 'boat', id: by.id, label: by.label } as const;
    return [{ placeId: outletPlaceId(outletId), boat, leakageMa: leakageMa ?? null, takenAt: null, loadsOn: null }];
  });
  const below = leakageBelow({ places, readings, trips: [] });
  const all = budgetsLeft(
    places,
    below,
    index.inventory.outlets.map(({ id }) => outletPlaceId(id)),
  );
  return (outletId) => {
    const budget = all.get(outletPlaceId(outletId));
    const leftMa = budget?.leftMa ?? 0;
    return budget === undefined || budget.unknownPlaceIds.length > 0 ? Math.min(0, leftMa) : leftMa;
  };
}

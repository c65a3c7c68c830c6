import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Period } from '../../periods.ts';
import { inOrderOfNeed, type StudyChange } from './study.ts';

const dayMs = 86_400_000;

/** What one change closes while it is built. */
export interface Closing extends Period {
  readonly changeId: string;
  readonly outletIds: readonly string[];
  readonly unitIds: readonly string[];
}

/**
 * What is closed while the changes are built, from `startAt` on: in the order of need one after another, or all at once. A
 * change closes the outlets that it puts in place, those of its pedestals and those below its equipment, and the space of
 * its berths and units, as the marina has them now. A change of a dock's own facts closes nothing: give its days to what
 * stands on it.
 */
export function constructionClosings(
  present: InventoryIndex,
  changes: readonly StudyChange[],
  startAt: number,
  order: 'oneAfterAnother' | 'atOnce',
): Closing[] {
  let from = startAt;
  return inOrderOfNeed(changes).map((change) => {
    const until = from + change.outOfServiceDays * dayMs;
    const closing = { changeId: change.id, from, until, ...touchedBy(present, change) };
    if (order === 'oneAfterAnother') from = until;
    return closing;
  });
}

function touchedBy(
  { inventory, ...index }: InventoryIndex,
  { items }: StudyChange,
): Pick<Closing, 'outletIds' | 'unitIds'> {
  const outlets = new Set<string>();
  const units = new Set<string>();
  for (const { collection, id } of items) {
    if (collection === 'outlets' && index.outlets.has(id)) outlets.add(id);
    if (collection === 'equipment') for (const outlet of index.outletsBelow.get(id) ?? []) outlets.add(outlet.id);
    if (collection === 'pedestals')
      for (const outlet of inventory.outlets) if (outlet.pedestalId === id) outlets.add(outlet.id);
    if (collection === 'spaceUnits' && index.spaceUnits.has(id)) units.add(id);
    if (collection === 'berths') for (const unitId of index.berths.get(id)?.unitIds ?? []) units.add(unitId);
  }
  return { outletIds: [...outlets], unitIds: [...units] };
}

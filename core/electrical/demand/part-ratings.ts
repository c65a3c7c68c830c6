import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import type { RankedRatings } from './admitted-counts.ts';
import { type LoadVa, loadLength } from './channels.ts';
import { type LoadModel, loadModel, type OutletLoad } from './load-model.ts';
import { gaugeOf, type PartGauge } from './part-measures.ts';

/** What a part needs to sum receptacles by count: the distinct rated loads below it, ranked in every channel. */
export interface PartRatings {
  readonly gauge: PartGauge;
  readonly outlets: readonly Outlet[];
  /** By outlet: its place in the inventory, and its load's index on this part (-1 where its load is unknown). */
  readonly ordinals: readonly number[];
  readonly indexes: readonly number[];
  readonly other: LoadVa;
  readonly loadCount: number;
  /** Index of an outlet's load on this part; -1 where the outlet's load is unknown or it is not below the part. */
  readonly indexOf: (load: OutletLoad) => number;
  /** By channel, the whole last. */
  readonly ranked: readonly RankedRatings[];
}

const known = new WeakMap<LoadModel, Map<string, PartRatings>>();

/** Ratings below a part; built on first need and kept with the inventory index. */
export function partRatings(index: InventoryIndex, part: Equipment): PartRatings {
  const model = loadModel(index);
  const ofModel = known.get(model) ?? new Map<string, PartRatings>();
  known.set(model, ofModel);
  const found = ofModel.get(part.id);
  if (found !== undefined) return found;
  const built = build(index, model, part);
  ofModel.set(part.id, built);
  return built;
}

function build(index: InventoryIndex, model: LoadModel, part: Equipment): PartRatings {
  const outlets = index.outletsBelow.get(part.id) ?? [];
  const indexOfLoad = new Map<LoadVa, number>();
  const indexOfClass = new Map<number, number>();
  for (const outlet of outlets) {
    const outletLoad = model.outletLoad(outlet);
    if (indexOfClass.has(outletLoad.classId)) continue;
    const load = outletLoad.loads[outletLoad.path.indexOf(part)];
    if (load !== undefined && !indexOfLoad.has(load)) indexOfLoad.set(load, indexOfLoad.size);
    indexOfClass.set(outletLoad.classId, load === undefined ? -1 : (indexOfLoad.get(load) ?? -1));
  }
  const indexOf = ({ classId }: OutletLoad) => indexOfClass.get(classId) ?? -1;
  const loads = [...indexOfLoad.keys()];
  return {
    gauge: gaugeOf(part, model.phasors(part)),
    outlets,
    ordinals: outlets.map(({ id }) => model.ordinals.get(id) ?? -1),
    indexes: outlets.map((outlet) => indexOf(model.outletLoad(outlet))),
    other: model.otherLoad(part),
    loadCount: loads.length,
    indexOf,
    ranked: Array.from({ length: loadLength }, (_, channel) => rank(loads, channel)),
  };
}

function rank(loads: readonly LoadVa[], channel: number): RankedRatings {
  const ranked = loads
    .map((load, index) => ({ index, va: load[channel] ?? 0 }))
    .filter(({ va }) => va > 0)
    .sort((a, b) => b.va - a.va);
  return { index: ranked.map(({ index }) => index), va: ranked.map(({ va }) => va) };
}

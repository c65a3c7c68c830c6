import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import type { LineName } from '../../standards/configuration.ts';
import { configuration } from '../../standards/configurations.ts';
import { addLoad, type LoadVa, lineNames, noLoad, type Phasors, phasorsOf, wholeIndex } from './channels.ts';
import { type ReceptacleRating, ratingOn } from './receptacle.ts';
import { type Passage, passageOf, throughTransformer } from './transformer.ts';

/** What one outlet counts for, on its own supply and on every part above it. */
export interface OutletLoad {
  /** Same number for outlets alike in path, lines and pattern. */
  readonly classId: number;
  /** Null: the pattern, the supply or both are unknown, so its load is too. */
  readonly rating: ReceptacleRating | null;
  readonly path: readonly Equipment[];
  /** Whether something of it or of its way up is unknown: it has findings of its own. */
  readonly doubtful: boolean;
  /** Its rated load on each part of the path; equal loads are the same array. Empty where the rating is null. */
  readonly loads: readonly LoadVa[];
}

/** Loads of an inventory on its distribution tree, without boats. Built once per inventory index. */
export interface LoadModel {
  /** Place of each outlet in the inventory, by id. */
  readonly ordinals: ReadonlyMap<string, number>;
  readonly outletLoad: (outlet: Outlet) => OutletLoad;
  /** Loads outside the factor, on the part and below it. */
  readonly otherLoad: (part: Equipment) => LoadVa;
  readonly phasors: (part: Equipment) => Phasors | null;
  /** How load below a part passes up to its parent; null where no transformer stands between. */
  readonly passage: (part: Equipment) => Passage | null;
}

const models = new WeakMap<InventoryIndex, LoadModel>();

/** The load model of an inventory index; the same one for the same index. */
export function loadModel(index: InventoryIndex): LoadModel {
  const known = models.get(index);
  if (known !== undefined) return known;
  const built = buildLoadModel(index);
  models.set(index, built);
  return built;
}

interface Rise {
  readonly passage: Passage;
  readonly primaryLines: readonly number[];
}

function buildLoadModel(index: InventoryIndex): LoadModel {
  const phasorsById = new Map<string, Phasors | null>();
  const riseById = new Map<string, Rise | null>();
  const children = new Map<string, Equipment[]>();
  for (const part of index.inventory.equipment) {
    const system = index.systemOfEquipment.get(part.id) ?? null;
    phasorsById.set(part.id, system === null ? null : phasorsOf(system));
    if (part.parentId === null) continue;
    const siblings = children.get(part.parentId);
    if (siblings === undefined) children.set(part.parentId, [part]);
    else siblings.push(part);
  }
  const phasors = (part: Equipment) => phasorsById.get(part.id) ?? null;
  for (const part of index.inventory.equipment) riseById.set(part.id, riseOf(part, index, phasors));

  const carriedById = new Map<string, readonly LineName[] | null>();
  const carried = (part: Equipment): readonly LineName[] | null => {
    const known = carriedById.get(part.id);
    if (known !== undefined) return known;
    const lines = carriedLines(part, index);
    carriedById.set(part.id, lines);
    return lines;
  };

  const interned = new Map<string, LoadVa>();
  const intern = (load: LoadVa): LoadVa => {
    const key = Array.from(load).join(' ');
    const same = interned.get(key);
    if (same !== undefined) return same;
    interned.set(key, load);
    return load;
  };
  const passUp = (part: Equipment, load: LoadVa): LoadVa => {
    const rise = riseById.get(part.id) ?? null;
    return rise === null ? load : throughTransformer(rise.passage, rise.primaryLines, load);
  };

  const classes = new Map<string, OutletLoad>();
  const byOutlet = new Map<string, OutletLoad>();
  const outletLoad = (outlet: Outlet): OutletLoad => {
    const known = byOutlet.get(outlet.id);
    if (known !== undefined) return known;
    const path = index.pathOfOutlet.get(outlet.id) ?? [];
    const [feeding] = path;
    const key = `${feeding?.id} ${outlet.configurationId} ${outlet.lines?.join('+')}`;
    const load = classes.get(key) ?? newClass(outlet, path, classes.size);
    classes.set(key, load);
    byOutlet.set(outlet.id, load);
    return load;
  };
  const newClass = (outlet: Outlet, path: readonly Equipment[], classId: number): OutletLoad => {
    const [feeding] = path;
    const pattern = configuration(outlet.configurationId);
    const supply = feeding === undefined ? null : phasors(feeding);
    if (feeding === undefined || pattern === null || supply === null)
      return { classId, rating: null, path, doubtful: true, loads: [] };
    const rating = ratingOn(outlet, pattern, supply, carried(feeding));
    if (rating === null) return { classId, rating, path, doubtful: true, loads: [] };
    const loads: LoadVa[] = [];
    let load = intern(rating.load);
    for (const part of path) {
      loads.push(load);
      const above = passUp(part, load);
      if (above !== load) load = intern(above);
    }
    const doubtful = !rating.linesKnown || path.some((part) => riseById.get(part.id)?.passage === 'spread');
    return { classId, rating, path, doubtful, loads };
  };

  const otherById = new Map<string, LoadVa>();
  const otherLoad = (part: Equipment): LoadVa => {
    const known = otherById.get(part.id);
    if (known !== undefined) return known;
    const load = ownOtherLoad(part);
    for (const child of children.get(part.id) ?? []) addLoad(load, passUp(child, otherLoad(child)));
    otherById.set(part.id, load);
    return load;
  };

  const ordinals = new Map(index.inventory.outlets.map((outlet, i) => [outlet.id, i]));
  return { ordinals, outletLoad, otherLoad, phasors, passage: (part) => riseById.get(part.id)?.passage ?? null };
}

function riseOf(part: Equipment, index: InventoryIndex, phasors: (part: Equipment) => Phasors | null): Rise | null {
  const parent = part.parentId === null ? undefined : index.equipment.get(part.parentId);
  if (parent === undefined) return null;
  if (!changesSupply(part, index)) return null;
  const secondary = phasors(part);
  const primary = phasors(parent);
  const carried = carriedLines(parent, index);
  const primaryLines = (primary?.lines ?? []).filter((line) => {
    const name = lineNames[line];
    if (name === undefined) return false;
    return (part.lines === null || part.lines.includes(name)) && (carried === null || carried.includes(name));
  });
  return { passage: passageOf(part, secondary, primaryLines), primaryLines };
}

/** Whether a part stands between two supplies: a transformer, or a supply of its own under another one. */
function changesSupply(part: Equipment, index: InventoryIndex): boolean {
  if (part.kind === 'transformer' || part.transformer !== null) return true;
  if (part.parentId === null) return false;
  return index.systemOfEquipment.get(part.id) !== index.systemOfEquipment.get(part.parentId);
}

/** Lines that reach the load side of a part from the service or transformer above it; null means all. */
function carriedLines(part: Equipment, index: InventoryIndex): readonly LineName[] | null {
  let carried: readonly LineName[] | null = null;
  let step: Equipment | undefined = part;
  // A transformer's own `lines` are its primary's.
  while (step !== undefined && !(changesSupply(step, index) && step.parentId !== null)) {
    const { lines }: Equipment = step;
    if (lines !== null) carried = carried === null ? lines : carried.filter((line) => lines.includes(line));
    step = step.parentId === null ? undefined : index.equipment.get(step.parentId);
  }
  return carried;
}

function ownOtherLoad(part: Equipment): Float64Array {
  const load = noLoad();
  for (const { loadVa } of part.otherLoads) {
    for (const [line, name] of lineNames.entries()) {
      const va = loadVa[name] ?? 0;
      load[line] = (load[line] ?? 0) + va;
      load[wholeIndex] = (load[wholeIndex] ?? 0) + va;
    }
  }
  return load;
}

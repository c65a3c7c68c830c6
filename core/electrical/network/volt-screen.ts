import type { Outlet } from '../../inventory/inventory.ts';
import {
  addComplex,
  type Complex,
  complexZero,
  magnitude,
  multiplyComplex,
  scaleComplex,
  subtractComplex,
} from '../complex.ts';
import { usualAssumptions } from './assumptions.ts';
import { type Pole, pairsOf } from './terminals.ts';
import { type ModelPart, mostShare, poleCount, poles, reachOf, type VoltModel, weighted } from './volt-model.ts';

/** Between two poles, by their places in `poles`. */
export interface PairBounds {
  readonly outletId: string;
  readonly between: string;
  readonly leastV: number;
  readonly mostV: number;
  readonly nominalV: number;
}

/** What hangs on an outlet in all, spread over its contacts in equal amperes; VA at nominal volts. */
export interface ScreenLoad {
  readonly outlet: Outlet;
  readonly totalVa: number;
}

export interface VoltScreen {
  /**
   * The least and the most that volts of any pair at the part can come to, as shares of no-load volts, with so many
   * amperes more in each line that comes down there: wider than `bounds`, and at hardly any cost. Null: cannot be told.
   */
  readonly rough: (part: number, addedA: number) => { readonly least: number; readonly most: number } | null;
  /**
   * Between what volts every pair of contacts of these outlets lies with their load beside all others; null where that
   * cannot be told. Never narrower than the solved volts. Outlets that are not assessed give no pairs.
   */
  readonly bounds: (added: readonly ScreenLoad[]) => readonly PairBounds[] | null;
}

/**
 * Bounds of volts without a solve. Loads are first taken at the amperes and angle that they have at no-load volts, which
 * makes the tree a linear circuit: one sweep up for amperes, one down for volts. Volts that are off by a share `d` turn
 * or change each of these currents by at most `d / (1 - d)` of itself (a constant current turns with its volts, a
 * constant power grows with 1 / V), and so move the volts by at most that share of the sum of |ohm| x |ampere| on the
 * way. The smallest `d` that this leads back into itself holds for all loads that share a conductor.
 */
export function voltScreen(model: VoltModel, loads: readonly ScreenLoad[]): VoltScreen {
  const { parts } = model;
  const amperes = parts.map(noAmperes);
  const sums = parts.map(noSums);
  const taken: LoadAt[] = otherLoads(model);
  for (const each of loads) taken.push(...loadsAt(model, each));
  for (const each of taken) take(each, amperes, sums);
  sweepUp(parts, amperes, sums);
  const volts: Complex[][] = [];
  const reach: number[][] = [];
  parts.forEach((part, at) => {
    volts.push(voltsOf(part, volts[part.parent] ?? [], amperes[at] ?? []));
    reach.push(reachOf(part, reach[part.parent] ?? [], sums[at] ?? []));
  });
  const unsound = new Set(parts.flatMap(({ transformer, group }) => (transformer?.isSound === false ? [group] : [])));
  const groups = new Map<number, { offShare: number; reachShare: number }>();
  for (const { place, a, b } of taken) {
    const part = parts[place];
    if (part === undefined) continue;
    const openV = magnitude(pairOf(part.openV, a, b));
    const off = magnitude(subtractComplex(pairOf(volts[place] ?? [], a, b), pairOf(part.openV, a, b))) / openV;
    const far = ((reach[place]?.[a] ?? 0) + (reach[place]?.[b] ?? 0)) / openV;
    const group = groups.get(part.group) ?? { offShare: 0, reachShare: 0 };
    group.offShare = Math.max(group.offShare, off);
    group.reachShare = Math.max(group.reachShare, far);
    groups.set(part.group, group);
  }

  const roughOf = parts.map((part, at) => pairShares(part, volts[at] ?? [], reach[at] ?? []));

  return {
    rough: (at, addedA) => {
      const [part, here] = [parts[at], roughOf[at]];
      if (part === undefined || here === undefined || unsound.has(part.group)) return null;
      const addedShare = addedA * part.shareOfOneA;
      const { offShare, reachShare } = groups.get(part.group) ?? { offShare: 0, reachShare: 0 };
      const share = part.group < 0 ? 0 : holdingShare(offShare + addedShare, reachShare + addedShare);
      if (share === null) return null;
      const off = addedShare + (share / (1 - share)) * (here.reachShare + addedShare);
      return { least: here.least - off, most: here.most + off };
    },
    bounds: (added) => {
      const ways = new Map<number, Way>();
      for (const each of added) for (const load of loadsAt(model, each)) addToWay(parts, ways, load);
      // Parents have the lower places.
      const ordered = [...ways].sort(([a], [b]) => a - b);
      for (const [place, way] of [...ordered].reverse()) passUp(parts, ways, place, way);
      let addedShare = 0;
      for (const [place, way] of ordered) {
        const part = parts[place];
        if (part === undefined) continue;
        way.volts = voltsOf({ ...part, openV: noVolts }, ways.get(part.parent)?.volts ?? noVolts, way.amperes);
        way.reach = reachOf(part, ways.get(part.parent)?.reach ?? noReach, way.sums);
        addedShare = Math.max(addedShare, mostShare(part, way.reach));
      }
      const bounds: PairBounds[] = [];
      for (const { outlet } of added) {
        const at = model.network.outlets.get(outlet.id);
        const place = model.placeOf.get(feedingPart(model, outlet) ?? '') ?? -1;
        const part = parts[place];
        if (at === undefined || part === undefined || !at.assessed) continue;
        if (unsound.has(part.group)) return null;
        const { offShare, reachShare } = groups.get(part.group) ?? { offShare: 0, reachShare: 0 };
        const share = part.group < 0 ? 0 : holdingShare(offShare + addedShare, reachShare + addedShare);
        if (share === null) return null;
        const turn = share / (1 - share);
        const way = ways.get(place);
        for (const [one, other] of pairsOf([...at.terminals.keys()])) {
          const [a, b] = [poleAt(at.poleOf.get(one)), poleAt(at.poleOf.get(other))];
          const linear = addComplex(pairOf(volts[place] ?? [], a, b), pairOf(way?.volts ?? noVolts, a, b));
          const far = (reach[place]?.[a] ?? 0) + (reach[place]?.[b] ?? 0) + (way?.reach[a] ?? 0) + (way?.reach[b] ?? 0);
          const size = magnitude(linear);
          const nominalV = magnitude(pairOf(part.openV, a, b));
          const bound = { outletId: outlet.id, between: `${one}-${other}`, nominalV };
          bounds.push({ ...bound, leastV: size - turn * far, mostV: size + turn * far });
        }
      }
      return bounds;
    },
  };
}

/** Linear volts of all pairs at a part, as shares of their no-load volts. */
function pairShares({ place, openV }: ModelPart, volts: readonly Complex[], reach: readonly number[]) {
  let [least, most, reachShare] = [1, 1, 0];
  for (const [one, other] of pairsOf([...place.terminals.keys()])) {
    const [a, b] = [poleAt(one), poleAt(other)];
    const size = magnitude(pairOf(openV, a, b));
    if (size === 0) continue;
    const share = magnitude(pairOf(volts, a, b)) / size;
    least = Math.min(least, share);
    most = Math.max(most, share);
    reachShare = Math.max(reachShare, ((reach[a] ?? 0) + (reach[b] ?? 0)) / size);
  }
  return { least, most, reachShare };
}

/** The smallest share that volts can be off by, given that none is off by more than the first tried; null: none holds. */
function holdingShare(offShare: number, reachShare: number): number | null {
  let share = mostOffShare;
  for (let round = 0; round < rounds; round++) {
    const next = offShare + (share / (1 - share)) * reachShare;
    if (next > share) return round === 0 ? null : share;
    share = next;
  }
  return share;
}

const mostOffShare = 0.35;
const rounds = 8;

/** A load between two poles of a part: its amperes at no-load volts. */
interface LoadAt {
  readonly place: number;
  readonly a: number;
  readonly b: number;
  readonly current: Complex;
}

function poleAt(pole: Pole | undefined): number {
  return pole === undefined ? -1 : poles.indexOf(pole);
}

function pairOf(volts: readonly Complex[], a: number, b: number): Complex {
  return subtractComplex(volts[a] ?? complexZero, volts[b] ?? complexZero);
}

function feedingPart({ network }: VoltModel, { id }: Outlet): string | null {
  return network.feedingParts.get(id) ?? null;
}

function loadsAt(model: VoltModel, { outlet, totalVa }: ScreenLoad): LoadAt[] {
  const at = model.outletOf(outlet);
  if (at === null) return [];
  return at.pairs.flatMap(({ poles: [one, other], share }) =>
    loadBetween(model, at.part, poleAt(one), poleAt(other), totalVa * share),
  );
}

function loadBetween({ parts }: VoltModel, place: number, a: number, b: number, loadVa: number): LoadAt[] {
  const openV = pairOf(parts[place]?.openV ?? noVolts, a, b);
  const size = magnitude(openV);
  if (size === 0 || loadVa <= 0) return [];
  const { powerFactor } = usualAssumptions;
  // Amperes of size S / |V|, lagging the volts.
  const lag = { re: powerFactor, im: -Math.sqrt(1 - powerFactor * powerFactor) };
  const current = scaleComplex(multiplyComplex(openV, lag), loadVa / (size * size));
  return [{ place, a, b, current }];
}

function otherLoads(model: VoltModel): LoadAt[] {
  return model.network.otherLoads.flatMap(({ partId, line, loadVa }) =>
    loadBetween(model, model.placeOf.get(partId) ?? -1, poleAt(line), poleAt('N'), loadVa),
  );
}

const noVolts: readonly Complex[] = poles.map(() => complexZero);
const noReach: readonly number[] = poles.map(() => 0);
const noAmperes = (): Complex[] => poles.map(() => complexZero);
const noSums = (): number[] => poles.map(() => 0);

function take({ place, a, b, current }: LoadAt, amperes: readonly Complex[][], sums: readonly number[][]): void {
  addAmperes(amperes[place] ?? [], sums[place] ?? [], { a, b, current });
}

function addAmperes(amperes: Complex[], sums: number[], { a, b, current }: Pick<LoadAt, 'a' | 'b' | 'current'>): void {
  const size = magnitude(current);
  amperes[a] = addComplex(amperes[a] ?? complexZero, current);
  amperes[b] = subtractComplex(amperes[b] ?? complexZero, current);
  sums[a] = (sums[a] ?? 0) + size;
  sums[b] = (sums[b] ?? 0) + size;
}

function sweepUp(parts: readonly ModelPart[], amperes: readonly Complex[][], sums: readonly number[][]): void {
  for (let at = parts.length - 1; at >= 0; at--) {
    const part = parts[at];
    if (part === undefined || part.parent < 0) continue;
    addAbove(part, amperes[at] ?? [], sums[at] ?? [], amperes[part.parent] ?? [], sums[part.parent] ?? []);
  }
}

/** Amperes of a part in its parent: the same, or through a transformer by its ratio (reciprocity). */
function addAbove(
  { transformer }: ModelPart,
  amperes: readonly Complex[],
  sums: readonly number[],
  above: Complex[],
  sumsAbove: number[],
): void {
  for (let pole = 0; pole < poleCount; pole++) {
    if (transformer === null) {
      above[pole] = addComplex(above[pole] ?? complexZero, amperes[pole] ?? complexZero);
      sumsAbove[pole] = (sumsAbove[pole] ?? 0) + (sums[pole] ?? 0);
      continue;
    }
    transformer.ratio.forEach((row, port) => {
      const ratio = row[pole] ?? complexZero;
      above[pole] = addComplex(above[pole] ?? complexZero, multiplyComplex(ratio, amperes[port] ?? complexZero));
      sumsAbove[pole] = (sumsAbove[pole] ?? 0) + magnitude(ratio) * (sums[port] ?? 0);
    });
  }
}

/** Volts of a part's poles; a service has its open volts. */
function voltsOf(part: ModelPart, above: readonly Complex[], amperes: readonly Complex[]): Complex[] {
  const { parent, transformer, conductorOhm, openV } = part;
  return poles.map((_, pole) => {
    if (parent < 0) return openV[pole] ?? complexZero;
    if (transformer === null) {
      const drop = multiplyComplex(conductorOhm?.[pole] ?? complexZero, amperes[pole] ?? complexZero);
      return subtractComplex(above[pole] ?? complexZero, drop);
    }
    const drop = weighted(transformer.impedanceOhm[pole] ?? [], amperes);
    return subtractComplex(weighted(transformer.ratio[pole] ?? [], above), drop);
  });
}

/** What the added load does on the way to it. */
interface Way {
  readonly amperes: Complex[];
  readonly sums: number[];
  volts: readonly Complex[];
  reach: readonly number[];
}

function addToWay(parts: readonly ModelPart[], ways: Map<number, Way>, load: LoadAt): void {
  for (let at = load.place; at >= 0; at = parts[at]?.parent ?? -1) {
    if (!ways.has(at)) ways.set(at, { amperes: noAmperes(), sums: noSums(), volts: noVolts, reach: noReach });
  }
  const way = ways.get(load.place);
  if (way !== undefined) addAmperes(way.amperes, way.sums, load);
}

function passUp(parts: readonly ModelPart[], ways: ReadonlyMap<number, Way>, place: number, way: Way): void {
  const part = parts[place];
  const above = part === undefined ? undefined : ways.get(part.parent);
  if (part !== undefined && above !== undefined) addAbove(part, way.amperes, way.sums, above.amperes, above.sums);
}

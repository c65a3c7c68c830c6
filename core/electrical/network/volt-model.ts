import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import { startsSupply } from '../../inventory/supplies.ts';
import { configuration } from '../../standards/configurations.ts';
import {
  addComplex,
  type Complex,
  complexZero,
  divideComplex,
  fromPolar,
  magnitude,
  multiplyComplex,
  scaleComplex,
  subtractComplex,
} from '../complex.ts';
import type { PowerFlowElement } from '../power-flow/network.ts';
import { solvePowerFlow } from '../power-flow/power-flow.ts';
import { currentOf, type PowerFlowSolution, voltageBetween } from '../power-flow/results.ts';
import { usualAssumptions } from './assumptions.ts';
import { type MarinaNetwork, marinaNetwork, type NetworkPlace } from './marina-network.ts';
import { type OutletLoad, pairLoads, ratedAmperes } from './outlet-loads.ts';
import { names, type Pole, pairsOf } from './terminals.ts';

export const poles: readonly Pole[] = ['L1', 'L2', 'L3', 'N'];
export const poleCount = poles.length;

/**
 * One part of the tree as a linear circuit: volts of its poles are those of its parent less impedance times amperes.
 * At a transformer they are `ratio` times the parent's, less `impedance` times its own amperes, counted from `reference`.
 */
export interface ModelPart {
  readonly place: NetworkPlace;
  /** Place of its parent in the model; -1 for a service. */
  readonly parent: number;
  /** Of its conductor, by pole; null where it has none, and at a service or transformer. */
  readonly conductorOhm: readonly Complex[] | null;
  readonly transformer: TransformerModel | null;
  /** Parts with the same number see one another's load; on a stiff supply nobody does. */
  readonly group: number;
  /** Without any load, by pole. */
  readonly openV: readonly Complex[];
  /** No more than this share of the volts of any pair here or above is moved by 1 A in each line that comes down here. */
  readonly shareOfOneA: number;
}

/** Rows and columns by pole; a pole that is not wired has zeroes. */
export interface TransformerModel {
  /** False where it could not be solved alone: nothing is known of the volts behind it then. */
  readonly isSound: boolean;
  readonly ratio: readonly (readonly Complex[])[];
  readonly impedanceOhm: readonly (readonly Complex[])[];
}

/** An outlet in the model with all its rating drawn. */
export interface ModelOutlet {
  /** Place of the part that feeds it. */
  readonly part: number;
  /** The rating of its pattern, VA, and of its pattern or breaker, whichever is less. */
  readonly patternVa: number;
  readonly ratedVa: number;
  /** Amperes between any two contacts for one VA in all. */
  readonly amperesOfOneVa: number;
  /** Where its load hangs at the part that feeds it: an outlet's breaker drops no volts. */
  readonly pairs: readonly OutletPair[];
}

/** Part of an outlet's load, between two poles of its supply. */
export interface OutletPair {
  readonly poles: readonly [Pole, Pole];
  readonly nominalV: number;
  /** Of the outlet's VA in all. */
  readonly share: number;
}

export interface VoltModel {
  /** Null where it cannot be joined. */
  readonly outletOf: (outlet: Outlet) => ModelOutlet | null;
  readonly network: MarinaNetwork;
  /** Parents first. */
  readonly parts: readonly ModelPart[];
  readonly placeOf: ReadonlyMap<string, number>;
}

const known = new WeakMap<InventoryIndex, VoltModel>();

/** The model of an inventory, built once for it. */
export function voltModel(index: InventoryIndex): VoltModel {
  const found = known.get(index) ?? buildModel(index);
  known.set(index, found);
  return found;
}

function buildModel(index: InventoryIndex): VoltModel {
  const network = marinaNetwork(index, [], usualAssumptions);
  const byOwner = elementsByOwner(network);
  const parts: ModelPart[] = [];
  const reaches: number[][] = [];
  const placeOf = new Map<string, number>();
  for (const [id, place] of network.parts) {
    const part = index.equipment.get(id);
    if (part === undefined) continue;
    const parent = part.parentId === null ? -1 : (placeOf.get(part.parentId) ?? -1);
    const above = parts[parent];
    placeOf.set(id, parts.length);
    const made = modelPart(part, place, parent, above, byOwner.get(id) ?? [], parts.length);
    const reach = reachOf(made, reaches[parent] ?? [], oneAmpere);
    reaches.push(reach);
    parts.push({ ...made, shareOfOneA: Math.max(above?.shareOfOneA ?? 0, mostShare(made, reach)) });
  }
  const outlets = new Map<string, ModelOutlet | null>();
  const outletOf = (outlet: Outlet): ModelOutlet | null => {
    const known = outlets.get(outlet.id);
    if (known !== undefined) return known;
    const made = modelOutlet(network, placeOf, outlet);
    outlets.set(outlet.id, made);
    return made;
  };
  return { outletOf, network, parts, placeOf };
}

/** One ampere between any two contacts: a line stands in two pairs at most, the neutral in three. */
const oneAmpere: readonly number[] = [2, 2, 2, 3];

function modelOutlet(network: MarinaNetwork, placeOf: ReadonlyMap<string, number>, outlet: Outlet): ModelOutlet | null {
  const at = network.outlets.get(outlet.id);
  const part = placeOf.get(network.feedingParts.get(outlet.id) ?? '');
  const pattern = configuration(outlet.configurationId);
  if (at === undefined || part === undefined || pattern === null) return null;
  const load: OutletLoad = { outletId: outlet.id, demand: { basis: 'rated' } };
  const full = pairLoads(load, { ...outlet, breakerA: null }, pattern, at.system, at.poleOf) ?? [];
  const patternVa = full.reduce((sum, { loadVa }) => sum + loadVa, 0);
  const mostA = Math.max(0, ...full.map(({ loadVa, nominalV }) => loadVa / nominalV));
  const ratedVa = (patternVa * ratedAmperes(outlet, pattern)) / pattern.ratedA;
  const pairs = full.flatMap(({ pair: [a, b], nominalV, loadVa }): OutletPair[] => {
    const [one, other] = [at.poleOf.get(a), at.poleOf.get(b)];
    return one === undefined || other === undefined || !(loadVa > 0)
      ? []
      : [{ poles: [one, other], nominalV, share: loadVa / patternVa }];
  });
  return { part, patternVa, ratedVa, amperesOfOneVa: patternVa > 0 ? mostA / patternVa : 0, pairs };
}

function elementsByOwner({ network, owners }: MarinaNetwork): Map<string, PowerFlowElement[]> {
  const byOwner = new Map<string, PowerFlowElement[]>();
  for (const element of network.elements) {
    const owner = owners.get(element.id);
    if (owner?.kind !== 'equipment' || element.kind === 'load') continue;
    const own = byOwner.get(owner.id);
    if (own === undefined) byOwner.set(owner.id, [element]);
    else own.push(element);
  }
  return byOwner;
}

function modelPart(
  part: Equipment,
  place: NetworkPlace,
  parent: number,
  above: ModelPart | undefined,
  elements: readonly PowerFlowElement[],
  own: number,
): Omit<ModelPart, 'shareOfOneA'> {
  if (above === undefined) {
    const openV = poles.map((pole) => {
      const line = place.system.lines.find(({ name }) => name === pole);
      if (line === undefined || !place.terminals.has(pole)) return complexZero;
      return fromPolar(line.voltageV * usualAssumptions.serviceVoltageShare, line.angleDeg);
    });
    return { place, parent: -1, conductorOhm: null, transformer: null, group: own, openV };
  }
  if (startsSupply(part)) {
    const transformer = transformerModel(place, above, elements);
    const openV = transformer.ratio.map((row) => weighted(row, above.openV));
    return { place, parent, conductorOhm: null, transformer, group: isFixed(above) ? own : above.group, openV };
  }
  const line = elements.find((element) => element.kind === 'line');
  const conductorOhm =
    line === undefined
      ? null
      : poles.map((pole) => {
          const at = line.conductors.findIndex(({ name }) => name === pole);
          return at < 0 ? complexZero : { re: line.resistanceOhm[at]?.[at] ?? 0, im: line.reactanceOhm[at]?.[at] ?? 0 };
        });
  const isStiff = isFixed(above);
  // Behind ideal links alone the volts stay the source's, and nothing couples what hangs there.
  const group = isStiff ? (conductorOhm === null ? fixedGroup : own) : above.group;
  const openV = above.openV.map((volts, at) => (place.terminals.has(poles[at] ?? 'N') ? volts : complexZero));
  return { place, parent, conductorOhm, transformer: null, group, openV };
}

const fixedGroup = -1;

function isFixed({ parent, group }: ModelPart): boolean {
  return parent < 0 || group === fixedGroup;
}

/** Ratio and impedance by solving the transformer alone: on ideal sources, with one of them raised, with one port loaded. */
function transformerModel(
  place: NetworkPlace,
  above: ModelPart,
  elements: readonly PowerFlowElement[],
): TransformerModel {
  const primary = [...above.place.terminals];
  const star = above.place.terminals.get('N') ?? names.starTerminal('model');
  const sourcesRaised = (raised: Pole | null): PowerFlowElement[] => [
    ...primary.flatMap(([pole, plus]): PowerFlowElement[] => {
      if (pole === 'N') return [];
      const nominal = above.place.system.lines.find(({ name }) => name === pole);
      if (nominal === undefined) return [];
      const voltageV = nominal.voltageV * (pole === raised ? 1 + raise : 1);
      return [{ kind: 'source', id: `source ${pole}`, plus, minus: star, voltageV, angleDeg: nominal.angleDeg }];
    }),
    { kind: 'impedance', id: 'ground', from: star, to: '0', resistanceOhm: 0, reactanceOhm: 0 },
    ...elements,
  ];
  const ports = portsOf(place);
  const reference = place.terminals.get(ports.reference) ?? '';
  const read = (solution: PowerFlowSolution, pole: Pole): Complex =>
    voltageBetween(solution, place.terminals.get(pole) ?? '', reference) ?? complexZero;
  const ratio = zeroMatrix();
  const impedanceOhm = zeroMatrix();
  const unsound = { isSound: false, ratio, impedanceOhm };

  const open = solvePowerFlow({ elements: sourcesRaised(null) });
  if (open.status !== 'solved') return unsound;
  for (const [pole] of primary) {
    const line = above.place.system.lines.find(({ name }) => name === pole);
    if (pole === 'N' || line === undefined) continue;
    const raised = solvePowerFlow({ elements: sourcesRaised(pole) });
    if (raised.status !== 'solved') return unsound;
    const byV = fromPolar(line.voltageV * raise, line.angleDeg);
    for (const port of ports.poles) {
      setAt(ratio, port, pole, divideComplex(subtractComplex(read(raised, port), read(open, port)), byV));
    }
  }
  // A shift of all primary poles alike moves no secondary volts.
  if (above.place.terminals.has('N')) {
    for (const port of ports.poles) {
      const sum = (ratio[poles.indexOf(port)] ?? []).reduce(addComplex, complexZero);
      setAt(ratio, port, 'N', scaleComplex(sum, -1));
    }
  }
  for (const loaded of ports.poles) {
    const ohm = magnitude(read(open, loaded)) / testA;
    const demand = { model: 'constantImpedance', resistanceOhm: ohm, reactanceOhm: 0 } as const;
    const ends = { from: place.terminals.get(loaded) ?? '', to: reference };
    const solution = solvePowerFlow({
      elements: [...sourcesRaised(null), { kind: 'load', id: 'test', ...ends, demand }],
    });
    if (solution.status !== 'solved') return unsound;
    const amperes = currentOf(solution, 'test') ?? complexZero;
    for (const port of ports.poles) {
      const drop = subtractComplex(read(open, port), read(solution, port));
      setAt(impedanceOhm, port, loaded, divideComplex(drop, amperes));
    }
  }
  return { isSound: true, ratio, impedanceOhm };
}

/** The sum of products, element by element. */
export function weighted(row: readonly Complex[], values: readonly Complex[]): Complex {
  return row.reduce((sum, each, at) => addComplex(sum, multiplyComplex(each, values[at] ?? complexZero)), complexZero);
}

const raise = 0.1;
const testA = 100;

/** The poles whose volts are counted from a reference pole: the neutral, or the last line where there is none. */
function portsOf({ terminals }: NetworkPlace): { readonly reference: Pole; readonly poles: readonly Pole[] } {
  const wired = poles.filter((pole) => terminals.has(pole));
  const reference = wired.at(-1) ?? 'N';
  return { reference, poles: wired.filter((pole) => pole !== reference) };
}

function zeroMatrix(): Complex[][] {
  return poles.map(() => poles.map(() => complexZero));
}

function setAt(matrix: Complex[][], row: Pole, column: Pole, value: Complex): void {
  const values = matrix[poles.indexOf(row)];
  if (values !== undefined) values[poles.indexOf(column)] = value;
}

/** Sum of |ohm| x |ampere| on the way to each pole. */
export function reachOf(
  part: Pick<ModelPart, 'parent' | 'transformer' | 'conductorOhm'>,
  above: readonly number[],
  sums: readonly number[],
): number[] {
  const { parent, transformer, conductorOhm } = part;
  const sizes = (row: readonly Complex[] | undefined, of: readonly number[]) =>
    (row ?? []).reduce((sum, each, at) => sum + magnitude(each) * (of[at] ?? 0), 0);
  return poles.map((_, pole) => {
    if (parent < 0) return 0;
    if (transformer === null)
      return (above[pole] ?? 0) + magnitude(conductorOhm?.[pole] ?? complexZero) * (sums[pole] ?? 0);
    return sizes(transformer.ratio[pole], above) + sizes(transformer.impedanceOhm[pole], sums);
  });
}

/** The largest share of its open volts that a way can move any pair of a part's poles by. */
export function mostShare({ place, openV }: Pick<ModelPart, 'place' | 'openV'>, reach: readonly number[]): number {
  let most = 0;
  for (const [one, other] of pairsOf([...place.terminals.keys()])) {
    const [a, b] = [poles.indexOf(one), poles.indexOf(other)];
    const size = magnitude(subtractComplex(openV[a] ?? complexZero, openV[b] ?? complexZero));
    if (size > 0) most = Math.max(most, ((reach[a] ?? 0) + (reach[b] ?? 0)) / size);
  }
  return most;
}

import { type EliminationOrder, eliminationOrder, type UnknownNumbering } from './elimination-order.ts';
import type { LoadElement, PowerFlowElement, PowerFlowNetwork, TransformerElement } from './network.ts';
import { gatherPattern, type SparsePattern } from './sparse-matrix.ts';
import type { Topology } from './topology.ts';

/**
 * The network as equations: at each terminal the currents sum to zero, along each branch the volts agree. The unknowns
 * are the volts of every terminal (without the references, at 0 V) and the amperes of every branch, so an impedance may
 * be zero and no ampere is lost in a difference of near-equal volts. Loads of constant power and current come on top of
 * these linear equations.
 */
export interface Equations extends UnknownNumbering {
  /** Unknowns below this are volts of terminals, and their rows sums of currents. */
  readonly voltsCount: number;
  readonly pattern: SparsePattern;
  /** Coefficients: two reals (real, imaginary) for each entry of the pattern. */
  readonly linear: Float64Array;
  /** Right side: two reals for each row. */
  readonly given: Float64Array;
  /** The unknown that holds a terminal's volts, -1 for a reference; its row is that terminal's sum of currents. */
  readonly voltsUnknown: Int32Array;
  /** The first unknown of an element's amperes (its first conductor or winding), -1 where it has none. */
  readonly branchUnknown: Int32Array;
  /** The unknown of a transformer's volts per turn, on the base of its largest winding; -1 where it has none. */
  readonly coreUnknown: Int32Array;
  readonly loads: NonlinearLoads;
  readonly order: EliminationOrder;
}

/** Loads of constant power or constant current, one place each in every array. */
export interface NonlinearLoads {
  readonly count: number;
  readonly elements: readonly LoadElement[];
  readonly isConstantCurrent: Uint8Array;
  /** Constant power: the power. Constant current: the current against the voltage's own angle, times 1 V. */
  readonly powerW: Float64Array;
  readonly reactivePowerVar: Float64Array;
  /** Unknowns of the volts at its ends, -1 for a reference. */
  readonly fromUnknown: Int32Array;
  readonly toUnknown: Int32Array;
  /** Four pattern entries each: (from, from), (from, to), (to, from), (to, to); -1 where an end is a reference. */
  readonly entries: Int32Array;
}

export function writeEquations(network: PowerFlowNetwork, topology: Topology): Equations {
  const { ends, endStart } = topology;
  const numbering = numberUnknowns(network, topology);
  const { voltsUnknown, branchUnknown, coreUnknown, unknownCount } = numbering;
  const coefficients = coefficientList(8 * unknownCount + 64);
  const { add } = coefficients;
  const given = new Float64Array(2 * unknownCount);

  /** A branch's current leaves one end and enters the other; its row begins with V(from) - V(to). */
  const addBranch = (branch: number, pair: number): void => {
    const a = voltsUnknown[ends[pair] as number] as number;
    const b = voltsUnknown[ends[pair + 1] as number] as number;
    add(a, branch, 1, 0);
    add(b, branch, -1, 0);
    add(branch, a, 1, 0);
    add(branch, b, -1, 0);
  };
  /** Current y * (V across) flows through one pair of ends; the four places written. */
  const addAdmittance = (into: number, across: number, re: number, im: number): number[] => {
    const a = voltsUnknown[ends[into] as number] as number;
    const b = voltsUnknown[ends[into + 1] as number] as number;
    const c = voltsUnknown[ends[across] as number] as number;
    const d = voltsUnknown[ends[across + 1] as number] as number;
    return [add(a, c, re, im), add(a, d, -re, -im), add(b, c, -re, -im), add(b, d, re, im)];
  };

  const loadElements: LoadElement[] = [];
  const loadEnds: number[] = [];
  const loadPlaces: number[] = [];
  for (let e = 0; e < network.elements.length; e++) {
    const element = network.elements[e];
    const branch = branchUnknown[e] as number;
    const first = endStart[e] as number;
    switch (element?.kind) {
      case 'source': {
        addBranch(branch, first);
        const angle = (element.angleDeg * Math.PI) / 180;
        given[2 * branch] = element.voltageV * Math.cos(angle);
        given[2 * branch + 1] = element.voltageV * Math.sin(angle);
        break;
      }
      case 'line': {
        const count = element.conductors.length;
        for (let i = 0; i < count; i++) {
          addBranch(branch + i, first + 2 * i);
          const resistances = element.resistanceOhm[i];
          const reactances = element.reactanceOhm[i];
          for (let j = 0; j < count; j++)
            add(branch + i, branch + j, -(resistances?.[j] ?? 0), -(reactances?.[j] ?? 0));
        }
        break;
      }
      case 'impedance':
        addBranch(branch, first);
        add(branch, branch, -element.resistanceOhm, -element.reactanceOhm);
        break;
      case 'switch':
        if (element.closed) addBranch(branch, first);
        break;
      case 'transformer': {
        if (branch < 0) break;
        const core = coreUnknown[e] as number;
        const baseV = coreBaseV(element);
        element.windings.forEach((winding, i) => {
          const turns = winding.ratedV / baseV;
          addBranch(branch + i, first + 2 * i);
          add(branch + i, branch + i, -winding.resistanceOhm, -winding.reactanceOhm);
          add(branch + i, core, -turns, 0);
          add(core, branch + i, turns, 0);
        });
        const at = element.windings.findIndex(({ name }) => name === element.core?.winding);
        if (element.core === undefined) break;
        const { conductanceS, susceptanceS } = element.core;
        if (element.core.at === 'idealCore') {
          const square = ((element.windings[at]?.ratedV ?? 0) / baseV) ** 2;
          add(core, core, -square * conductanceS, -square * susceptanceS);
        } else addAdmittance(first + 2 * at, first + 2 * at, conductanceS, susceptanceS);
        break;
      }
      case 'admittance':
        for (let i = 0; i < element.ports.length; i++) {
          for (let j = 0; j < element.ports.length; j++) {
            const conductance = element.conductanceS[i]?.[j] ?? 0;
            addAdmittance(first + 2 * i, first + 2 * j, conductance, element.susceptanceS[i]?.[j] ?? 0);
          }
        }
        break;
      case 'load': {
        const { demand } = element;
        if (demand.model === 'constantImpedance') {
          addBranch(branch, first);
          add(branch, branch, -demand.resistanceOhm, -demand.reactanceOhm);
        } else if (demand.powerW !== 0 || demand.reactivePowerVar !== 0) {
          loadElements.push(element);
          loadEnds.push(first);
          loadPlaces.push(...addAdmittance(first, first, 0, 0));
        }
      }
    }
  }

  const { pattern, linear } = coefficients.gather(unknownCount);
  return {
    ...numbering,
    voltsCount: voltsUnknown.reduce((count, unknown) => Math.max(count, unknown + 1), 0),
    pattern,
    linear,
    given,
    loads: gatherLoads(loadElements, loadEnds, loadPlaces, ends, voltsUnknown, pattern),
    order: eliminationOrder(network, topology, numbering),
  };
}

function numberUnknowns(network: PowerFlowNetwork, topology: Topology): UnknownNumbering {
  const terminalCount = topology.terminals.length;
  const voltsUnknown = new Int32Array(terminalCount);
  let unknownCount = 0;
  for (let terminal = 0; terminal < terminalCount; terminal++) {
    voltsUnknown[terminal] = topology.referenceOf[terminal] === terminal ? -1 : unknownCount++;
  }
  const branchUnknown = new Int32Array(network.elements.length).fill(-1);
  const coreUnknown = new Int32Array(network.elements.length).fill(-1);
  network.elements.forEach((element, at) => {
    const branches = branchCount(element, topology);
    if (branches === 0) return;
    branchUnknown[at] = unknownCount;
    unknownCount += branches;
    if (element.kind === 'transformer') coreUnknown[at] = unknownCount++;
  });
  return { unknownCount, voltsUnknown, branchUnknown, coreUnknown };
}

/** Coefficients as they are met; those of a reference, at 0 V, are left out. */
function coefficientList(expected: number) {
  let rows = new Int32Array(expected);
  let columns = new Int32Array(expected);
  let parts = new Float64Array(2 * expected);
  let count = 0;
  const grow = (): void => {
    const [oldRows, oldColumns, oldParts] = [rows, columns, parts];
    rows = new Int32Array(2 * oldRows.length);
    rows.set(oldRows);
    columns = new Int32Array(rows.length);
    columns.set(oldColumns);
    parts = new Float64Array(2 * rows.length);
    parts.set(oldParts);
  };
  return {
    /** The place written, or -1. */
    add(row: number, column: number, re: number, im: number): number {
      if (row < 0 || column < 0) return -1;
      if (count === rows.length) grow();
      rows[count] = row;
      columns[count] = column;
      parts[2 * count] = re;
      parts[2 * count + 1] = im;
      return count++;
    },
    gather(unknownCount: number): { pattern: SparsePattern; linear: Float64Array } {
      const pattern = gatherPattern(unknownCount, count, rows, columns);
      const linear = new Float64Array(2 * pattern.row.length);
      for (let place = 0; place < count; place++) {
        const entry = 2 * (pattern.entryOf[place] as number);
        linear[entry] = (linear[entry] as number) + (parts[2 * place] as number);
        linear[entry + 1] = (linear[entry + 1] as number) + (parts[2 * place + 1] as number);
      }
      return { pattern, linear };
    },
  };
}

function gatherLoads(
  elements: readonly LoadElement[],
  loadEnds: readonly number[],
  places: readonly number[],
  ends: Int32Array,
  voltsUnknown: Int32Array,
  { entryOf }: SparsePattern,
): NonlinearLoads {
  const count = elements.length;
  const loads = {
    count,
    elements,
    isConstantCurrent: new Uint8Array(count),
    powerW: new Float64Array(count),
    reactivePowerVar: new Float64Array(count),
    fromUnknown: new Int32Array(count),
    toUnknown: new Int32Array(count),
    entries: new Int32Array(4 * count),
  };
  for (let at = 0; at < count; at++) {
    const demand = elements[at]?.demand;
    if (demand === undefined || demand.model === 'constantImpedance') continue;
    const perVolt = demand.model === 'constantCurrent' ? demand.ratedV : 1;
    loads.isConstantCurrent[at] = demand.model === 'constantCurrent' ? 1 : 0;
    loads.powerW[at] = demand.powerW / perVolt;
    loads.reactivePowerVar[at] = demand.reactivePowerVar / perVolt;
    const end = loadEnds[at] as number;
    loads.fromUnknown[at] = voltsUnknown[ends[end] as number] as number;
    loads.toUnknown[at] = voltsUnknown[ends[end + 1] as number] as number;
    for (let place = 4 * at; place < 4 * at + 4; place++) {
      const written = places[place] as number;
      loads.entries[place] = written < 0 ? -1 : (entryOf[written] as number);
    }
  }
  return loads;
}

/** Names what an unknown stands for, to tell what a singular set of equations leaves open. */
export function ownerOf(
  network: PowerFlowNetwork,
  topology: Topology,
  { voltsUnknown, branchUnknown }: Equations,
  unknown: number,
): { readonly elementId: string } | { readonly terminal: string } {
  const terminal = topology.terminals[voltsUnknown.indexOf(unknown)];
  if (terminal !== undefined) return { terminal };
  const at = branchUnknown.findLastIndex((first) => first >= 0 && first <= unknown);
  return { elementId: network.elements[at]?.id ?? '' };
}

/** Volts per turn are counted on the side of the largest winding, which keeps coefficients at or below 1. */
export function coreBaseV(element: TransformerElement): number {
  return Math.max(...element.windings.map(({ ratedV }) => ratedV));
}

function branchCount(element: PowerFlowElement, { deadTransformers }: Topology): number {
  switch (element.kind) {
    case 'source':
    case 'impedance':
      return 1;
    case 'switch':
      return element.closed ? 1 : 0;
    case 'line':
      return element.conductors.length;
    case 'transformer':
      return deadTransformers.has(element.id) ? 0 : element.windings.length;
    case 'load':
      return element.demand.model === 'constantImpedance' ? 1 : 0;
    case 'admittance':
      return 0;
  }
}

import type { LoadElement, PowerFlowElement, PowerFlowNetwork, TransformerElement } from './network.ts';
import { type GatheredPattern, gatherPattern } from './sparse-matrix.ts';
import type { Topology } from './topology.ts';

/**
 * The network as equations: at each terminal the currents sum to zero, along each branch the volts agree. The unknowns
 * are the volts of every terminal (without the references, at 0 V) and the amperes of every branch, so an impedance may
 * be zero and no ampere is lost in a difference of near-equal volts. Loads of constant power and current come on top of
 * these linear equations.
 */
export interface Equations {
  readonly pattern: GatheredPattern;
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
  readonly loads: readonly NonlinearLoad[];
  /** Names the unknown, to tell what a singular set of equations leaves open. */
  ownerOf(unknown: number): { readonly elementId: string } | { readonly terminal: string };
}

/** A load of constant power or constant current. */
export interface NonlinearLoad {
  readonly element: LoadElement;
  readonly constantCurrent: boolean;
  /** Constant power: the power. Constant current: the current against the voltage's own angle, times 1 V. */
  readonly powerW: number;
  readonly reactivePowerVar: number;
  /** Unknowns of the volts at its ends, -1 for a reference. */
  readonly fromUnknown: number;
  readonly toUnknown: number;
  /** Pattern entries (from, from), (from, to), (to, from), (to, to); -1 where an end is a reference. */
  readonly entries: Int32Array;
}

export function writeEquations(network: PowerFlowNetwork, topology: Topology): Equations {
  const terminalCount = topology.terminals.length;
  const voltsUnknown = new Int32Array(terminalCount);
  let unknowns = 0;
  for (let terminal = 0; terminal < terminalCount; terminal++) {
    voltsUnknown[terminal] = topology.referenceOf[terminal] === terminal ? -1 : unknowns++;
  }
  const firstBranch = unknowns;
  const branchUnknown = new Int32Array(network.elements.length).fill(-1);
  const coreUnknown = new Int32Array(network.elements.length).fill(-1);
  network.elements.forEach((element, at) => {
    const branches = branchCount(element, topology);
    if (branches === 0) return;
    branchUnknown[at] = unknowns;
    unknowns += branches;
    if (element.kind === 'transformer') coreUnknown[at] = unknowns++;
  });

  const rows: number[] = [];
  const columns: number[] = [];
  const parts: number[] = [];
  const given = new Float64Array(2 * unknowns);
  const volts = (terminal: string): number => voltsUnknown[topology.indexOf.get(terminal) ?? 0] ?? -1;
  const add = (row: number, column: number, re: number, im: number): number => {
    if (row < 0 || column < 0) return -1;
    rows.push(row);
    columns.push(column);
    parts.push(re, im);
    return rows.length - 1;
  };
  /** A branch's current leaves `from` and enters `to`; its row begins with V(from) - V(to). */
  const addBranch = (branch: number, from: string, to: string): void => {
    const a = volts(from);
    const b = volts(to);
    add(a, branch, 1, 0);
    add(b, branch, -1, 0);
    add(branch, a, 1, 0);
    add(branch, b, -1, 0);
  };
  /** Current y * (V(c) - V(d)) flows from a to b. */
  const addAdmittance = (a: number, b: number, c: number, d: number, re: number, im: number): number[] => [
    add(a, c, re, im),
    add(a, d, -re, -im),
    add(b, c, -re, -im),
    add(b, d, re, im),
  ];

  const loads: { readonly load: Omit<NonlinearLoad, 'entries'>; readonly places: readonly number[] }[] = [];
  network.elements.forEach((element, at) => {
    const branch = branchUnknown[at] as number;
    switch (element.kind) {
      case 'source': {
        addBranch(branch, element.plus, element.minus);
        const angle = (element.angleDeg * Math.PI) / 180;
        given[2 * branch] = element.voltageV * Math.cos(angle);
        given[2 * branch + 1] = element.voltageV * Math.sin(angle);
        break;
      }
      case 'line':
        element.conductors.forEach(({ from, to }, i) => {
          addBranch(branch + i, from, to);
          element.conductors.forEach((_, j) => {
            add(branch + i, branch + j, -(element.resistanceOhm[i]?.[j] ?? 0), -(element.reactanceOhm[i]?.[j] ?? 0));
          });
        });
        break;
      case 'impedance':
        addBranch(branch, element.from, element.to);
        add(branch, branch, -element.resistanceOhm, -element.reactanceOhm);
        break;
      case 'switch':
        if (element.closed) addBranch(branch, element.from, element.to);
        break;
      case 'transformer': {
        if (branch < 0) break;
        const core = coreUnknown[at] as number;
        const baseV = coreBaseV(element);
        element.windings.forEach((winding, i) => {
          const turns = winding.ratedV / baseV;
          addBranch(branch + i, winding.plus, winding.minus);
          add(branch + i, branch + i, -winding.resistanceOhm, -winding.reactanceOhm);
          add(branch + i, core, -turns, 0);
          add(core, branch + i, turns, 0);
        });
        const winding = element.windings.find(({ name }) => name === element.core?.winding);
        if (element.core === undefined || winding === undefined) break;
        const { conductanceS, susceptanceS } = element.core;
        if (element.core.at === 'idealCore') {
          const turns = winding.ratedV / baseV;
          add(core, core, -turns * turns * conductanceS, -turns * turns * susceptanceS);
        } else {
          const a = volts(winding.plus);
          const b = volts(winding.minus);
          addAdmittance(a, b, a, b, conductanceS, susceptanceS);
        }
        break;
      }
      case 'admittance':
        element.ports.forEach((into, i) => {
          element.ports.forEach((across, j) => {
            addAdmittance(
              volts(into.plus),
              volts(into.minus),
              volts(across.plus),
              volts(across.minus),
              element.conductanceS[i]?.[j] ?? 0,
              element.susceptanceS[i]?.[j] ?? 0,
            );
          });
        });
        break;
      case 'load': {
        const { demand } = element;
        const a = volts(element.from);
        const b = volts(element.to);
        if (demand.model === 'constantImpedance') {
          const square = demand.resistanceOhm ** 2 + demand.reactanceOhm ** 2;
          addAdmittance(a, b, a, b, demand.resistanceOhm / square, -demand.reactanceOhm / square);
          break;
        }
        if (demand.powerW === 0 && demand.reactivePowerVar === 0) break;
        const perVolt = demand.model === 'constantCurrent' ? demand.ratedV : 1;
        loads.push({
          load: {
            element,
            constantCurrent: demand.model === 'constantCurrent',
            powerW: demand.powerW / perVolt,
            reactivePowerVar: demand.reactivePowerVar / perVolt,
            fromUnknown: a,
            toUnknown: b,
          },
          places: addAdmittance(a, b, a, b, 0, 0),
        });
      }
    }
  });

  const pattern = gatherPattern(unknowns, rows, columns);
  const linear = new Float64Array(2 * pattern.column.length);
  for (let place = 0; place < rows.length; place++) {
    const entry = 2 * (pattern.entryOf[place] as number);
    linear[entry] = (linear[entry] as number) + (parts[2 * place] as number);
    linear[entry + 1] = (linear[entry + 1] as number) + (parts[2 * place + 1] as number);
  }
  const entryOrNone = (place: number): number => (place < 0 ? -1 : (pattern.entryOf[place] as number));
  return {
    pattern,
    linear,
    given,
    voltsUnknown,
    branchUnknown,
    coreUnknown,
    loads: loads.map(({ load, places }) => ({ ...load, entries: Int32Array.from(places, entryOrNone) })),
    ownerOf(unknown) {
      if (unknown < firstBranch) return { terminal: topology.terminals[voltsUnknown.indexOf(unknown)] ?? '' };
      let owner = '';
      network.elements.forEach((element, at) => {
        const first = branchUnknown[at] as number;
        if (first >= 0 && first <= unknown) owner = element.id;
      });
      return { elementId: owner };
    },
  };
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
    default:
      return 0;
  }
}

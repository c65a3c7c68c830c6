import { type Complex, complex, complexZero, multiplyComplex, scaleComplex, subtractComplex } from '../complex.ts';
import { coreBaseV, type Equations } from './equations.ts';
import type { LoadDemand, PowerFlowElement, PowerFlowNetwork, TransformerElement } from './network.ts';
import type { Topology } from './topology.ts';

export interface PowerFlowSolution {
  readonly status: 'solved';
  readonly iterations: number;
  readonly terminals: ReadonlyMap<string, TerminalVolts>;
  readonly elements: ReadonlyMap<string, ElementFlow>;
  readonly totals: PowerTotals;
}

export interface TerminalVolts {
  /** What the volts are counted from: ground `"0"`, or a terminal of its own island where nothing ties it to ground. */
  readonly reference: string;
  readonly voltageV: Complex;
  /** Whether a source reaches the terminal; a terminal not reached may still be tied to ground. */
  readonly fed: boolean;
}

export interface ElementFlow {
  readonly id: string;
  readonly kind: PowerFlowElement['kind'];
  readonly currents: readonly CurrentFlow[];
  /** What the element takes from its terminals: below zero for a source that feeds. */
  readonly power: Power;
  /** What becomes heat in it: conductors, windings and cores. 0 for sources, loads and admittances. */
  readonly lossW: number;
  /** The highest of its currents' loadings; null where none is rated. */
  readonly loading: number | null;
}

/** A current through an element, flowing into it at `from` and out at `to`. */
export interface CurrentFlow {
  /** The conductor, winding or port; `core` for no-load current across a winding; otherwise the element's kind. */
  readonly name: string;
  readonly from: string;
  readonly to: string;
  readonly currentA: Complex;
  /** Amperes over rated amperes: 1 is full load. */
  readonly loading: number | null;
}

export interface Power {
  readonly powerW: number;
  readonly reactivePowerVar: number;
}

/** supplied = consumed + lost. */
export interface PowerTotals {
  readonly supplied: Power;
  /** Loads and admittances; generation among them counts below zero. */
  readonly consumed: Power;
  readonly lost: Power;
}

/** V(from) - V(to); null where a name is unknown or nothing settles the volts between the two. */
export function voltageBetween(
  solution: Pick<PowerFlowSolution, 'terminals'>,
  from: string,
  to: string,
): Complex | null {
  const a = solution.terminals.get(from);
  const b = solution.terminals.get(to);
  if (a === undefined || b === undefined || a.reference !== b.reference) return null;
  return subtractComplex(a.voltageV, b.voltageV);
}

/** The current of one conductor, winding or port, or the only one of a plain element; null where there is none. */
export function currentOf(solution: PowerFlowSolution, elementId: string, name?: string): Complex | null {
  const currents = solution.elements.get(elementId)?.currents;
  const found = name === undefined ? currents?.[0] : currents?.find((flow) => flow.name === name);
  return found?.currentA ?? null;
}

export function readVolts(
  topology: Topology,
  { voltsUnknown }: Equations,
  unknowns: Float64Array,
): Map<string, TerminalVolts> {
  const terminals = new Map<string, TerminalVolts>();
  topology.terminals.forEach((terminal, index) => {
    const reference = topology.terminals[topology.referenceOf[index] ?? 0] ?? '';
    const voltageV = unknownAt(unknowns, voltsUnknown[index] ?? -1);
    terminals.set(terminal, { reference, voltageV, fed: topology.fed[index] === 1 });
  });
  return terminals;
}

function unknownAt(unknowns: Float64Array, unknown: number): Complex {
  return unknown < 0 ? complexZero : complex(unknowns[2 * unknown] ?? 0, unknowns[2 * unknown + 1] ?? 0);
}

export function readSolution(
  network: PowerFlowNetwork,
  topology: Topology,
  equations: Equations,
  unknowns: Float64Array,
  iterations: number,
): PowerFlowSolution {
  const at = (unknown: number): Complex => unknownAt(unknowns, unknown);
  const terminals = readVolts(topology, equations, unknowns);
  const volts = [...terminals.values()].map(({ voltageV }) => voltageV);
  const elements = new Map<string, ElementFlow>();
  const supplied = { powerW: 0, reactivePowerVar: 0 };
  const consumed = { powerW: 0, reactivePowerVar: 0 };
  const lost = { powerW: 0, reactivePowerVar: 0 };
  network.elements.forEach((element, index) => {
    const branch = equations.branchUnknown[index] ?? -1;
    const branchCurrent = (offset: number): Complex => (branch < 0 ? complexZero : at(branch + offset));
    const first = topology.endStart[index] ?? 0;
    /** The volts across one conductor, winding or port. */
    const across = (pair: number): Complex =>
      subtractComplex(
        volts[topology.ends[first + 2 * pair] ?? 0] ?? complexZero,
        volts[topology.ends[first + 2 * pair + 1] ?? 0] ?? complexZero,
      );
    const currents = currentsOf(element, branchCurrent, across);
    const power = powerTaken(element, currents, across);
    const core = at(equations.coreUnknown[index] ?? -1);
    elements.set(element.id, {
      id: element.id,
      kind: element.kind,
      currents,
      power,
      lossW: lossIn(element, currents, core, across),
      loading: currents.reduce<number | null>(
        (most, { loading }) => (loading === null ? most : Math.max(most ?? 0, loading)),
        null,
      ),
    });
    const isLoad = element.kind === 'load' || element.kind === 'admittance';
    const total = element.kind === 'source' ? supplied : isLoad ? consumed : lost;
    const sign = element.kind === 'source' ? -1 : 1;
    total.powerW += sign * power.powerW;
    total.reactivePowerVar += sign * power.reactivePowerVar;
  });
  return { status: 'solved', iterations, terminals, elements, totals: { supplied, consumed, lost } };
}

type Across = (pair: number) => Complex;

function flow(name: string, from: string, to: string, currentA: Complex, ratedA?: number): CurrentFlow {
  const loading = ratedA === undefined ? null : Math.sqrt(currentA.re ** 2 + currentA.im ** 2) / ratedA;
  return { name, from, to, currentA, loading };
}

function currentsOf(
  element: PowerFlowElement,
  branchCurrent: (offset: number) => Complex,
  across: Across,
): CurrentFlow[] {
  switch (element.kind) {
    case 'source':
      return [flow(element.kind, element.plus, element.minus, branchCurrent(0))];
    case 'impedance':
    case 'switch':
      return [flow(element.kind, element.from, element.to, branchCurrent(0), element.ratedA)];
    case 'line':
      return element.conductors.map(({ name, from, to, ratedA }, i) => flow(name, from, to, branchCurrent(i), ratedA));
    case 'transformer': {
      const windings = element.windings.map(({ name, plus, minus, ratedV, ratedVa }, i) =>
        flow(name, plus, minus, branchCurrent(i), ratedVa === undefined ? undefined : ratedVa / ratedV),
      );
      const { core } = element;
      const at = coreWinding(element);
      const winding = element.windings[at];
      if (core?.at !== 'windingTerminals' || winding === undefined) return windings;
      const admittance = complex(core.conductanceS, core.susceptanceS);
      return [...windings, flow('core', winding.plus, winding.minus, multiplyComplex(admittance, across(at)))];
    }
    case 'admittance':
      return element.ports.map(({ name, plus, minus }, i) => {
        let re = 0;
        let im = 0;
        element.ports.forEach((_, j) => {
          const admittance = complex(element.conductanceS[i]?.[j] ?? 0, element.susceptanceS[i]?.[j] ?? 0);
          const part = multiplyComplex(admittance, across(j));
          re += part.re;
          im += part.im;
        });
        return flow(name, plus, minus, complex(re, im));
      });
    case 'load':
      return [
        flow(
          element.kind,
          element.from,
          element.to,
          element.demand.model === 'constantImpedance' ? branchCurrent(0) : currentIntoLoad(element.demand, across(0)),
        ),
      ];
  }
}

function currentIntoLoad(demand: Exclude<LoadDemand, { model: 'constantImpedance' }>, { re, im }: Complex): Complex {
  const square = re * re + im * im;
  if (square === 0) return complexZero;
  const { powerW, reactivePowerVar } = demand;
  const current = complex(
    (powerW * re + reactivePowerVar * im) / square,
    (powerW * im - reactivePowerVar * re) / square,
  );
  return demand.model === 'constantPower' ? current : scaleComplex(current, Math.sqrt(square) / demand.ratedV);
}

/** The winding that the core's admittance is referred to; -1 without one. */
function coreWinding(element: TransformerElement): number {
  return element.windings.findIndex(({ name }) => name === element.core?.winding);
}

function powerTaken(element: PowerFlowElement, currents: readonly CurrentFlow[], across: Across): Power {
  let powerW = 0;
  let reactivePowerVar = 0;
  for (let at = 0; at < currents.length; at++) {
    const currentA = currents[at]?.currentA ?? complexZero;
    // A transformer's windings may be followed by the current of its core, across one of them.
    const isCore = element.kind === 'transformer' && at === element.windings.length;
    const volts = across(isCore ? coreWinding(element) : at);
    powerW += volts.re * currentA.re + volts.im * currentA.im;
    reactivePowerVar += volts.im * currentA.re - volts.re * currentA.im;
  }
  return { powerW, reactivePowerVar };
}

/** From resistances and currents, so that a small loss is not the difference of two large powers. */
function lossIn(element: PowerFlowElement, currents: readonly CurrentFlow[], core: Complex, across: Across): number {
  const squareA = (i: number): number => {
    const { re, im } = currents[i]?.currentA ?? complexZero;
    return re * re + im * im;
  };
  switch (element.kind) {
    case 'impedance':
      return element.resistanceOhm * squareA(0);
    case 'line': {
      let loss = 0;
      for (let i = 0; i < currents.length; i++) {
        const a = currents[i]?.currentA ?? complexZero;
        let re = 0;
        let im = 0;
        for (let j = 0; j < currents.length; j++) {
          const b = currents[j]?.currentA ?? complexZero;
          const r = element.resistanceOhm[i]?.[j] ?? 0;
          const x = element.reactanceOhm[i]?.[j] ?? 0;
          re += r * b.re - x * b.im;
          im += r * b.im + x * b.re;
        }
        loss += re * a.re + im * a.im;
      }
      return loss;
    }
    case 'transformer': {
      let loss = element.windings.reduce((sum, { resistanceOhm }, i) => sum + resistanceOhm * squareA(i), 0);
      const at = coreWinding(element);
      const winding = element.windings[at];
      if (element.core !== undefined && winding !== undefined) {
        const turns = winding.ratedV / coreBaseV(element);
        const volts = element.core.at === 'idealCore' ? scaleComplex(core, turns) : across(at);
        loss += element.core.conductanceS * (volts.re ** 2 + volts.im ** 2);
      }
      return loss;
    }
    default:
      return 0;
  }
}

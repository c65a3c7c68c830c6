import { checkNetwork } from './check-network.ts';
import { type Equations, type NonlinearLoads, writeEquations } from './equations.ts';
import type { LoadElement, PowerFlowElement } from './network.ts';
import { prepareNewton } from './newton.ts';
import { type PowerFlowFailure, solvePowerFlow } from './power-flow.ts';
import { readVolts, type TerminalVolts } from './results.ts';
import { readTopology } from './topology.ts';

/** Where a load may hang; what it draws is said with each solve. */
export interface LoadPlace {
  readonly id: string;
  readonly from: string;
  readonly to: string;
  /** Volts at which a load of constant current has its power. */
  readonly ratedV: number;
}

/** What every place draws, in their order. */
export interface PlacedLoads {
  readonly model: 'constantPower' | 'constantCurrent';
  readonly powerW: Float64Array;
  readonly reactivePowerVar: Float64Array;
}

export interface FoundVolts {
  readonly status: 'solved';
  readonly terminals: ReadonlyMap<string, TerminalVolts>;
  /** To start a solve near it; null where it was solved anew. */
  readonly unknowns: Float64Array | null;
}

export interface PreparedPowerFlow {
  /**
   * Volts with these loads at the places, as `solvePowerFlow` finds them. `near`: volts found with other loads, from
   * which these are sought first.
   */
  readonly solve: (loads: PlacedLoads, near: FoundVolts | null) => FoundVolts | PowerFlowFailure;
}

/**
 * Reads a network once that is solved with many loads: what is joined to what, its equations, their order and pivots, and
 * its volts without the loads of the places. What cannot be solved from there is solved anew, and so fails in the same
 * words.
 */
export function preparePowerFlow(
  elements: readonly PowerFlowElement[],
  places: readonly LoadPlace[],
): PreparedPowerFlow {
  const anew = (loads: PlacedLoads): FoundVolts | PowerFlowFailure => {
    const drawing = places.map((place, at) => loadAt(place, loads, at)).filter((load) => load !== null);
    const result = solvePowerFlow({ elements: [...elements, ...drawing] });
    return result.status === 'solved' ? { status: 'solved', terminals: result.terminals, unknowns: null } : result;
  };
  // Any load stands for the place: with none, its equations would be left out.
  const something: PlacedLoads = {
    model: 'constantPower',
    powerW: new Float64Array(places.length).fill(1),
    reactivePowerVar: new Float64Array(places.length),
  };
  const held = places.map((place, at) => loadAt(place, something, at)).filter((load) => load !== null);
  const network = { elements: [...elements, ...held] };
  if (checkNetwork(network).length > 0) return { solve: anew };
  const topology = readTopology(network);
  if (topology.problems.length > 0) return { solve: anew };
  const equations = writeEquations(network, topology);
  const newton = prepareNewton(equations);
  if (newton === null) return { solve: anew };
  return {
    solve: (loads, near) => {
      const drawn = withLoads(equations, places, loads);
      const result = newton.solve({ ...equations, loads: drawn }, near?.unknowns ?? null);
      if (result.outcome !== 'converged') return anew(loads);
      const { unknowns } = result;
      return { status: 'solved', terminals: readVolts(topology, equations, unknowns), unknowns };
    },
  };
}

function loadAt({ id, from, to, ratedV }: LoadPlace, loads: PlacedLoads, at: number): LoadElement | null {
  const powerW = loads.powerW[at] as number;
  const reactivePowerVar = loads.reactivePowerVar[at] as number;
  if (powerW === 0 && reactivePowerVar === 0) return null;
  const power = { powerW, reactivePowerVar };
  const { model } = loads;
  const demand = model === 'constantPower' ? { model, ...power } : { model, ...power, ratedV };
  return { kind: 'load', id, from, to, demand };
}

/** The network's own loads, and those places that draw. */
function withLoads({ loads }: Equations, places: readonly LoadPlace[], placed: PlacedLoads): NonlinearLoads {
  const own = loads.count - places.length;
  const drawing: number[] = [];
  for (let at = 0; at < loads.count; at++) {
    const place = at - own;
    if (place < 0 || placed.powerW[place] !== 0 || placed.reactivePowerVar[place] !== 0) drawing.push(at);
  }
  const count = drawing.length;
  const some = {
    count,
    elements: drawing.map((at) => loads.elements[at] as LoadElement),
    isConstantCurrent: new Uint8Array(count),
    powerW: new Float64Array(count),
    reactivePowerVar: new Float64Array(count),
    fromUnknown: new Int32Array(count),
    toUnknown: new Int32Array(count),
    entries: new Int32Array(4 * count),
  };
  const isConstantCurrent = placed.model === 'constantCurrent';
  drawing.forEach((at, i) => {
    const place = places[at - own];
    const perVolt = isConstantCurrent ? (place?.ratedV ?? 1) : 1;
    some.isConstantCurrent[i] = (
      place === undefined ? loads.isConstantCurrent[at] : Number(isConstantCurrent)
    ) as number;
    some.powerW[i] = place === undefined ? (loads.powerW[at] as number) : (placed.powerW[at - own] as number) / perVolt;
    some.reactivePowerVar[i] =
      place === undefined
        ? (loads.reactivePowerVar[at] as number)
        : (placed.reactivePowerVar[at - own] as number) / perVolt;
    some.fromUnknown[i] = loads.fromUnknown[at] as number;
    some.toUnknown[i] = loads.toUnknown[at] as number;
    some.entries.set(loads.entries.subarray(4 * at, 4 * at + 4), 4 * i);
  });
  return some;
}

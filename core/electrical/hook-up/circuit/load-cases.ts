import { transformerOf } from '../../../boats.ts';
import type { LoadElement } from '../../power-flow/network.ts';
import type { HookUpContext } from '../hook-up.ts';
import { conductorA, protectedA } from '../protection-rules.ts';
import type { Path, TracedInlet } from '../trace.ts';
import { lineToLineNeed, pathsTo } from '../wiring-rules.ts';
import type { HookUpCircuit, LoadPort } from './circuit.ts';
import { noLoadA } from './transformer-aboard.ts';

/** What a load at one port can come to, A. */
export interface PortLimit {
  readonly port: LoadPort;
  /** What breakers ashore, in adapters and aboard let through. */
  readonly passedA: number;
  /** The same, and no conductor of its line above its rating. */
  readonly heldA: number;
  /** Whether such a load is aboard. */
  readonly need: 'needed' | 'unknown' | 'notNeeded';
  /** The pole of an outlet that it loads together with others, and what that passes; null behind a transformer. */
  readonly pole: string | null;
  readonly poleA: number;
}

/** The limits of every port of these inlets that a load can hang on and that some way reaches. */
export function portLimits(
  circuit: HookUpCircuit,
  inlets: readonly TracedInlet[],
  context: HookUpContext,
): readonly PortLimit[] {
  return circuit.ports.flatMap((port) => {
    const traced = inlets.find(({ inlet }) => inlet.id === port.inletId);
    if (traced === undefined || port.transformer === 'primary') return [];
    const paths = linePaths(traced, port);
    const first = paths[0];
    if (first === undefined) return [];
    const mainA = traced.inlet.mainBreakerA?.value ?? Number.POSITIVE_INFINITY;
    const ratio = port.transformer === 'behind' ? secondaryShare(circuit, port) : 1;
    const ratedA = traced.configuration.ratedA;
    // What breakers and conductors before a transformer pass feeds the transformer itself, too.
    const transformer = transformerOf(traced.inlet);
    const ownA = transformer === null ? 0 : noLoadA(transformer, traced.configuration);
    const behind = (amperes: number) => Math.max(0, amperes - ownA) * ratio;
    const shoreA = behind(Math.min(...paths.map((path) => protectedA(path) ?? ratedA)));
    const wireA = behind(Math.min(...paths.map((path) => conductorA(path, traced, context))));
    const passedA = Math.min(mainA, shoreA);
    const isLeg = port.legs[1] === 'N';
    return [
      {
        port,
        passedA,
        heldA: Math.min(passedA, wireA),
        need: isLeg ? ('needed' as const) : lineToLineNeed(traced),
        pole: ratio === 1 && isLeg ? `${first.outlet.id} ${first.terminal}` : null,
        poleA: first.outlet.breakerA ?? ratedA,
      },
    ];
  });
}

/** Ways to the lines that a port is fed by: its own, or all of the inlet behind a transformer. */
function linePaths(traced: TracedInlet, port: LoadPort): Path[] {
  if (port.transformer === 'behind') return traced.live.map(({ path }) => path);
  const legs = port.legs.filter((leg) => leg !== 'N');
  const paths = legs.flatMap((leg) => pathsTo(traced, leg)[0] ?? []);
  return paths.length === 0 && port.legs[1] !== 'N' ? [] : paths;
}

/** Amperes at a secondary port for one ampere of the primary. */
function secondaryShare(circuit: HookUpCircuit, port: LoadPort): number {
  const primary = circuit.ports.find((each) => each.inletId === port.inletId && each.transformer === 'primary');
  const wholeV = Math.max(
    ...circuit.ports.flatMap((each) =>
      each.inletId === port.inletId && each.transformer === 'behind' ? [each.ratedV] : [],
    ),
  );
  return primary === undefined ? 1 : primary.ratedV / wholeV;
}

/** Amperes at each port that run together, in the order of the limits. */
export type AmpereCase = readonly number[];

const mostLegsInAllCombinations = 4;

/**
 * Every combination of legs at their limit and at nothing: amperes in a conductor are greatest at one of them, since the
 * magnitude of a sum of phasors is convex. Beyond four legs: each alone, each line's legs together, and all.
 */
export function limitCases(limits: readonly PortLimit[], ampere: 'passedA' | 'heldA'): AmpereCase[] {
  const withNeutral = new Set(limits.flatMap(({ port }) => (port.legs[1] === 'N' ? [port.inletId] : [])));
  // An inlet without neutral has its loads between lines.
  const legs = limits.filter(({ port }) => port.legs[1] === 'N' || !withNeutral.has(port.inletId));
  return combinations(legs).map((chosen) => atLimit(limits, chosen, ampere));
}

function combinations(legs: readonly PortLimit[]): PortLimit[][] {
  if (legs.length <= mostLegsInAllCombinations) {
    const all: PortLimit[][] = [];
    for (let mask = 1; mask < 1 << legs.length; mask++) all.push(legs.filter((_, i) => (mask & (1 << i)) !== 0));
    return all;
  }
  const byPole = [...new Set(legs.map(({ pole }) => pole))].map((pole) => legs.filter((leg) => leg.pole === pole));
  const pairs = byPole.flatMap((group, i) => byPole.slice(i + 1).map((other) => [...group, ...other]));
  return [...legs.map((leg) => [leg]), ...byPole, ...pairs, [...legs]];
}

/** Legs on one pole share what its breaker passes. */
function atLimit(limits: readonly PortLimit[], chosen: readonly PortLimit[], ampere: 'passedA' | 'heldA'): AmpereCase {
  const sumOf = (pole: string | null) =>
    chosen.reduce((sum, limit) => (limit.pole === pole ? sum + limit[ampere] : sum), 0);
  return limits.map((limit) => {
    if (!chosen.includes(limit)) return 0;
    const sum = limit.pole === null ? 0 : sumOf(limit.pole);
    return limit[ampere] * (sum > limit.poleA ? limit.poleA / sum : 1);
  });
}

/** A resistor that takes a port's full amperes at its rated volts. */
export function resistorAt({ port, heldA }: PortLimit): LoadElement {
  return loadAt(port, { model: 'constantImpedance', resistanceOhm: port.ratedV / heldA, reactanceOhm: 0 });
}

export function loadAt(port: LoadPort, demand: LoadElement['demand']): LoadElement {
  return { kind: 'load', id: `load ${port.id}`, from: port.from, to: port.to, demand };
}

/** Resistors: what is behind the legs all together and each alone, and what is between legs alone. */
export function resistorCases(limits: readonly PortLimit[]): (readonly LoadElement[])[] {
  const present = limits.filter(({ need }) => need !== 'notNeeded');
  const each = present.length > 1 ? present.map((limit) => [limit]) : [];
  return [present, ...each].filter((chosen) => chosen.length > 0).map((chosen) => chosen.map(resistorAt));
}

import type { Finding } from '../../findings.ts';
import { worstNeutralA } from './combined-currents.ts';
import type { HookUpContext } from './hook-up.ts';
import { cordSetsFor } from './inlet-rules.ts';
import { type Path, phasorOf, type TracedHookUp, type TracedInlet } from './trace.ts';
import { feedingOutlets, pathsTo } from './wiring-rules.ts';

/** A conductor or fitting rated below the amperes that reach it. */
interface Weak {
  readonly what: string;
  readonly ratedA: number;
  /** What breakers ashore and in adapters let through. */
  readonly protectedA: number;
  /** What the boat's main breakers let through; null where one is unknown. */
  readonly boundA: number | null;
}

/** Amperes that breakers of the dock and of adapters let through on one way; null where the outlet's is unknown. */
export function protectedA(path: Path): number | null {
  let leastA = path.outlet.breakerA;
  if (leastA === null) return null;
  for (const { breakerA } of path.segments) if (breakerA !== null) leastA = Math.min(leastA, breakerA);
  return leastA;
}

/** The least rating on a way: adapter conductors, cord set (unknown: the inlet's pattern), inlet. */
export function conductorA(path: Path, traced: TracedInlet, context: HookUpContext): number {
  let leastA = Math.min(traced.configuration.ratedA, cordA(traced, context) ?? Number.POSITIVE_INFINITY);
  for (const { ratedA } of path.segments) leastA = Math.min(leastA, ratedA);
  return leastA;
}

/** The least cord set that fits: which one is used is decided by its length. */
function cordA(traced: TracedInlet, context: HookUpContext): number | null {
  const cords = cordSetsFor(context.boat, traced.configuration.id) ?? [];
  return cords.length === 0 ? null : Math.min(...cords.map((cord) => cord.ratedA));
}

/**
 * Conductors rated below what protects them. The boat's own main breaker bounds what flows where it is known; without
 * it nothing does.
 */
export function judgeProtection(traced: TracedHookUp, context: HookUpContext): Finding[] {
  const loads = segmentLoads(traced);
  return traced.inlets.flatMap((inlet) => judgeInletProtection(inlet, loads, context));
}

/** How many inlet legs draw through each conductor, and what the boat's breakers let them draw. */
function segmentLoads(traced: TracedHookUp): ReadonlyMap<string, number | null> {
  const loads = new Map<string, number | null>();
  for (const inlet of traced.inlets) {
    const mainA = inlet.inlet.mainBreakerA?.value ?? null;
    for (const { path } of inlet.live) {
      for (const { key } of path.segments) {
        const before = loads.get(key);
        loads.set(key, before === null || mainA === null ? null : (before ?? 0) + mainA);
      }
    }
  }
  return loads;
}

function judgeInletProtection(
  traced: TracedInlet,
  loads: ReadonlyMap<string, number | null>,
  context: HookUpContext,
): Finding[] {
  const mainA = traced.inlet.mainBreakerA?.value ?? null;
  const ownA = cordA(traced, context);
  const parts: Weak[] = [...neutralParts(traced, mainA)];
  for (const { path } of traced.live) {
    let leastA = path.outlet.breakerA;
    if (leastA === null) continue;
    for (const segment of path.segments) {
      if (segment.breakerA !== null) leastA = Math.min(leastA, segment.breakerA);
      const boundA = loads.get(segment.key) ?? null;
      parts.push({ what: segment.adapter.label, ratedA: segment.ratedA, protectedA: leastA, boundA });
    }
    const ratedA = Math.min(traced.configuration.ratedA, ownA ?? Number.POSITIVE_INFINITY);
    parts.push({ what: 'the cord set', ratedA, protectedA: leastA, boundA: mainA });
  }
  const weak = parts.filter((part) => part.protectedA > part.ratedA);
  // One word on the worst part: unbounded before bounded, then the smallest rating.
  weak.sort((a, b) => Number(isBounded(a)) - Number(isBounded(b)) || a.ratedA - b.ratedA);
  const worst = weak[0];
  return worst === undefined ? [] : [belowBreaker(traced, worst, context)];
}

function isBounded(part: Weak): boolean {
  return part.boundA !== null && part.boundA <= part.ratedA;
}

/** Behind one outlet a neutral carries at most the worst sum of its legs; joined outlets have a rule of their own. */
function neutralParts(traced: TracedInlet, mainA: number | null): Weak[] {
  const worstA = feedingOutlets(traced).length === 1 ? worstNeutralOf(traced, false) : null;
  if (worstA === null) return [];
  const boundA = mainA === null ? null : mainA * traced.live.length;
  return pathsTo(traced, 'N').flatMap(({ segments }) =>
    segments.map(({ adapter, ratedA }): Weak => {
      return { what: `the neutral of ${adapter.label}`, ratedA, protectedA: Math.round(worstA * 10) / 10, boundA };
    }),
  );
}

/**
 * Largest neutral current at an inlet, each pole at the limit of its breakers (and, where wanted, of the boat's known
 * main breaker), A; null where a breaker is unknown.
 */
export function worstNeutralOf(traced: TracedInlet, withMainBreaker: boolean): number | null {
  const poles = new Map<string, { phasor: ReturnType<typeof phasorOf>; limitA: number; legs: number }>();
  for (const { path } of traced.live) {
    const limitA = protectedA(path);
    if (limitA === null) return null;
    const key = `${path.outlet.id} ${path.terminal}`;
    const before = poles.get(key);
    poles.set(key, { phasor: phasorOf(path), limitA, legs: (before?.legs ?? 0) + 1 });
  }
  const mainA = withMainBreaker ? (traced.inlet.mainBreakerA?.value ?? null) : null;
  return worstNeutralA(
    [...poles.values()].map(({ phasor, limitA, legs }) => ({
      phasor,
      limitA: mainA === null ? limitA : Math.min(limitA, mainA * legs),
    })),
  );
}

function belowBreaker(traced: TracedInlet, weak: Weak, context: HookUpContext): Finding {
  const base = {
    rule: 'hookup.conductorBelowBreaker' as const,
    subject: traced.subject,
    actual: weak.ratedA,
    limit: weak.protectedA,
    unit: 'A',
  };
  const what = `Before inlet ${traced.inlet.id}, ${weak.what} is rated ${weak.ratedA} A behind a ${weak.protectedA} A breaker.`;
  if (context.refuseCordBelowBreaker)
    return {
      ...base,
      level: 'refuse',
      source: 'the marina refuses cords and adapters rated below the breaker',
      message: `${what} This marina refuses that. Use a piece with a breaker of at most ${weak.ratedA} A built in.`,
      mend: `an outlet with a breaker of at most ${weak.ratedA} A, or an adapter with one built in`,
    };
  const source = "common practice: the boat's main breaker bounds the current of a cord behind a larger breaker";
  if (isBounded(weak))
    return {
      ...base,
      level: 'caution',
      source,
      message: `${what} The boat's main breaker (${weak.boundA} A in all) bounds the load, not a fault in the cord. Look after the cord.`,
    };
  return {
    ...base,
    level: 'confirm',
    source,
    message: `${what} Only a main breaker aboard of at most ${weak.ratedA} A would bound the load. Read it before connecting.`,
    missingFact: {
      subject: traced.subject,
      fact: `inlets.${traced.position}.mainBreakerA`,
      question: `What is marked on the boat's main breaker behind inlet ${traced.inlet.id}, in amperes?`,
    },
  };
}

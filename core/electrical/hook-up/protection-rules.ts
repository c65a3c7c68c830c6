import type { Finding } from '../../findings.ts';
import type { HookUpContext } from './hook-up.ts';
import { cordSetsFor } from './inlet-rules.ts';
import type { Path, TracedHookUp, TracedInlet } from './trace.ts';

/** A conductor rated below what protects it. */
interface Weak {
  readonly what: string;
  readonly elementId: string;
  readonly ratedA: number;
  /** What breakers ashore and in adapters let through. */
  readonly protectedA: number;
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
 * Line conductors rated below what protects them. The boat's own main breakers bound what flows where they are known:
 * `passedA` is what they leave in a conductor of the solved circuit, null where that is not solved.
 */
export function judgeProtection(
  traced: TracedHookUp,
  context: HookUpContext,
  passedA: ((elementId: string) => number) | null,
): Finding[] {
  return traced.inlets.flatMap((inlet) => judgeInletProtection(inlet, context, passedA));
}

function judgeInletProtection(
  traced: TracedInlet,
  context: HookUpContext,
  passedA: ((elementId: string) => number) | null,
): Finding[] {
  const ownA = Math.min(traced.configuration.ratedA, cordA(traced, context) ?? Number.POSITIVE_INFINITY);
  const weak: Weak[] = [];
  for (const { terminal, path } of traced.live) {
    let leastA = path.outlet.breakerA;
    if (leastA === null) continue;
    const add = (what: string, elementId: string, ratedA: number, protectingA: number): void => {
      if (protectingA > ratedA) weak.push({ what, elementId, ratedA, protectedA: protectingA });
    };
    for (const { elementId, adapter, ratedA, breakerA } of path.segments) {
      if (breakerA !== null) leastA = Math.min(leastA, breakerA);
      add(adapter.label, elementId, ratedA, leastA);
    }
    add('the cord set', `cord ${traced.inlet.id}.${terminal}`, ownA, leastA);
  }
  // Unknown amperes bound nothing.
  const judged = weak.map((part) => ({ part, amperes: passedA?.(part.elementId) ?? Number.POSITIVE_INFINITY }));
  // One word on the worst part: unbounded before bounded, then the smallest rating.
  judged.sort((a, b) => Number(isBounded(a)) - Number(isBounded(b)) || a.part.ratedA - b.part.ratedA);
  const worst = judged[0];
  return worst === undefined ? [] : [belowBreaker(traced, worst, context)];
}

interface Judged {
  readonly part: Weak;
  readonly amperes: number;
}

function isBounded({ part, amperes }: Judged): boolean {
  return amperes <= part.ratedA * (1 + 1e-6);
}

function belowBreaker(traced: TracedInlet, judged: Judged, context: HookUpContext): Finding {
  const { part: weak } = judged;
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
  if (isBounded(judged))
    return {
      ...base,
      level: 'caution',
      source,
      message: `${what} The boat's main breaker (${Math.round(judged.amperes * 10) / 10} A) bounds the load, not a fault in the cord. Look after the cord.`,
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

import type { Component } from './components.ts';
import { type Grade, gravityOf } from './grades.ts';

export interface Candidate {
  readonly component: Component;
  readonly score: Score;
  /** Pieces taken: of each group of like outlets, then of each pool of adapters. */
  readonly uses: readonly number[];
}

/** Compared part by part, less is better. */
export interface Score {
  readonly gravity: number;
  readonly unfed: number;
  /** Findings on outlets, adapters and inlets that refuse or want confirmation. */
  readonly doubts: number;
  readonly adapters: number;
  readonly outlets: number;
}

export function compareScores(a: Score, b: Score): number {
  return (
    a.gravity - b.gravity ||
    a.unfed - b.unfed ||
    a.doubts - b.doubts ||
    a.adapters - b.adapters ||
    a.outlets - b.outlets
  );
}

/**
 * Judges the components and drops those that another one betters: it feeds the same inlets with outlets and adapters
 * that are all among theirs, and is no worse. `endsOf` is what its inlets and outlets bring by themselves, the least that it can come
 * to; it spares tracing most of them.
 */
export function undominated(
  components: readonly Component[],
  poolCount: number,
  endsOf: (component: Component) => Grade,
  wiringOf: (component: Component) => Grade,
): Candidate[] {
  const byInlets = new Map<number, Candidate[]>();
  const candidates: Candidate[] = [];
  const fewestFirst = [...components].sort(
    (a, b) => a.adapters.length - b.adapters.length || a.outletCount - b.outletCount,
  );
  for (const component of fewestFirst) {
    const rivals = byInlets.get(component.inletMask) ?? [];
    const uses = usesOf(component, poolCount);
    const isWithin = (rival: Candidate) => rival.uses.every((count, i) => count <= (uses[i] ?? 0));
    const below = rivals.filter(isWithin);
    const ends = endsOf(component);
    if (below.some((rival) => isNoWorse(rival.score, ends))) continue;
    const wiring = wiringOf(component);
    const score: Score = {
      gravity: Math.max(ends.gravity, wiring.gravity),
      unfed: 0,
      doubts: ends.doubts + wiring.doubts,
      adapters: component.adapters.length,
      outlets: component.outletCount,
    };
    if (below.some((rival) => isNoWorse(rival.score, score))) continue;
    const candidate = { component, score, uses };
    rivals.push(candidate);
    byInlets.set(component.inletMask, rivals);
    candidates.push(candidate);
  }
  return candidates.sort((a, b) => compareScores(a.score, b.score));
}

function isNoWorse(a: Grade, b: Grade): boolean {
  return a.gravity <= b.gravity && a.doubts <= b.doubts;
}

export interface Combination {
  readonly components: readonly Component[];
  readonly score: Score;
}

/**
 * The best `most` sets of components that feed every inlet (or some, where `partial`) and together take no more pieces
 * than there are.
 */
export function combine(
  candidates: readonly Candidate[],
  inletCount: number,
  quantities: readonly number[],
  most: number,
  partial: boolean,
): Combination[] {
  const best: Combination[] = [];
  const left = [...quantities];
  const byFirstInlet = Array.from({ length: inletCount }, (_, i) =>
    candidates.filter(({ component }) => lowestBit(component.inletMask) === i),
  );
  const leastFrom = leastOfRest(byFirstInlet);
  const chosen: Component[] = [];

  function isHopeless(score: Score): boolean {
    const worst = best[most - 1];
    return worst !== undefined && compareScores(score, worst.score) >= 0;
  }

  function choose(inlet: number, inletMask: number, score: Score): void {
    if (inlet === inletCount) {
      if (chosen.length === 0 || isHopeless(score)) return;
      const at = best.findIndex((each) => compareScores(score, each.score) < 0);
      best.splice(at < 0 ? best.length : at, 0, { components: [...chosen], score });
      if (best.length > most) best.pop();
      return;
    }
    if ((inletMask & (1 << inlet)) !== 0) {
      choose(inlet + 1, inletMask, score);
      return;
    }
    if (!partial && isHopeless(sum(score, leastFrom[inlet] ?? nothing))) return;
    for (const { component, score: own, uses } of byFirstInlet[inlet] ?? []) {
      const together = sum(score, own);
      // The list is in order, and sums keep it unless the gravity so far hides a candidate's own.
      if (own.gravity >= score.gravity && isHopeless(together)) break;
      if ((component.inletMask & inletMask) !== 0) continue;
      if (uses.some((count, i) => count > (left[i] ?? 0))) continue;
      uses.forEach((count, i) => {
        left[i] = (left[i] ?? 0) - count;
      });
      chosen.push(component);
      choose(inlet + 1, inletMask | component.inletMask, together);
      chosen.pop();
      uses.forEach((count, i) => {
        left[i] = (left[i] ?? 0) + count;
      });
    }
    // An inlet left out is a matter to confirm, as judged for the whole.
    if (partial) choose(inlet + 1, inletMask, sum(score, leftOut));
  }

  choose(0, 0, nothing);
  return best;
}

const nothing: Score = { gravity: 0, unfed: 0, doubts: 0, adapters: 0, outlets: 0 };

/** From each inlet on, part by part, the least that one more component brings. */
function leastOfRest(byFirstInlet: readonly (readonly Candidate[])[]): Score[] {
  return byFirstInlet.map((_, i) => {
    const scores = byFirstInlet.slice(i).flatMap((list) => list.map(({ score }) => score));
    return scores.length === 0 ? nothing : scores.reduce(leastParts);
  });
}

function leastParts(a: Score, b: Score): Score {
  return {
    gravity: Math.min(a.gravity, b.gravity),
    unfed: Math.min(a.unfed, b.unfed),
    doubts: Math.min(a.doubts, b.doubts),
    adapters: Math.min(a.adapters, b.adapters),
    outlets: Math.min(a.outlets, b.outlets),
  };
}

const leftOut: Score = { gravity: gravityOf.unconfirmed, unfed: 1, doubts: 1, adapters: 0, outlets: 0 };

function sum(a: Score, b: Score): Score {
  return {
    gravity: Math.max(a.gravity, b.gravity),
    unfed: a.unfed + b.unfed,
    doubts: a.doubts + b.doubts,
    adapters: a.adapters + b.adapters,
    outlets: a.outlets + b.outlets,
  };
}

function usesOf(component: Component, poolCount: number): number[] {
  const ofAdapters = new Array<number>(poolCount).fill(0);
  for (const { poolIndex } of component.adapters) ofAdapters[poolIndex] = (ofAdapters[poolIndex] ?? 0) + 1;
  return [...component.outletUses, ...ofAdapters];
}

function lowestBit(mask: number): number {
  return 31 - Math.clz32(mask & -mask);
}

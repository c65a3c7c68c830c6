import type { Component } from './components.ts';
import { type Grade, gravityOf } from './grades.ts';

export interface Candidate {
  readonly component: Component;
  /** The least that it can come to, by its inlets and outlets alone: known before its circuit is solved. */
  readonly least: Score;
  /** What it comes to, judged when first asked for; null where another one betters it. */
  readonly score: () => Score | null;
  /** Pieces taken: of each group of like outlets, of each pool of adapters, of cord sets of each configuration. */
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
 * Ranks components by the least that they can come to. One that another betters has no score: that one feeds the same inlets with outlets and adapters that are all among
 * theirs, and is no worse. `endsOf` is what its inlets and outlets bring by themselves, and `leastOfWiring` the least that
 * comes on top. Its circuit is solved (`wiringOf`) only where that does not settle it, and where it can still win.
 */
export function undominated(
  components: readonly Component[],
  poolCount: number,
  cordConfigurations: readonly string[],
  endsOf: (component: Component) => Grade,
  leastOfWiring: (component: Component) => Grade,
  wiringOf: (component: Component) => Grade,
): Candidate[] {
  const byInlets = new Map<number, Candidate[]>();
  const candidates: Candidate[] = [];
  const fewestFirst = [...components].sort(
    (a, b) => a.adapters.length - b.adapters.length || a.outletCount - b.outletCount,
  );
  for (const component of fewestFirst) {
    const rivals = byInlets.get(component.inletMask) ?? [];
    const uses = usesOf(component, poolCount, cordConfigurations);
    const before = rivals.length;
    /** By one that came before it, with pieces that are all among its own. */
    const isBettered = (grade: Grade): boolean => {
      for (let i = 0; i < before; i++) {
        const rival = rivals[i];
        if (rival === undefined || !isNoWorse(rival.least, grade)) continue;
        if (!rival.uses.every((count, piece) => count <= (uses[piece] ?? 0))) continue;
        const score = rival.score();
        if (score !== null && isNoWorse(score, grade)) return true;
      }
      return false;
    };
    const ends = endsOf(component);
    const wiringAtLeast = leastOfWiring(component);
    const atLeast: Grade = {
      gravity: Math.max(ends.gravity, wiringAtLeast.gravity),
      doubts: ends.doubts + wiringAtLeast.doubts,
    };
    const pieces = { unfed: 0, adapters: component.adapters.length, outlets: component.outletCount };
    const score = once((): Score | null => {
      if (isBettered(atLeast)) return null;
      const wiring = wiringOf(component);
      const gravity = Math.max(ends.gravity, wiring.gravity);
      const doubts = ends.doubts + wiring.doubts;
      return isBettered({ gravity, doubts }) ? null : { gravity, doubts, ...pieces };
    });
    const candidate = { component, least: { ...atLeast, ...pieces }, score, uses };
    rivals.push(candidate);
    byInlets.set(component.inletMask, rivals);
    candidates.push(candidate);
  }
  return candidates.sort((a, b) => compareScores(a.least, b.least));
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | null = null;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
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
 * than there are; `usable` ones leave out what is refused.
 */
export function combine(
  candidates: readonly Candidate[],
  inletCount: number,
  quantities: readonly number[],
  most: number,
  { partial, usable }: { readonly partial: boolean; readonly usable: boolean },
): Combination[] {
  const best: Combination[] = [];
  const left = [...quantities];
  const byFirstInlet = Array.from({ length: inletCount }, (_, i) =>
    candidates.filter(
      ({ component, least }) => lowestBit(component.inletMask) === i && !(usable && least.gravity >= gravityOf.refused),
    ),
  );
  const leastFrom = leastOfRest(byFirstInlet);
  const chosen: Component[] = [];

  function isHopeless(score: Score): boolean {
    const worst = best[most - 1];
    return worst !== undefined && compareScores(score, worst.score) >= 0;
  }

  /** The least that comes on top of this from an inlet on. */
  function withRest(score: Score, inlet: number, inletMask: number): Score {
    const isDone = inletMask === (1 << inletCount) - 1;
    return partial || isDone ? score : sum(score, leastFrom[inlet] ?? nothing);
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
    if (isHopeless(withRest(score, inlet, inletMask))) return;
    for (const candidate of byFirstInlet[inlet] ?? []) {
      const { component, least, uses } = candidate;
      const atLeast = sum(score, least);
      // The list is in order, and sums keep it unless the gravity so far hides a candidate's own.
      if (least.gravity >= score.gravity && isHopeless(atLeast)) break;
      if ((component.inletMask & inletMask) !== 0) continue;
      if (uses.some((count, i) => count > (left[i] ?? 0))) continue;
      const mask = inletMask | component.inletMask;
      if (isHopeless(withRest(atLeast, inlet + 1, mask))) continue;
      const own = candidate.score();
      if (own === null || (usable && own.gravity >= gravityOf.refused)) continue;
      const together = sum(score, own);
      if (isHopeless(withRest(together, inlet + 1, mask))) continue;
      uses.forEach((count, i) => {
        left[i] = (left[i] ?? 0) - count;
      });
      chosen.push(component);
      choose(inlet + 1, mask, together);
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
    const scores = byFirstInlet.slice(i).flatMap((list) => list.map(({ least }) => least));
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

function usesOf(component: Component, poolCount: number, cordConfigurations: readonly string[]): number[] {
  const ofAdapters = new Array<number>(poolCount).fill(0);
  for (const { poolIndex } of component.adapters) ofAdapters[poolIndex] = (ofAdapters[poolIndex] ?? 0) + 1;
  const ofCords = cordConfigurations.map((configurationId) => {
    const fed = component.joints.flatMap(({ to }) =>
      to.kind === 'inlet' && to.configurationId === configurationId ? [to.inletId] : [],
    );
    return new Set(fed).size;
  });
  return [...component.outletUses, ...ofAdapters, ...ofCords];
}

function lowestBit(mask: number): number {
  return 31 - Math.clz32(mask & -mask);
}

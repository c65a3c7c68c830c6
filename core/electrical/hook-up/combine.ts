import { type Finding, verdictOf } from '../../findings.ts';
import type { AdapterPool, Component } from './components.ts';

export interface Candidate {
  readonly component: Component;
  readonly score: Score;
  readonly uses: readonly number[];
}

/** Compared part by part, less is better. */
interface Score {
  readonly gravity: number;
  readonly unfed: number;
  /** Findings that refuse or want confirmation. */
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

export const gravityOf = { clear: 0, cautioned: 1, unconfirmed: 2, refused: 3 } as const;

/** The score of a judged hook-up that leaves `unfed` inlets without power. */
export function scoreOf(findings: readonly Finding[], unfed: number, adapters: number, outlets: number): Score {
  const doubts = findings.filter(({ level }) => level === 'refuse' || level === 'confirm').length;
  return { gravity: gravityOf[verdictOf(findings)], unfed, doubts, adapters, outlets };
}

/** Gravity and doubts, of a judgement or as the least that one can come to. */
export interface Grade {
  readonly gravity: number;
  readonly doubts: number;
}

/**
 * Judges the components and drops those that another one betters: it feeds the same inlets with outlets and adapters
 * that are all among theirs, and is no worse. `floorOf` is the least that a component can be judged, from its inlets
 * and outlets alone; it spares judging most of them.
 */
export function undominated(
  components: readonly Component[],
  poolCount: number,
  floorOf: (component: Component) => Grade,
  judge: (component: Component) => readonly Finding[],
): Candidate[] {
  const byInlets = new Map<number, Candidate[]>();
  const candidates: Candidate[] = [];
  const fewestFirst = [...components].sort(
    (a, b) => a.adapters.length - b.adapters.length || bitCount(a.outletMask) - bitCount(b.outletMask),
  );
  for (const component of fewestFirst) {
    const rivals = byInlets.get(component.inletMask) ?? [];
    const uses = usesOf(component, poolCount);
    const isWithin = (rival: Candidate) =>
      (rival.component.outletMask & ~component.outletMask) === 0 &&
      rival.uses.every((count, i) => count <= (uses[i] ?? 0));
    const below = rivals.filter(isWithin);
    const floor = below.length === 0 ? null : floorOf(component);
    if (floor !== null && below.some((rival) => isNoWorse(rival.score, floor))) continue;
    const score = scoreOf(judge(component), 0, component.adapters.length, bitCount(component.outletMask));
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

/** The best `most` sets of components that feed every inlet (or some, where `partial`) and share nothing. */
export function combine(
  candidates: readonly Candidate[],
  inletCount: number,
  pools: readonly AdapterPool[],
  most: number,
  partial: boolean,
): Combination[] {
  const best: Combination[] = [];
  const left = pools.map((pool) => pool.quantity);
  const byFirstInlet = Array.from({ length: inletCount }, (_, i) =>
    candidates.filter(({ component }) => lowestBit(component.inletMask) === i),
  );
  const chosen: Component[] = [];

  function isHopeless(score: Score): boolean {
    const worst = best[most - 1];
    return worst !== undefined && compareScores(score, worst.score) >= 0;
  }

  function choose(inlet: number, inletMask: number, outletMask: number, score: Score): void {
    if (isHopeless(score)) return;
    if (inlet === inletCount) {
      if (chosen.length === 0) return;
      const at = best.findIndex((each) => compareScores(score, each.score) < 0);
      best.splice(at < 0 ? best.length : at, 0, { components: [...chosen], score });
      if (best.length > most) best.pop();
      return;
    }
    if ((inletMask & (1 << inlet)) !== 0) {
      choose(inlet + 1, inletMask, outletMask, score);
      return;
    }
    for (const { component, score: own, uses } of byFirstInlet[inlet] ?? []) {
      if ((component.inletMask & inletMask) !== 0 || (component.outletMask & outletMask) !== 0) continue;
      if (uses.some((count, i) => count > (left[i] ?? 0))) continue;
      uses.forEach((count, i) => {
        left[i] = (left[i] ?? 0) - count;
      });
      chosen.push(component);
      choose(inlet + 1, inletMask | component.inletMask, outletMask | component.outletMask, sum(score, own));
      chosen.pop();
      uses.forEach((count, i) => {
        left[i] = (left[i] ?? 0) + count;
      });
    }
    // An inlet left out is a matter to confirm, as judged for the whole.
    if (partial) choose(inlet + 1, inletMask, outletMask, sum(score, leftOut));
  }

  choose(0, 0, 0, { gravity: 0, unfed: 0, doubts: 0, adapters: 0, outlets: 0 });
  return best;
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
  const uses = new Array<number>(poolCount).fill(0);
  for (const { poolIndex } of component.adapters) uses[poolIndex] = (uses[poolIndex] ?? 0) + 1;
  return uses;
}

function bitCount(mask: number): number {
  let count = 0;
  for (let rest = mask; rest !== 0; rest &= rest - 1) count++;
  return count;
}

function lowestBit(mask: number): number {
  return 31 - Math.clz32(mask & -mask);
}

import type { Finding, RuleName } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import { type Book, createBook } from '../plan/book.ts';
import { notNative } from '../plan/columns.ts';
import { judgedAt, placedBy, placeOnFace } from '../plan/place.ts';
import type { Placed } from '../plan/placed.ts';
import type { PlanQuestion, PlanStay } from '../plan/question.ts';
import { type PlanScene, planScene } from '../plan/scene.ts';
import { whyUnplaced } from '../plan/why-unplaced.ts';
import { gapsBetween, runsOf, type UnitNumbers, unitNumbers } from './side-by-side.ts';

/** `demand`: side by side or not at all. `wish`: in as few runs as can be. */
export const adjacencies = ['none', 'wish', 'demand'] as const;
export type Adjacency = (typeof adjacencies)[number];

export interface GroupQuestion {
  /** The members as stays without a place; everybody else as what is in use. */
  readonly plan: PlanQuestion;
  /** Berths that the group may have. */
  readonly berthIds: ReadonlySet<string>;
  readonly adjacency: Adjacency;
  /** Berths that members have already: the others are to lie beside those. */
  readonly besideBerthIds: ReadonlySet<string>;
}

export interface GroupAnswer {
  /** A place for every member, or none at all. */
  readonly placed: readonly Placed[];
  /** In how many runs of neighbouring berths they lie. */
  readonly runs: number;
  /** Whether every possibility was looked at: no better set of places, or none at all where nothing is placed. */
  readonly isProven: boolean;
  /** Who could not be placed and why; empty where all are. */
  readonly findings: readonly Finding[];
}

// Some ten microseconds each: the desk waits a second at most, and sets of a dozen boats on as many berths need far fewer.
const mostSteps = 60_000;
// A member left out outweighs every cost, and a hook-up that is not native all waste.
const leftOutCost = 1_000_000;
const notNativeCost = 1_000;

/**
 * Chooses a berth and outlets for every member of a group at once, so that each fits and has power beside all the others:
 * in as few runs of neighbouring berths as are asked for, then with the most native hook-ups, then the least waste. Exact
 * by branch and bound over the ways to lie that the options know, as far as the steps reach; a place on a face is the
 * one that the options would take.
 */
export function placeGroup(question: GroupQuestion): GroupAnswer {
  const scene = planScene(question.plan);
  const search = startSearch(scene, question);
  const { members, adjacency } = { members: question.plan.stays, adjacency: question.adjacency };
  const most = adjacency === 'none' ? Number.POSITIVE_INFINITY : 1;
  let found = search({ mostRuns: most, mayLeaveOut: false });
  for (let runs = 2; adjacency === 'wish' && found.placed === null && runs <= members.length; runs++) {
    found = search({ mostRuns: runs, mayLeaveOut: false });
  }
  const numbers = unitNumbers(scene.question.index);
  if (found.placed !== null) {
    const runs = runsOf(
      numbers,
      found.placed.map(({ berth }) => berth),
    );
    return { placed: found.placed, runs, isProven: found.isWhole, findings: [] };
  }
  // Why not: who is left out where as many as can be are placed, wherever they lie.
  const apart = search({ mostRuns: Number.POSITIVE_INFINITY, mayLeaveOut: true });
  return { placed: [], runs: 0, isProven: found.isWhole, findings: whyNot(scene, question, numbers, apart, found) };
}

interface Aim {
  readonly mostRuns: number;
  readonly mayLeaveOut: boolean;
}

interface Found {
  readonly placed: readonly Placed[] | null;
  readonly isWhole: boolean;
}

/** A berth with a way to lie there; on a face the metres follow from who lies there already. */
interface Candidate {
  readonly berth: Berth;
  readonly cost: number;
  readonly ordinal: number;
  readonly at: (book: Book) => Placed | null;
}

function startSearch(scene: PlanScene, { plan, berthIds, besideBerthIds }: GroupQuestion): (aim: Aim) => Found {
  const { index } = plan;
  const berths = index.inventory.berths.filter(({ id }) => berthIds.has(id));
  const beside = index.inventory.berths.filter(({ id }) => besideBerthIds.has(id));
  const numbers = unitNumbers(index);
  const mostUnits = Math.max(1, ...berths.map(({ unitIds }) => unitIds.length));
  const nobody = createBook(scene);
  const members = plan.stays
    .map((stay) => ({ stay, candidates: candidatesOf(scene, nobody, stay, berths) }))
    .sort((a, b) => a.candidates.length - b.candidates.length || (a.stay.id < b.stay.id ? -1 : 1));
  /** The member before one that is alike in everything: the two need be tried in one order only. */
  const twins = members.map(({ stay }, i) =>
    members.findLastIndex((other, k) => k < i && isAlike(scene, stay, other.stay)),
  );

  return ({ mostRuns, mayLeaveOut }) => {
    const leastAfter = members.map((_, i) =>
      members
        .slice(i)
        .reduce((sum, { candidates }) => sum + (candidates[0]?.cost ?? (mayLeaveOut ? leftOutCost : 0)), 0),
    );
    const book = createBook(scene);
    const chosen: (Placed | null)[] = [];
    const ordinals: number[] = [];
    let best: { readonly placed: readonly Placed[]; readonly cost: number } | null = null;
    let steps = 0;

    const visit = (i: number, cost: number): void => {
      const member = members[i];
      if (member === undefined) {
        const placed = chosen.filter((each) => each !== null);
        if (placed.every((each) => isSound(scene, book, each))) best = { placed, cost };
        return;
      }
      const twin = twins[i] ?? -1;
      for (const { berth, cost: own, ordinal, at } of member.candidates) {
        if (steps >= mostSteps) return;
        if (best !== null && cost + own + (leastAfter[i + 1] ?? 0) >= best.cost) return;
        if (twin >= 0 && ordinal < (ordinals[twin] ?? -1)) continue;
        steps += 1;
        const rest = (members.length - i - 1) * mostUnits;
        const together = [...beside, ...chosen.flatMap((each) => (each === null ? [] : [each.berth])), berth];
        if (fewestRuns(gapsBetween(numbers, together), rest) > mostRuns) continue;
        const placed = at(book);
        if (placed === null || book.conflicts(placed).length > 0) continue;
        book.add(placed);
        chosen.push(placed);
        ordinals.push(ordinal);
        visit(i + 1, cost + own);
        ordinals.pop();
        chosen.pop();
        book.remove(placed);
      }
      if (!mayLeaveOut || (best !== null && cost + leftOutCost + (leastAfter[i + 1] ?? 0) >= best.cost)) return;
      chosen.push(null);
      ordinals.push(Number.POSITIVE_INFINITY);
      visit(i + 1, cost + leftOutCost);
      ordinals.pop();
      chosen.pop();
    };
    visit(0, 0);
    // Assigned inside the closure, which the compiler does not follow.
    const result = best as { readonly placed: readonly Placed[] } | null;
    return { placed: result?.placed ?? null, isWhole: steps < mostSteps };
  };
}

/** Runs that are left at best when so many more units of space fill the smallest gaps. */
function fewestRuns(gaps: readonly number[], units: number): number {
  let left = units;
  let runs = gaps.length + 1;
  for (const gap of [...gaps].sort((a, b) => a - b)) {
    if (gap > left) break;
    left -= gap;
    runs -= 1;
  }
  return runs;
}

/** Ways of a member to lie in the berths were it alone with everybody who is no member, the cheapest first. */
function candidatesOf(scene: PlanScene, nobody: Book, stay: PlanStay, berths: readonly Berth[]): Candidate[] {
  const candidates: Omit<Candidate, 'ordinal'>[] = berths.flatMap((berth) => {
    const { ways } = scene.judge.ways(stay, berth);
    const [first] = ways;
    if (first === undefined) return [];
    if (berth.faceFromM !== null) {
      const at = (book: Book) => placeOnFace(scene, book, stay, berth);
      return at(nobody) === null ? [] : [{ berth, cost: costOf(first), at }];
    }
    return ways.flatMap((way) => {
      const placed = placedBy(scene, stay, berth, way);
      return nobody.conflicts(placed).length > 0 ? [] : [{ berth, cost: costOf(way), at: () => placed }];
    });
  });
  return candidates.sort((a, b) => a.cost - b.cost).map((candidate, ordinal) => ({ ...candidate, ordinal }));
}

function costOf(way: Parameters<typeof notNative>[0] & { readonly waste: number }): number {
  return notNative(way) * notNativeCost + way.waste;
}

function isAlike({ judge }: PlanScene, a: PlanStay, b: PlanStay): boolean {
  return (
    judge.kindOf(a) === judge.kindOf(b) &&
    a.period.from === b.period.from &&
    a.period.until === b.period.until &&
    a.occupiedUntil === b.occupiedUntil
  );
}

/** By the rules of the options themselves, with all the others where they are to lie. */
function isSound(scene: PlanScene, book: Book, placed: Placed): boolean {
  return judgedAt(scene, book, placed.stay, placed.berth, placed).verdict !== 'refused';
}

function whyNot(
  scene: PlanScene,
  { plan, berthIds, adjacency }: GroupQuestion,
  numbers: UnitNumbers,
  apart: Found,
  { isWhole }: Found,
): Finding[] {
  const berths = plan.index.inventory.berths.filter(({ id }) => berthIds.has(id));
  const book = createBook(scene);
  for (const placed of apart.placed ?? []) book.add(placed);
  const leftOut = plan.stays.filter((stay) => !book.isPlaced(stay));
  const sought = isWhole ? '' : ' Not every combination was tried.';
  if (leftOut.length === 0) {
    const runs = runsOf(
      numbers,
      book.placed().map(({ berth }) => berth),
    );
    const message = `All ${plan.stays.length} boats could lie in ${runs} groups of neighbouring berths, not side by side.${sought} Take away the demand for neighbours, or free berths between them.`;
    return [
      { ...refusal, rule: 'space.notAdjacent', subject: marinaOf(plan), actual: runs, limit: 1, unit: 'run', message },
    ];
  }
  return leftOut.map((stay): Finding => {
    const reasons = whyUnplaced(scene, book, stay, berths);
    const named = reasons.slice(0, 4).map(({ rule, subject, berths: count }) => {
      return `${rule}${subject === null ? '' : ` (${subject})`} at ${count} of ${berths.length}`;
    });
    const why = named.length === 0 ? 'there are no berths to choose from' : named.join(', ');
    return {
      ...refusal,
      // What speaks against the most berths. Rules of the plan are named as those of the options are.
      rule: (reasons[0]?.rule ?? 'space.taken') as RuleName,
      subject: { kind: 'stay', id: stay.id, label: stay.label },
      actual: reasons[0]?.berths ?? 0,
      limit: berths.length,
      unit: 'berth',
      message: `"${stay.label}" finds no berth beside the others${adjacency === 'demand' ? ', side by side or not' : ''}: ${why}.${sought}`,
      mend: `another berth for "${stay.label}", or the group without it`,
    };
  });
}

const refusal = { level: 'refuse', source: 'a group is placed whole or not at all' } as const;

function marinaOf({ index }: PlanQuestion) {
  const { name } = index.inventory;
  return { kind: 'marina', id: name, label: name } as const;
}

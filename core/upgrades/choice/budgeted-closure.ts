import { type Closure, type ClosureProblem, closureFinder, type Fixing, worth } from './closure.ts';

export interface Budgeted {
  readonly chosen: Uint8Array;
  readonly benefit: number;
  readonly cost: number;
}

/**
 * The choice of most benefit within a budget, and of those equally good the cheapest, proven by branch and bound: with some
 * things fixed in or out, the upper hull of (cost, benefit) over all closures bounds what the rest can reach. It pauses
 * after each branch, so that whoever runs it can do other things. `known` are choices to start from; those that
 * do not fit are passed over. All costs and values are whole numbers.
 */
export function* budgetedClosure(
  problem: ClosureProblem,
  budget: number,
  known: readonly Budgeted[] = [],
): Generator<void, Budgeted> {
  const { costs, requires } = problem;
  const things = costs.length;
  const find = closureFinder(problem);
  const requiredBy: number[][] = costs.map(() => []);
  for (const [i, needed] of requires.entries()) for (const r of needed) requiredBy[r]?.push(i);
  const nothing = new Uint8Array(things);
  let best: Budgeted = { chosen: nothing, ...worth(problem, nothing) };
  const offer = (found: Budgeted) => {
    if (found.cost > budget) return;
    if (found.benefit > best.benefit || (found.benefit === best.benefit && found.cost < best.cost)) best = found;
  };
  for (const each of known) offer(each);

  /** Fixes one thing and what follows from it; false where that contradicts what is fixed. */
  const fix = (fixing: Fixing, thing: number, to: 1 | 2): boolean => {
    if (fixing[thing] === to) return true;
    if (fixing[thing] !== 0) return false;
    fixing[thing] = to;
    return ((to === 1 ? requires[thing] : requiredBy[thing]) ?? []).every((other) => fix(fixing, other, to));
  };

  const open: Fixing[] = [new Uint8Array(things)];
  for (let fixing = open.pop(); fixing !== undefined; fixing = open.pop()) {
    yield;
    const inside = Uint8Array.from(fixing, (state) => (state === 1 ? 1 : 0));
    const least: Budgeted = { chosen: inside, ...worth(problem, inside) };
    if (least.cost > budget) continue;
    offer(least);
    const all = Uint8Array.from(fixing, (state) => (state === 2 ? 0 : 1));
    const most: Budgeted = { chosen: all, ...worth(problem, all) };
    offer(most);
    if (most.cost <= budget && most.benefit <= best.benefit && least.benefit >= best.benefit) continue;
    const more = hull(find, fixing, least, most, best.benefit + 1, offer);
    const branch = more.leastCost <= budget ? more : hull(find, fixing, least, most, best.benefit, offer);
    if (branch.leastCost > budget || (branch !== more && branch.leastCost > best.cost - 1)) continue;
    fill(problem, branch.below, fixing, budget, offer);
    // What the two ends of the hull's edge differ in is what the bound is undecided about; else anything that is open.
    let thing = -1;
    let undecided = -1;
    for (let i = 0; i < things; i++) {
      if (fixing[i] !== 0) continue;
      const weight = (branch.below.chosen[i] === branch.above.chosen[i] ? 0 : 1e15) + (costs[i] ?? 0);
      if (weight > undecided) [thing, undecided] = [i, weight];
    }
    if (thing < 0) continue;
    for (const to of [2, 1] as const) {
      const next = fixing.slice();
      if (fix(next, thing, to)) open.push(next);
    }
  }
  return best;
}

interface HullEdge {
  /** No closure with these fixings and at least the benefit wanted costs less. */
  readonly leastCost: number;
  readonly below: Budgeted;
  readonly above: Budgeted;
}

/** The edge of the hull over the benefit wanted, between the cheapest and the fullest choice, by trying the price of their chord. */
function hull(
  find: (price: number, fixing: Fixing) => Closure,
  fixing: Fixing,
  least: Budgeted,
  most: Budgeted,
  wanted: number,
  offer: (found: Budgeted) => void,
): HullEdge {
  let [below, above] = [least, most];
  if (most.benefit < wanted) return { leastCost: Number.POSITIVE_INFINITY, below, above };
  let leastCost = least.cost;
  while (below.benefit < wanted && above.cost > below.cost) {
    const price = (above.benefit - below.benefit) / (above.cost - below.cost);
    const found = find(price, fixing);
    offer(found);
    // The allowance keeps a bound from being rounded past what it bounds.
    const allowance = 1e-9 * (Math.abs(found.most) + wanted);
    leastCost = Math.max(leastCost, (wanted - found.most - allowance) / price);
    if (found.benefit - price * found.cost <= below.benefit - price * below.cost + allowance) break;
    if (found.benefit >= wanted) above = found;
    else below = found;
  }
  return { leastCost, below, above };
}

/** Adds what gives most for its cost, with what it requires, as long as the budget lasts: a choice to beat. */
function fill(
  problem: ClosureProblem,
  from: Budgeted,
  fixing: Fixing,
  budget: number,
  offer: (found: Budgeted) => void,
): void {
  let at = from;
  for (;;) {
    let next: Budgeted | null = null;
    let rate = -1;
    for (let i = 0; i < problem.costs.length; i++) {
      if (at.chosen[i] === 1 || fixing[i] === 2) continue;
      const chosen = at.chosen.slice();
      add(problem, chosen, i);
      const tried = { chosen, ...worth(problem, chosen) };
      if (tried.cost > budget) continue;
      const gain = (tried.benefit - at.benefit) / Math.max(1e-9, tried.cost - at.cost);
      if (gain > rate) [next, rate] = [tried, gain];
    }
    if (next === null) return;
    at = next;
    offer(at);
  }
}

function add({ requires }: Pick<ClosureProblem, 'requires'>, chosen: Uint8Array, thing: number): void {
  if (chosen[thing] === 1) return;
  chosen[thing] = 1;
  for (const other of requires[thing] ?? []) add({ requires }, chosen, other);
}

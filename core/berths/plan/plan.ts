import type { Finding, Verdict } from '../../findings.ts';
import type { Orientation } from '../../inventory/inventory.ts';
import type { LevelResult } from '../../linear/linear-model.ts';
import type { MetreRange } from '../metres.ts';
import type { BerthOption, CordNeeded } from '../options/options.ts';
import { balanceOf } from './balance.ts';
import type { Book } from './book.ts';
import { aimsReached } from './decode.ts';
import { judgedAt } from './place.ts';
import type { Placed } from './placed.ts';
import type { PlanState } from './plan-state.ts';
import type { AdapterOfPlan, PlanStay } from './question.ts';
import type { PlanScene } from './scene.ts';
import { type StoppedBy, whyUnplaced } from './why-unplaced.ts';

/**
 * `optimal`: no plan is better in any aim that can be proven: all but the balance of lines, which comes last. `feasible`: a plan that keeps every promise; `aims` say how far it may be from
 * the best. `infeasible`: the promises cannot all be kept; `conflict` names stays that cannot be kept together.
 * `noPlan`: the time ended before a plan that keeps every promise was found.
 */
export type PlanStatus = 'optimal' | 'feasible' | 'infeasible' | 'noPlan';

export interface PlanAim {
  readonly name: string;
  readonly unit: string;
  readonly sense: 'most' | 'least';
  readonly value: number;
  /** No plan that reaches the aims before this one as this plan does comes further; null where nothing is proven. */
  readonly bound: number | null;
  /** `|bound - value| / max(1, |value|)`; null without a bound. */
  readonly gap: number | null;
}

export interface Placement {
  readonly stayId: string;
  /** `kept`: as today. `moved`: it has another place today. `new`: it has none today. */
  readonly kind: 'kept' | 'moved' | 'new';
  readonly berthId: string;
  readonly orientation: Orientation;
  readonly place: MetreRange | null;
  readonly outletIds: readonly string[];
  readonly adapters: readonly AdapterOfPlan[];
  readonly cords: readonly CordNeeded[];
  readonly from: number;
  readonly until: number;
  readonly verdict: Verdict;
  /** Of core's own rules, with everybody else where the plan puts them; empty for kept places. */
  readonly findings: readonly Finding[];
}

export interface Unplaced {
  readonly stayId: string;
  readonly stoppedBy: readonly StoppedBy[];
}

export interface Plan {
  readonly status: PlanStatus;
  readonly aims: readonly PlanAim[];
  readonly placements: readonly Placement[];
  readonly unplaced: readonly Unplaced[];
  /** Promised stays that cannot all be kept, none of which could be left out of the list; empty elsewhere. */
  readonly conflict: readonly string[];
}

export function keepsPromises({ scene }: PlanState, book: Book): boolean {
  return scene.question.stays.every((stay) => !stay.promised || book.isPlaced(stay));
}

/** Whether aims `a` come further than `b`, the first that differs deciding. */
export function isBetterPlan(
  levels: readonly Pick<LevelResult, 'sense'>[],
  a: readonly number[],
  b: readonly number[],
) {
  for (const [i, { sense }] of levels.entries()) {
    const difference = (a[i] ?? 0) - (b[i] ?? 0);
    if (Math.abs(difference) > 1e-6) return sense === 'most' ? difference > 0 : difference < 0;
  }
  return false;
}

/**
 * Judges every place of a book that is not as today once more, by core's own rules and with everybody else where the
 * plan puts them, and takes out of the book what they refuse. Returns the stays taken out: none, unless the plan's own
 * constraints and the rules have come apart.
 */
export function verifyPlan({ scene }: PlanState, book: Book): { placements: Placement[]; refused: PlanStay[] } {
  const refused: PlanStay[] = [];
  const placements = book.placed().flatMap((placed): Placement[] => {
    if (placed.isKept) return [placementOf(placed, 'clear', [], placed.stay.present?.cords ?? [])];
    const { stay } = placed;
    const option = judgeAgain(scene, book, placed);
    if (option.verdict === 'refused') {
      refused.push(stay);
      return [];
    }
    return [placementOf(placed, option.verdict, option.findings, option.cords)];
  });
  for (const stay of refused) {
    for (let placed = book.of(stay); placed !== undefined; placed = book.of(stay)) book.remove(placed);
  }
  // Of a divided stay both parts go.
  return { placements: placements.filter(({ stayId }) => !refused.some(({ id }) => id === stayId)), refused };
}

/** Judges some places of a book, to see how long it takes. Returns how many. */
export function judgePlaces({ scene }: PlanState, book: Book, from: number, until: number): number {
  const places = book
    .placed()
    .filter(({ isKept }) => !isKept)
    .slice(from, until);
  for (const placed of places) judgeAgain(scene, book, placed);
  return places.length;
}

function judgeAgain(scene: PlanScene, book: Book, placed: Placed): BerthOption {
  return judgedAt(scene, book, placed.stay, placed.berth, placed);
}

function placementOf(
  placed: Placed,
  verdict: Verdict,
  findings: readonly Finding[],
  cords: readonly CordNeeded[],
): Placement {
  const { stay, isKept, berth, orientation, place, outletIds, adapters, period } = placed;
  return {
    stayId: stay.id,
    kind: isKept ? 'kept' : stay.present === null ? 'new' : 'moved',
    berthId: berth.id,
    orientation,
    place,
    outletIds,
    adapters,
    cords,
    from: period.from,
    until: stay.period.until,
    verdict,
    findings,
  };
}

export function unplacedOf({ scene }: PlanState, book: Book): Unplaced[] {
  return scene.question.stays
    .filter((stay) => !book.isPlaced(stay))
    .map((stay) => ({ stayId: stay.id, stoppedBy: whyUnplaced(scene, book, stay) }));
}

/** What is proven of a plan that reaches these values, by aim: no plan with the same values before comes further. */
export type Proof = (values: readonly number[]) => readonly (number | null)[];

/** What a solver's levels prove: a bound holds for plans that reach the levels before as its own solution does. */
export function proofOf(levels: readonly LevelResult[]): Proof {
  return (values) => {
    let isSame = true;
    return levels.map(({ value, bound }, i) => {
      const known = isSame ? bound : null;
      isSame = isSame && value !== null && Math.abs(value - (values[i] ?? 0)) < 1e-6;
      return known;
    });
  };
}

/** The last aims, which no bound is known of: see `balanceLines`. */
export function balanceAims({ scene }: PlanState, book: Book): PlanAim[] {
  const { unbalanceA, peakPercent } = balanceOf(scene, book);
  const open = { sense: 'least', bound: null, gap: null } as const;
  return [
    { name: 'unbalance of lines, summed over feeders and arrivals', unit: 'A', value: unbalanceA, ...open },
    { name: "largest share of a feeder's limit by ratings", unit: '%', value: peakPercent, ...open },
  ];
}

/** What a plan reaches in each aim, against the tightest that is proven. */
export function aimsOf(
  state: PlanState,
  book: Book,
  levels: readonly Pick<PlanAim, 'name' | 'unit' | 'sense'>[],
  proofs: readonly Proof[],
): PlanAim[] {
  const values = aimsReached(state, book.placed());
  const proven = proofs.map((proof) => proof(values));
  return levels.map(({ name, unit, sense }, i) => {
    const value = values[i] ?? 0;
    const bounds = proven.flatMap((each) => each[i] ?? []);
    const bound = bounds.length === 0 ? null : sense === 'most' ? Math.min(...bounds) : Math.max(...bounds);
    const gap = bound === null ? null : Math.abs(bound - value) / Math.max(1, Math.abs(value));
    return { name, unit, sense, value, bound, gap };
  });
}

import { loadModel } from '../../electrical/demand/load-model.ts';
import { type PartCapacity, partCapacities } from '../../electrical/demand/part-capacity.ts';
import type { Berth, Orientation } from '../../inventory/inventory.ts';
import type { Period } from '../../periods.ts';
import { judgeChoice } from '../options/judge-choice.ts';
import { countUnmet } from '../options/judge-wishes.ts';
import { noWishes } from '../options/options.ts';
import { prepare } from '../options/prepare.ts';
import { berthFacts } from '../options/reached-outlets.ts';
import { toldValue } from '../told-value.ts';
import { partsOfStays, type StayParts } from './parts.ts';
import type { PlanQuestion, PlanStay, PresentPlace } from './question.ts';
import { type PlanJudge, planJudge, type WayToLie } from './ways-to-lie.ts';

/** A question with what is the same for every step of the plan, worked out once. */
export interface PlanScene {
  readonly question: PlanQuestion;
  readonly judge: PlanJudge;
  readonly periodOf: (stay: PlanStay) => Period;
  /** Outlets that a way takes in a berth. */
  readonly outletIdsOf: (berth: Berth, way: Pick<WayToLie, 'positions'>) => string[];
  /** Whether the plan may give a stay this way at all: a promised one gets no new adapter and no longer cord. */
  readonly mayTake: (stay: PlanStay, way: WayToLie) => boolean;
  /** How many of the boater's wishes a berth and an orientation leave unmet. */
  readonly unmetWishes: (stay: PlanStay, berth: Berth, orientation: Orientation) => number;
  /** Ways to divide a stay by one planned move. */
  readonly partsOf: (stay: PlanStay) => readonly StayParts[];
  /** Whether a stay may keep the place it has: none of it is closed or taken by what the plan leaves alone. */
  readonly mayKeep: (stay: PlanStay) => boolean;
  /** Metres that a stay takes on a face, clearance included; null where its length is unknown. */
  readonly faceTakesM: (stay: PlanStay) => number | null;
  /** Equipment whose limits can be passed by what could be in use below it; all other parts never refuse. */
  readonly limits: readonly PartCapacity[];
  /** Every moment at which something begins, ascending. */
  readonly moments: Float64Array;
  readonly isRated: boolean;
  /** Share of an outlet's rating that counts on the stated basis. */
  readonly shareOf: (outletId: string, statedVa: number | null) => number;
}

export function planScene(question: PlanQuestion): PlanScene {
  const { index, practice } = question;
  const judge = planJudge(index, practice);
  const model = loadModel(index);
  const isRated = index.inventory.settings.refusingBasis === 'rated';
  const clearanceM = index.inventory.settings.beamClearanceM;
  const keeps = new Map<PlanStay, boolean>();
  const parts = partsOfStays(question);
  const shareOf: PlanScene['shareOf'] = (outletId, statedVa) => {
    const outlet = index.outlets.get(outletId);
    const rating = outlet === undefined || statedVa === null ? null : model.outletLoad(outlet).rating;
    return rating === null || statedVa === null ? 1 : statedVa / rating.leastVa;
  };
  const periodOf = ({ period, occupiedUntil }: PlanStay): Period => ({ from: period.from, until: occupiedUntil });
  return {
    question,
    judge,
    periodOf,
    outletIdsOf: (berth, { positions }) => {
      const { shorePower } = berthFacts(index, berth);
      return positions.flatMap((position) => shorePower[position]?.outlet.id ?? []);
    },
    mayTake: (stay, way) => !stay.promised || stay.present === null || asksNoMore(stay.present, way),
    unmetWishes: ({ wishes }, berth, orientation) =>
      countUnmet(wishes, { facts: berthFacts(index, berth), orientation, place: null }),
    partsOf: (stay) => parts.get(stay) ?? [],
    mayKeep: (stay) => {
      const found = keeps.get(stay) ?? mayKeep(question, stay);
      keeps.set(stay, found);
      return found;
    },
    faceTakesM: ({ boat }) => {
      const lengthM = toldValue(boat.lengthOverallM);
      return lengthM === null ? null : lengthM + clearanceM;
    },
    limits: partCapacities(index, practice).filter((capacity) => canBePassed(question, capacity, isRated, shareOf)),
    moments: Float64Array.from(
      new Set([
        ...question.stays.flatMap((stay) => [stay, ...(parts.get(stay) ?? []).flat()]).map(({ period }) => period.from),
        ...question.outletUses.map(({ from }) => from),
      ]),
    ).sort(),
    isRated,
    shareOf,
  };
}

/** No adapter of a kind and owner that the stay does not have already, and no longer cord to any inlet. */
function asksNoMore({ adapters, cords }: PresentPlace, way: WayToLie): boolean {
  const left = adapters.map(({ kindId, from }) => `${from} ${kindId}`);
  for (const { kindId, from } of way.adapters) {
    const place = left.indexOf(`${from} ${kindId}`);
    if (place < 0) return false;
    left.splice(place, 1);
  }
  return way.cordsM.every(({ inletId, lengthM }) => {
    const present = cords.find((cord) => cord.inletId === inletId);
    if (present === undefined) return false;
    // A length that nobody knows is not known to be longer than one that nobody knows either.
    return present.lengthM === null || (lengthM !== null && lengthM <= present.lengthM);
  });
}

function mayKeep({ index, practice, spaceUses, outletUses }: PlanQuestion, stay: PlanStay): boolean {
  const { present, period, occupiedUntil } = stay;
  const berth = present === null ? undefined : index.berths.get(present.berthId);
  if (present === null || berth === undefined) return false;
  const meets = (use: Period) => use.from < occupiedUntil && period.from < use.until;
  const { fromM, untilM } = present.place ?? { fromM: 0, untilM: 1 };
  const isTaken = spaceUses.some(
    (use) => berth.unitIds.includes(use.unitId) && meets(use) && use.fromM < untilM && fromM < use.untilM,
  );
  if (isTaken || outletUses.some((use) => present.outletIds.includes(use.outletId) && meets(use))) return false;
  if (present.outletIds.some((id) => !index.outlets.has(id))) return false;
  const { boat, localDays } = stay;
  const alone = { index, practice, boat, period, occupiedUntil, localDays, wishes: noWishes };
  const prepared = prepare({ ...alone, spaceUses: [], outletUses: [], stockUses: [] });
  const { orientation, place, outletIds } = present;
  const judged = judgeChoice(prepared, berth, { orientation, place, hookUp: null, outletIds });
  // What a named person has overridden stays overridden: only refusals about room can have been.
  return judged.describe().findings.every(({ level, rule }) => level !== 'refuse' || rule.startsWith('fit.'));
}

/** Whether a part is over some limit with everything in use that boats or others could use below it. */
function canBePassed(
  { index, outletUses, stays }: PlanQuestion,
  capacity: PartCapacity,
  isRated: boolean,
  shareOf: PlanScene['shareOf'],
): boolean {
  const shares = new Map<string, number>();
  for (const { outletId, by, statedVa } of outletUses) {
    if (by.kind !== 'outOfService')
      shares.set(outletId, Math.max(shares.get(outletId) ?? 0, shareOf(outletId, statedVa)));
  }
  for (const { present } of stays) {
    present?.outletIds.forEach((id, i) => {
      shares.set(id, Math.max(shares.get(id) ?? 0, shareOf(id, present.statedVa[i] ?? null)));
    });
  }
  for (const berth of index.inventory.berths) {
    for (const { outlet } of berthFacts(index, berth).shorePower) {
      shares.set(outlet.id, Math.max(shares.get(outlet.id) ?? 0, mostStated));
    }
  }
  const amounts = new Float64Array(capacity.loadCount);
  for (const [outletId, share] of shares) {
    const i = capacity.indexOf(outletId);
    if (i >= 0) amounts[i] = (amounts[i] ?? 0) + (isRated ? 1 : share);
  }
  return capacity.isOver(amounts);
}

/** A boat may say that it draws more than its outlet is rated for; more than this is no statement to plan by. */
const mostStated = 2;

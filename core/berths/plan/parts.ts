import type { PlanQuestion, PlanStay } from './question.ts';

/** Both parts of a stay whose boat moves once; each is placed as a stay of its own, and neither without the other. */
export type StayParts = readonly [first: PlanStay, second: PlanStay];

/** How each stay may be divided: only what has no place today, for what has one is moved whole or stays. */
export function partsOfStays({ stays, settings }: PlanQuestion): ReadonlyMap<PlanStay, readonly StayParts[]> {
  if (!settings.moveInside) return new Map();
  return new Map(
    stays.filter(({ present }) => present === null).map((stay) => [stay, stay.movesAt.map(divided(stay))]),
  );
}

function divided(stay: PlanStay) {
  const { period, occupiedUntil } = stay;
  return (movesAt: number): StayParts => [
    {
      ...stay,
      period: { from: period.from, until: movesAt },
      // Its first berth is kept for the turnover as after any other boat.
      occupiedUntil: movesAt + occupiedUntil - period.until,
      part: { movesAt, isFirst: true },
    },
    { ...stay, period: { from: movesAt, until: period.until }, part: { movesAt, isFirst: false } },
  ];
}

/** Whether it is what counts as served: a stay, or the first part of one that moves. */
export function isCounted({ part }: PlanStay): boolean {
  return part === null || part.isFirst;
}

/** Moves that a stay in another place than today, or in two, takes. */
export function movesOf({ present, part }: PlanStay): number {
  return present !== null || part?.isFirst ? 1 : 0;
}

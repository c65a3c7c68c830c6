import { overlaps, type Period } from '../periods.ts';
import { type Claim, inOrderOfRight, type ReleasedAbsence, releasedPeriods } from './claims.ts';
import type { SpaceUse, UsedBy } from './occupancy.ts';

/** Part of a unit of space: metres `[fromM, untilM)` of it (0 to 1 for any unit but a face). */
export interface UnitPart {
  readonly unitId: string;
  readonly fromM: number;
  readonly untilM: number;
}

/** Metres of a unit over a period: a rectangle in metres and time. */
export interface SpaceBox extends UnitPart, Period {}

export interface OutOfServiceClaim extends Claim {
  readonly parts: readonly UnitPart[];
}

export interface HoldingClaim extends Claim {
  readonly parts: readonly UnitPart[];
  readonly absences: readonly ReleasedAbsence[];
}

/** Berths kept for a group. */
export interface GroupClaim extends Claim {
  readonly parts: readonly UnitPart[];
  /** Where its own members lie or will lie, and boats that were found there: to these it gives way, to no other. */
  readonly givesWayTo: readonly SpaceBox[];
}

export interface SpaceClaims {
  /** Where boats lie or will lie, as stored; these stand whatever else is claimed. */
  readonly assignments: readonly SpaceBox[];
  readonly outOfService: readonly OutOfServiceClaim[];
  readonly holdings: readonly HoldingClaim[];
  readonly groups: readonly GroupClaim[];
}

/**
 * The rows that keep space for holders and close space out of service, so that no two rows (nor a row and an assignment)
 * overlap: a boat found on a place is the truth, so an out-of-service row stops where it lies, and a holding's row stops
 * at both and at released absences. Among like claims that overlap, the earlier, then the lower id, keeps the space.
 * A group's row stops at closings, holders, its own members and boats found there, and at nobody else: an assignment of
 * another overlaps it, which the database refuses.
 * Pure: the same claims in any order give the same rows. Give all claims on the units in question.
 */
export function deriveSpaceUses(claims: SpaceClaims): SpaceUse[] {
  const taken = new Map<string, SpaceBox[]>();
  for (const box of claims.assignments) take(taken, box);

  const rows: SpaceUse[] = [];
  const claimLeft = (by: UsedBy, box: SpaceBox, holes: readonly SpaceBox[]) => {
    for (const piece of subtractBoxes(box, holes)) {
      rows.push({ ...piece, by });
      take(taken, piece);
    }
  };
  const claimPart = (by: UsedBy, box: SpaceBox, released: readonly Period[]) =>
    claimLeft(by, box, [...(taken.get(box.unitId) ?? []), ...released.map((period) => boxOf(box, period))]);
  for (const claim of inOrderOfRight(claims.outOfService)) {
    for (const part of claim.parts) claimPart(claim.by, boxOf(part, claim), []);
  }
  for (const claim of inOrderOfRight(claims.holdings)) {
    const released = releasedPeriods(claim.absences);
    for (const part of claim.parts) claimPart(claim.by, boxOf(part, claim), released);
  }
  for (const claim of inOrderOfRight(claims.groups)) {
    for (const part of claim.parts) {
      const others = rows.filter(({ unitId }) => unitId === part.unitId);
      claimLeft(claim.by, boxOf(part, claim), [...others, ...claim.givesWayTo]);
    }
  }
  return rows;
}

/** The uses that a boat found in these boxes displaces or stands on, each once, in their order. */
export function conflictsOf<T extends SpaceBox>(found: readonly SpaceBox[], uses: readonly T[]): T[] {
  return uses.filter((use) => found.some((box) => boxesOverlap(box, use)));
}

/**
 * What is left of a box without others on the same unit, exactly: bounds are copied, never computed. Pieces do not
 * overlap and each lasts as long as its metres stay free, so the answer does not depend on the order of the holes.
 */
export function subtractBoxes(box: SpaceBox, holes: readonly SpaceBox[]): SpaceBox[] {
  if (box.from >= box.until || box.fromM >= box.untilM) return [];
  const inside = holes.filter((hole) => boxesOverlap(box, hole)).sort((a, b) => a.from - b.from);
  const times = [box.from, box.until, ...inside.flatMap((hole) => [hole.from, hole.until])]
    .filter((time) => box.from <= time && time <= box.until)
    .sort((a, b) => a - b);

  const left: SpaceBox[] = [];
  let open: SpaceBox[] = [];
  let holesNow: SpaceBox[] = [];
  let next = 0;
  for (const [index, from] of times.entries()) {
    const until = times[index + 1];
    if (until === undefined || until === from) continue;
    holesNow = holesNow.filter((hole) => from < hole.until);
    for (let hole = inside[next]; hole !== undefined && hole.from < until; hole = inside[next]) {
      if (from < hole.until) holesNow.push(hole);
      next += 1;
    }
    const free = freeMetres(box, holesNow).map((part) => {
      const earlier = open.find((piece) => piece.fromM === part.fromM && piece.untilM === part.untilM);
      return { ...part, from: earlier?.from ?? from, until };
    });
    left.push(...open.filter((piece) => !free.some((longer) => continues(longer, piece))));
    open = free;
  }
  return [...left, ...open].sort((a, b) => a.from - b.from || a.fromM - b.fromM);
}

function continues(longer: SpaceBox, piece: SpaceBox): boolean {
  return longer.from === piece.from && longer.fromM === piece.fromM && longer.untilM === piece.untilM;
}

function freeMetres(part: UnitPart, holes: readonly UnitPart[]): UnitPart[] {
  const { unitId, untilM } = part;
  const free: UnitPart[] = [];
  let fromM = part.fromM;
  for (const hole of [...holes].sort((a, b) => a.fromM - b.fromM)) {
    if (hole.fromM > fromM) free.push({ unitId, fromM, untilM: hole.fromM });
    fromM = Math.max(fromM, hole.untilM);
  }
  if (fromM < untilM) free.push({ unitId, fromM, untilM });
  return free;
}

function boxesOverlap(a: SpaceBox, b: SpaceBox): boolean {
  return a.unitId === b.unitId && overlaps(a, b) && a.fromM < b.untilM && b.fromM < a.untilM;
}

function take(taken: Map<string, SpaceBox[]>, box: SpaceBox): void {
  const onUnit = taken.get(box.unitId);
  if (onUnit === undefined) taken.set(box.unitId, [box]);
  else onUnit.push(box);
}

function boxOf({ unitId, fromM, untilM }: UnitPart, { from, until }: Period): SpaceBox {
  return { unitId, fromM, untilM, from, until };
}

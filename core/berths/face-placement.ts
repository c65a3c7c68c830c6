import { exceeds, type MetreRange } from './metres.ts';

export interface FacePlacementQuestion {
  /** Metres of the face that the berth covers. */
  readonly berth: MetreRange;
  /** Length over all of the boat, m: a boat takes its own metres and no more. */
  readonly lengthM: number;
  /** Free metres kept between two boats: the marina's `beamClearanceM`. None is kept at an end of the berth. */
  readonly clearanceM: number;
  /** Metres in use on the face at any time of the period, other berths on the same face included; any order. */
  readonly uses: readonly MetreRange[];
  /** Metres along the face where outlets stand that the boat would like to lie at. */
  readonly outletsAtM: readonly number[];
  /** The inlets' distance from the boat's end at the lower metre; empty: the middle of the boat is brought to the outlet. */
  readonly inletsFromLowEndM: readonly number[];
}

/** A place for the boat that is free for the whole period. */
export interface FacePlace extends MetreRange {
  /** What another boat could still have before and after it, clearance kept, m. */
  readonly leftBeforeM: number;
  readonly leftAfterM: number;
  /** The smaller of the two: what placing here cuts off from the larger rest. 0 at either end of a gap. */
  readonly cutOffM: number;
  /** Length of the gap that it lies in, m. */
  readonly gapM: number;
  readonly at: 'gapStart' | 'gapEnd' | 'outlet';
}

/**
 * Places for a boat along a face: at either end of each gap, and where an inlet comes to lie at a wanted outlet. Ordered
 * by least cut off, then tightest gap, then most left, then metre, so that the first keeps the longest rests for others. O(n log n).
 */
export function facePlaces(question: FacePlacementQuestion): FacePlace[] {
  const { lengthM, clearanceM } = question;
  const wanted = wantedStarts(question);
  const places: FacePlace[] = [];
  let next = 0;
  for (const gap of faceGaps(question.berth, question.uses, clearanceM)) {
    if (exceeds(lengthM, gap.untilM - gap.fromM)) continue;
    const lastM = Math.max(gap.fromM, gap.untilM - lengthM);
    places.push(placeAt(gap.fromM, 'gapStart', gap, lengthM, clearanceM));
    if (exceeds(lastM, gap.fromM)) places.push(placeAt(lastM, 'gapEnd', gap, lengthM, clearanceM));
    for (; next < wanted.length; next += 1) {
      const fromM = wanted[next] ?? 0;
      if (!exceeds(lastM, fromM)) break;
      if (exceeds(fromM, gap.fromM)) places.push(placeAt(fromM, 'outlet', gap, lengthM, clearanceM));
    }
  }
  return places.sort((a, b) => a.cutOffM - b.cutOffM || a.gapM - b.gapM || leftM(b) - leftM(a) || a.fromM - b.fromM);
}

/** Whether a place asked for is inside the berth and clear of every use. */
export function isFreeFacePlace(
  place: MetreRange,
  question: Pick<FacePlacementQuestion, 'berth' | 'uses' | 'clearanceM'>,
): boolean {
  const { berth, uses, clearanceM } = question;
  if (exceeds(berth.fromM, place.fromM) || exceeds(place.untilM, berth.untilM)) return false;
  return uses.every(
    (use) => !exceeds(place.untilM + clearanceM, use.fromM) || !exceeds(use.untilM + clearanceM, place.fromM),
  );
}

/** Free metres of the berth, clearance to every use taken off, in order. */
export function faceGaps(berth: MetreRange, uses: readonly MetreRange[], clearanceM: number): MetreRange[] {
  const gaps: MetreRange[] = [];
  let fromM = berth.fromM;
  for (const use of [...uses].sort((a, b) => a.fromM - b.fromM)) {
    const untilM = Math.min(use.fromM - clearanceM, berth.untilM);
    if (untilM > fromM) gaps.push({ fromM, untilM });
    fromM = Math.max(fromM, use.untilM + clearanceM);
  }
  if (berth.untilM > fromM) gaps.push({ fromM, untilM: berth.untilM });
  return gaps;
}

function wantedStarts({ outletsAtM, inletsFromLowEndM, lengthM }: FacePlacementQuestion): number[] {
  const inlets = inletsFromLowEndM.length === 0 ? [lengthM / 2] : inletsFromLowEndM;
  const starts = outletsAtM.flatMap((atM) => inlets.map((inletM) => atM - inletM)).sort((a, b) => a - b);
  return starts.filter((startM, index) => index === 0 || exceeds(startM, starts[index - 1] ?? 0));
}

function placeAt(fromM: number, at: FacePlace['at'], gap: MetreRange, lengthM: number, clearanceM: number): FacePlace {
  // The last bits of the sum must not reach into the next use.
  const untilM = Math.min(fromM + lengthM, gap.untilM);
  const leftBeforeM = Math.max(0, fromM - gap.fromM - clearanceM);
  const leftAfterM = Math.max(0, gap.untilM - untilM - clearanceM);
  return {
    fromM,
    untilM,
    leftBeforeM,
    leftAfterM,
    cutOffM: Math.min(leftBeforeM, leftAfterM),
    gapM: gap.untilM - gap.fromM,
    at,
  };
}

function leftM(place: FacePlace): number {
  return place.leftBeforeM + place.leftAfterM;
}

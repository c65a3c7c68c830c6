import type { Boat, Inlet } from '../boats.ts';
import type { FindingLevel } from '../findings.ts';
import type { Berth, Dock, MarinaSettings, Orientation, Outlet, Reach } from '../inventory/inventory.ts';
import { type CordRule, cordForWayM, longestUsableM, reachOfCordsM } from './cord-lengths.ts';
import { type CordWay, type CordWayQuestion, cordWayM, type Room } from './cord-way.ts';
import { exceeds, type MetreRange } from './metres.ts';
import { toldValue } from './told-value.ts';

export interface ReachQuestion {
  readonly boat: Boat;
  /** Null: nobody has said what inlets the boat has; one may then be anywhere aboard. */
  readonly inlet: Inlet | null;
  readonly berth: Berth;
  readonly reach: Reach;
  readonly outlet: Outlet;
  /** What cords may be used from the outlet: `cordRule`, worked out once for each family of outlets. */
  readonly cords: CordRule;
  readonly dock: Dock;
  readonly orientation: Orientation;
  /** The metres the boat takes on a face; null on any other berth. */
  readonly place: MetreRange | null;
  readonly settings: Pick<MarinaSettings, 'cordSlackM' | 'tidalRangeM' | 'overhangAllowedM'>;
}

/**
 * `reaches`: a single cord aboard, from wherever the inlet may be. `inSeries`: two do. `undecided`: the cords aboard do
 * from some places of the inlet only. `short`: from none. `cordsUnknown`: nobody said what is aboard. `tooFar`: no usual
 * cord, or none that may be used, does, and none aboard either.
 */
export type ReachOutcome = 'reaches' | 'inSeries' | 'undecided' | 'cordsUnknown' | 'short' | 'tooFar';

/** The level of the findings that an outcome leads to; null: none. */
export const levelOfOutcome: Readonly<Record<ReachOutcome, FindingLevel | null>> = {
  reaches: null,
  inSeries: 'caution',
  undecided: 'confirm',
  cordsUnknown: 'confirm',
  short: 'refuse',
  tooFar: 'refuse',
};

export interface ReachMeasure {
  /** Way of the cord with slack, tide and detour, at best and at worst over all that is unknown, m; Infinity: unbounded. */
  readonly way: CordWay;
  /** Cord length that reaches for certain (two in series where allowed: their sum), m; null where none is known to. */
  readonly cordNeededM: number | null;
  readonly outcome: ReachOutcome;
}

/**
 * Whether a cord reaches, in figures alone: cheap enough for every outlet of every berth. `judgeReach` gives the words.
 * @throws Error when a berth on a face comes without a place
 */
export function measureReach(question: ReachQuestion): ReachMeasure {
  const { cords } = question;
  const way = wayOf(question);
  return { way, cordNeededM: cordForWayM(way.mostM, cords), outcome: outcomeOf(question, way) };
}

function outcomeOf({ boat, cords }: ReachQuestion, way: CordWay): ReachOutcome {
  const beyondAny = exceeds(way.leastM, longestUsableM(cords));
  const cordSets = toldValue(boat.cordSets);
  if (cordSets === null) return beyondAny ? 'tooFar' : 'cordsUnknown';
  const aboard = reachOfCordsM(cordSets, cords);
  if (!exceeds(way.mostM, aboard.singleM)) return 'reaches';
  if (!exceeds(way.mostM, aboard.seriesM)) return 'inSeries';
  if (!exceeds(way.leastM, aboard.seriesM)) return 'undecided';
  return beyondAny ? 'tooFar' : 'short';
}

function wayOf(question: ReachQuestion): CordWay {
  const { reach, dock, settings } = question;
  const { leastM, mostM } = cordWayM(geometryOf(question));
  // A cord from a fixed dock follows the boat down; a floating dock falls with it.
  const tideM = dock.kind === 'fixed' ? settings.tidalRangeM : 0;
  const extraM = reach.detourM + settings.cordSlackM + tideM;
  return { leastM: leastM + extraM, mostM: mostM + extraM };
}

/** The geometry of a question, unknowns as null. */
export function geometryOf({
  boat,
  inlet,
  berth,
  reach,
  orientation,
  place,
  settings,
}: ReachQuestion): CordWayQuestion {
  return {
    room: roomOf(berth, place, settings.overhangAllowedM),
    orientation,
    lengthM: toldValue(boat.lengthOverallM),
    beamM: toldValue(boat.beamM),
    fromBowM: inlet === null ? null : toldValue(inlet.fromBowM),
    side: inlet === null ? null : toldValue(inlet.side),
    alongM: reach.alongM,
    acrossM: reach.acrossM,
  };
}

function roomOf(berth: Berth, place: MetreRange | null, overhangM: number): Room {
  if (berth.faceFromM === null) {
    const lengthM = berth.lengthM === null ? null : berth.lengthM + overhangM;
    return { kind: 'slip', lengthM, beamM: berth.beamM };
  }
  if (place === null) throw new Error(`berth "${berth.id}" is on a face: give the metres that the boat takes`);
  return { kind: 'face', place, beamM: berth.beamM };
}

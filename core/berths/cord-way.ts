import type { Boat } from '../boats.ts';
import type { Orientation } from '../inventory/inventory.ts';
import type { MetreRange } from './metres.ts';

/** Where a boat lies: in a slip (its ends known or not), or in metres of a face. `lengthM` and `beamM`: the greatest that find room, m. */
export type Room =
  | { readonly kind: 'slip'; readonly lengthM: number | null; readonly beamM: number | null }
  | { readonly kind: 'face'; readonly place: MetreRange; readonly beamM: number | null };

export interface CordWayQuestion {
  readonly room: Room;
  readonly orientation: Orientation;
  /** The boat's; null unknown, then anything that finds room. */
  readonly lengthM: number | null;
  readonly beamM: number | null;
  /** The inlet's place on the boat; null unknown, then anywhere aboard. */
  readonly fromBowM: number | null;
  readonly side: NonNullable<Boat['inlets'][number]['side']>['value'] | null;
  /** The outlet's place, as `Reach` documents it; null unknown. */
  readonly alongM: number | null;
  readonly acrossM: number | null;
}

/** From the outlet to the inlet over all that is unknown, m. `mostM` is Infinity where nothing bounds it. */
export interface CordWay {
  readonly leastM: number;
  readonly mostM: number;
}

interface Interval {
  readonly min: number;
  readonly max: number;
}

/**
 * The way of a cord from outlet to inlet, along dock edges: metres along plus metres across, never the diagonal over
 * the water. Without slack, tide and detour.
 *
 * In a slip the boat lies on the centre line with its end at the inner end. On a face it lies in its metres, and nothing
 * on record says which side is to the dock: an inlet in a side is at the edge at best and a beam away at worst.
 */
export function cordWayM(question: CordWayQuestion): CordWay {
  const { room, alongM, acrossM } = question;
  const onFace = room.kind === 'face';
  const along = distance(alongM, onFace ? alongFace(question, room.place) : alongSlip(question, room.lengthM));
  const across = onFace
    ? distance(acrossM === null ? null : -acrossM, offEdge(question))
    : distance(acrossM, offCentreLine(question));
  return { leastM: along.min + across.min, mostM: along.max + across.max };
}

/** Outward from the inner end. */
function alongSlip(question: CordWayQuestion, roomLengthM: number | null): Interval {
  const { lengthM, fromBowM, orientation } = question;
  const longest = Math.max(lengthM ?? roomLengthM ?? Number.POSITIVE_INFINITY, fromBowM ?? 0);
  if (fromBowM === null) return { min: 0, max: longest };
  if (orientation === 'bowIn') return { min: fromBowM, max: fromBowM };
  return { min: lengthM === null ? 0 : longest - fromBowM, max: longest - fromBowM };
}

/** Metres along the face. The place may be longer than the boat, which then lies anywhere in it. */
function alongFace(question: CordWayQuestion, place: MetreRange): Interval {
  const { lengthM, fromBowM, orientation } = question;
  if (lengthM === null) return { min: place.fromM, max: place.untilM };
  const lastFromM = Math.max(place.fromM, place.untilM - lengthM);
  if (fromBowM === null) return { min: place.fromM, max: lastFromM + lengthM };
  const fromLowEndM = orientation === 'bowIn' ? lengthM - fromBowM : fromBowM;
  return { min: place.fromM + fromLowEndM, max: lastFromM + fromLowEndM };
}

/** To the right of one who looks at the inner end: starboard of a boat that lies bow in. */
function offCentreLine({ side, beamM, room, orientation }: CordWayQuestion): Interval {
  if (side === 'centre') return { min: 0, max: 0 };
  const widest = (beamM ?? room.beamM ?? Number.POSITIVE_INFINITY) / 2;
  if (side === null) return { min: -widest, max: widest };
  const narrowest = beamM === null ? 0 : widest;
  const toTheRight = (side === 'starboard') === (orientation === 'bowIn');
  return toTheRight ? { min: narrowest, max: widest } : { min: -widest, max: -narrowest };
}

/** Outward from the face's edge. */
function offEdge({ side, beamM, room }: CordWayQuestion): Interval {
  const widest = beamM ?? room.beamM ?? Number.POSITIVE_INFINITY;
  if (side === 'centre') return { min: beamM === null ? 0 : widest / 2, max: widest / 2 };
  return { min: 0, max: widest };
}

function distance(point: number | null, interval: Interval): Interval {
  if (point === null) return { min: 0, max: Number.POSITIVE_INFINITY };
  const below = interval.min - point;
  const above = point - interval.max;
  return { min: Math.max(0, below, above), max: Math.max(Math.abs(below), Math.abs(above)) };
}

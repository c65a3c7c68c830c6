import type { Finding } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import { type FacePlace, facePlaces } from '../face-placement.ts';
import { exceeds, type MetreRange } from '../metres.ts';
import type { SpaceUse, UsedBy } from '../occupancy.ts';
import { toldValue } from '../told-value.ts';
import { isRefused } from './doubt.ts';
import { judgeSpace, mayBeGone, maybeLeft, spaceRules } from './judge-space.ts';
import { overdueMend } from './overdue.ts';
import type { Prepared } from './prepared.ts';
import { nothingSaid, type Said, said } from './said.ts';

export interface Place {
  /** Null: the whole berth. */
  readonly metres: MetreRange | null;
  /** What lying here cuts off from the larger rest of its gap, m. */
  readonly cutOffM: number;
}

/** Where the boat could lie for the whole stay; no place, and why, where it cannot. */
export interface RoomInBerth {
  readonly said: Said;
  readonly places: readonly Place[];
}

export const wholeBerth: Place = { metres: null, cutOffM: 0 };
const freeBerth: RoomInBerth = { said: nothingSaid, places: [wholeBerth] };
// At the ends of gaps, and as many more at outlets, where a boat finds power.
const mostPlaces = 8;

/** The whole of a berth, or metres of a face. */
export function roomIn(prepared: Prepared, berth: Berth): RoomInBerth {
  if (berth.faceFromM === null || berth.faceUntilM === null) {
    const space = judgeSpace(prepared.question, berth, prepared.usesOfUnit);
    if (space === nothingSaid) return freeBerth;
    return { said: space, places: isRefused(space.doubt) ? [] : [wholeBerth] };
  }
  const lengthM = toldValue(prepared.question.boat.lengthOverallM);
  if (lengthM === null) return { said: said([lengthWanted(prepared, berth)]), places: [] };
  const uses = berth.unitIds.flatMap((id) => prepared.usesOfUnit.get(id) ?? []);
  const metres = { fromM: berth.faceFromM, untilM: berth.faceUntilM };
  const clear = facePlacesFor(prepared, berth, metres, lengthM, uses);
  const left = uses.filter(({ by }) => !mayBeGone(by));
  const isClear = clear.length > 0 || left.length === uses.length;
  // Clear of everybody where there is room for that; else where boats that should have left may still lie.
  const places = isClear ? clear : facePlacesFor(prepared, berth, metres, lengthM, left);
  if (places.length === 0) return { said: said([noGap(prepared, berth, lengthM)]), places: [] };
  const atOutlets = places.filter(({ at }) => at === 'outlet').slice(0, mostPlaces);
  const atEnds = places.filter(({ at }) => at !== 'outlet').slice(0, mostPlaces);
  return {
    said: isClear
      ? nothingSaid
      : said(boatsOf(uses.filter(({ by }) => mayBeGone(by))).map((by) => maybeLeft(prepared.question, berth, by))),
    places: [...atEnds, ...atOutlets].map((place) => ({ metres: metresOf(place), cutOffM: place.cutOffM })),
  };
}

function boatsOf(uses: readonly SpaceUse[]): UsedBy[] {
  return [...new Map(uses.map(({ by }) => [by.id, by])).values()];
}

function metresOf({ fromM, untilM }: FacePlace): MetreRange {
  return { fromM, untilM };
}

function facePlacesFor(
  prepared: Prepared,
  berth: Berth,
  metres: MetreRange,
  lengthM: number,
  uses: readonly SpaceUse[],
): FacePlace[] {
  const { boat, index } = prepared.question;
  const fromBowM = boat.inlets.flatMap(({ fromBowM: fact }) => toldValue(fact) ?? []);
  return facePlaces({
    berth: metres,
    lengthM,
    clearanceM: index.inventory.settings.beamClearanceM,
    uses,
    outletsAtM: berth.reaches.flatMap(({ outletId, alongM }) =>
      alongM === null || prepared.userOfOutlet.has(outletId) ? [] : [alongM],
    ),
    // Bow towards growing metres puts an inlet at the far end of its distance from the bow.
    inletsFromLowEndM: fromBowM.flatMap((m) => berth.orientations.map((way) => (way === 'bowIn' ? lengthM - m : m))),
  });
}

/** Whether a boat can lie in the whole berth, or in the given metres of a face, for the whole stay. */
export function judgeRoom(prepared: Prepared, berth: Berth, place: MetreRange | null): Said {
  const { faceFromM, faceUntilM } = berth;
  if (place === null || faceFromM === null || faceUntilM === null)
    return judgeSpace(prepared.question, berth, prepared.usesOfUnit);
  const { boat, index } = prepared.question;
  const lengthM = toldValue(boat.lengthOverallM);
  if (lengthM === null) return said([lengthWanted(prepared, berth)]);
  const clearanceM = index.inventory.settings.beamClearanceM;
  const base = { level: 'refuse', subject: subjectOf(berth), unit: 'm' } as const;
  const where = `Metres ${place.fromM} to ${place.untilM} of berth ${berth.label}`;
  if (place.fromM < faceFromM || place.untilM > faceUntilM) {
    return said([
      {
        ...base,
        rule: 'space.outsideFace',
        actual: `${place.fromM} to ${place.untilM}`,
        limit: `${faceFromM} to ${faceUntilM}`,
        source: "berth's metre range",
        message: `${where} lie outside its range, ${faceFromM} to ${faceUntilM} m.`,
      },
    ]);
  }
  if (exceeds(lengthM, place.untilM - place.fromM)) {
    // What is kept for the boat is what no other boat is given: metres that it does not fill, but never fewer.
    return said([
      {
        ...base,
        rule: 'space.placeTooShort',
        actual: lengthM,
        limit: place.untilM - place.fromM,
        source: 'space is never given twice: a boat is kept as many metres as it is long',
        message: `${where} are too short for ${boat.name}, which is ${lengthM} m long over all.`,
        mend: `at least ${lengthM} m of the face`,
      },
    ]);
  }
  const touching = berth.unitIds
    .flatMap((id) => prepared.usesOfUnit.get(id) ?? [])
    .filter((use) => use.fromM < place.untilM + clearanceM && place.fromM < use.untilM + clearanceM)
    .map(
      (use): Finding =>
        mayBeGone(use.by)
          ? maybeLeft(prepared.question, berth, use.by)
          : {
              ...base,
              rule: spaceRules[use.by.kind],
              actual: use.by.label,
              limit: clearanceM,
              source: "space is never given twice, and the marina's clearance is kept",
              message: `${where} touch metres ${use.fromM} to ${use.untilM} (${use.by.label}) or the ${clearanceM} m kept between boats.`,
              ...(use.by.overdue === undefined ? {} : { mend: overdueMend(use.by) }),
            },
    );
  return said(touching);
}

function subjectOf(berth: Berth) {
  return { kind: 'berth', id: berth.id, label: berth.label } as const;
}

function lengthWanted(prepared: Prepared, berth: Berth): Finding {
  const { boat } = prepared.question;
  return {
    rule: 'space.lengthUnknown',
    level: 'refuse',
    subject: subjectOf(berth),
    actual: null,
    limit: null,
    unit: 'm',
    source: 'a face dock is let by the metre',
    message: `Berth ${berth.label} is let by the metre, and nobody has said how long ${boat.name} is.`,
    mend: `the length of ${boat.name}`,
    missingFact: {
      subject: { kind: 'boat', id: boat.id, label: boat.name },
      fact: 'lengthOverallM',
      question: 'How long is the boat over all, with pulpit, platform and dinghy?',
    },
  };
}

function noGap(prepared: Prepared, berth: Berth, lengthM: number): Finding {
  const users = berth.unitIds.flatMap((id) => prepared.usesOfUnit.get(id) ?? []).map(({ by }) => by.label);
  return {
    rule: 'space.noGap',
    level: 'refuse',
    subject: subjectOf(berth),
    actual: lengthM,
    limit: null,
    unit: 'm',
    source: "space is never given twice, and the marina's clearance is kept",
    message: `Berth ${berth.label} has no free ${lengthM} m in one piece for the whole stay; there lie ${[...new Set(users)].join(', ') || 'none'}.`,
  };
}

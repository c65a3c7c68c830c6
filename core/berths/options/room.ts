import type { Finding } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import { type FacePlace, facePlaces } from '../face-placement.ts';
import type { MetreRange } from '../metres.ts';
import { toldValue } from '../told-value.ts';
import { judgeSpace, spaceRules } from './judge-space.ts';
import type { Prepared } from './prepare.ts';

export interface Place {
  /** Null: the whole berth. */
  readonly metres: MetreRange | null;
  /** What lying here cuts off from the larger rest of its gap, m. */
  readonly cutOffM: number;
}

const wholeBerth: readonly Place[] = [{ metres: null, cutOffM: 0 }];
const mostPlaces = 6;

/** Where in a berth the boat could lie for the whole stay, or why it cannot: the whole of it, or metres of a face. */
export function roomIn(prepared: Prepared, berth: Berth): { findings: Finding[]; places: readonly Place[] } {
  if (berth.faceFromM === null || berth.faceUntilM === null) {
    const findings = judgeSpace(berth, prepared.usesOfUnit);
    return { findings, places: findings.length === 0 ? wholeBerth : [] };
  }
  const lengthM = toldValue(prepared.question.boat.lengthOverallM);
  if (lengthM === null) return { findings: [lengthWanted(prepared, berth)], places: [] };
  const places = facePlacesFor(prepared, berth, { fromM: berth.faceFromM, untilM: berth.faceUntilM }, lengthM);
  if (places.length === 0) return { findings: [noGap(prepared, berth, lengthM)], places: [] };
  return {
    findings: [],
    places: places.slice(0, mostPlaces).map((place) => ({ metres: metresOf(place), cutOffM: place.cutOffM })),
  };
}

function metresOf({ fromM, untilM }: FacePlace): MetreRange {
  return { fromM, untilM };
}

function facePlacesFor(prepared: Prepared, berth: Berth, metres: MetreRange, lengthM: number): FacePlace[] {
  const { boat, index } = prepared.question;
  const fromBowM = boat.inlets.flatMap(({ fromBowM: fact }) => toldValue(fact) ?? []);
  return facePlaces({
    berth: metres,
    lengthM,
    clearanceM: index.inventory.settings.beamClearanceM,
    uses: berth.unitIds.flatMap((id) => prepared.usesOfUnit.get(id) ?? []),
    outletsAtM: berth.reaches.flatMap(({ outletId, alongM }) =>
      alongM === null || prepared.userOfOutlet.has(outletId) ? [] : [alongM],
    ),
    // Bow towards growing metres puts an inlet at the far end of its distance from the bow.
    inletsFromLowEndM: fromBowM.flatMap((m) => berth.orientations.map((way) => (way === 'bowIn' ? lengthM - m : m))),
  });
}

/** Whether a boat can lie in the whole berth, or in the given metres of a face, for the whole stay. */
export function judgeRoom(prepared: Prepared, berth: Berth, place: MetreRange | null): Finding[] {
  const { faceFromM, faceUntilM } = berth;
  if (place === null || faceFromM === null || faceUntilM === null) return judgeSpace(berth, prepared.usesOfUnit);
  const clearanceM = prepared.question.index.inventory.settings.beamClearanceM;
  const base = { level: 'refuse', subject: subjectOf(berth), unit: 'm' } as const;
  const where = `Metres ${place.fromM} to ${place.untilM} of berth ${berth.label}`;
  if (place.fromM < faceFromM || place.untilM > faceUntilM) {
    return [
      {
        ...base,
        rule: 'space.outsideFace',
        actual: `${place.fromM} to ${place.untilM}`,
        limit: `${faceFromM} to ${faceUntilM}`,
        source: "berth's metre range",
        message: `${where} lie outside its range, ${faceFromM} to ${faceUntilM} m.`,
      },
    ];
  }
  return berth.unitIds
    .flatMap((id) => prepared.usesOfUnit.get(id) ?? [])
    .filter((use) => use.fromM < place.untilM + clearanceM && place.fromM < use.untilM + clearanceM)
    .map((use) => ({
      ...base,
      rule: spaceRules[use.by.kind],
      actual: use.by.label,
      limit: clearanceM,
      source: "space is never given twice, and the marina's clearance is kept",
      message: `${where} touch metres ${use.fromM} to ${use.untilM} (${use.by.label}) or the ${clearanceM} m kept between boats.`,
    }));
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

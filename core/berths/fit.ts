import type { Boat } from '../boats.ts';
import { statedValue } from '../facts.ts';
import type { Finding, MissingFact, Subject } from '../findings.ts';
import type { Berth, MarinaSettings } from '../inventory/inventory.ts';
import { ceilCm, exceeds, metres } from './metres.ts';
import type { LowTide } from './tide.ts';
import { toldValue } from './told-value.ts';

export type FitSettings = Pick<MarinaSettings, 'overhangAllowedM' | 'beamClearanceM' | 'underKeelAllowanceM'>;

/**
 * Whether a boat finds room in a berth: length, beam, depth at the lowest tide of the stay, mooring. Metres. No finding
 * means that it fits. Each finding holds the boat's own figure (`actual`) against the greatest that the berth takes
 * (`limit`, allowances taken off). `mend` says by how much an override would let the boat in, where that little is a
 * person's to judge; no berth grows. An unknown figure gives `confirm`.
 *
 * Clearances are the marina's settings: no published figure is built in. Several units let together count with the
 * length and beam of the berth they make, never with sums of their own, since pilings or a finger may stand between.
 *
 * @param lowTide from `lowestTide`, worked out once for the stay
 */
export function judgeFit(boat: Boat, berth: Berth, lowTide: LowTide, settings: FitSettings): Finding[] {
  return [
    ...judgeLength(boat, berth, settings),
    ...judgeBeam(boat, berth, settings),
    ...judgeDepth(boat, berth, lowTide, settings),
    ...judgeMooring(boat, berth),
  ];
}

/** Room left over, m; null where a figure is unknown. For ranking only: assumed figures count. */
export interface FitWaste {
  readonly lengthLeftM: number | null;
  readonly beamLeftM: number | null;
}

/** On a face a boat takes its own metres only, so no length is left over there; the gaps are weighed at placement. */
export function fitWaste(boat: Boat, berth: Berth): FitWaste {
  const lengthM = statedValue(boat.lengthOverallM);
  const beamM = statedValue(boat.beamM);
  return {
    lengthLeftM: isFace(berth) ? 0 : left(berth.lengthM, lengthM),
    beamLeftM: left(berth.beamM, beamM),
  };
}

function left(roomM: number | null, takenM: number | null): number | null {
  return roomM === null || takenM === null ? null : Math.max(0, roomM - takenM);
}

function isFace(berth: Berth): boolean {
  return berth.faceFromM !== null && berth.faceUntilM !== null;
}

function judgeLength(boat: Boat, berth: Berth, settings: FitSettings): Finding[] {
  const { faceFromM, faceUntilM } = berth;
  const onFace = faceFromM !== null && faceUntilM !== null;
  // Along a face the next boat lies where this one ends: there is nothing to hang over.
  const overhangM = onFace ? 0 : settings.overhangAllowedM;
  const roomM = onFace ? faceUntilM - faceFromM : berth.lengthM;
  const lengthM = toldValue(boat.lengthOverallM);
  const source = onFace ? "berth's metre range" : "berth's length and the marina's setting for overhang";
  const unknown = unknowns(boat, berth, 'fit.length', source, [
    lengthM === null ? boatFact(boat, 'lengthOverallM', boat.lengthOverallM, overallQuestion) : null,
    roomM === null ? berthFact(berth, 'lengthM', 'length') : null,
  ]);
  if (lengthM === null || roomM === null) return unknown;

  const limitM = roomM + overhangM;
  const base = {
    rule: 'fit.length',
    subject: subjectOf(berth),
    actual: lengthM,
    limit: limitM,
    unit: 'm',
    source,
  } as const;
  if (exceeds(lengthM, limitM)) {
    return [
      {
        ...base,
        level: 'refuse',
        message: `${boat.name} is ${metres(lengthM)} long over all; berth ${berth.label} takes ${metres(limitM)} (${metres(roomM)} and ${metres(overhangM)} of overhang). It needs ${metres(ceilCm(lengthM - overhangM))} of berth.`,
        ...byOverride(lengthM - limitM, !exceeds(lengthM - limitM, littleOverhangM), 'more of overhang'),
      },
    ];
  }
  if (!exceeds(lengthM, roomM)) return [];
  return [
    {
      ...base,
      level: 'caution',
      message: `${boat.name} stands ${metres(lengthM - roomM)} out beyond berth ${berth.label}; ${metres(overhangM)} is allowed. Keep the fairway and the walk clear.`,
    },
  ];
}

/** What a harbormaster might let a boat stand out further; beyond it no override is suggested. Judgement. */
const littleOverhangM = 0.5;

/** A mend for what is a person's to allow: the hull itself still finds water and width. */
function byOverride(lackM: number, isLittle: boolean, what: string): { readonly mend?: string } {
  return isLittle ? { mend: `${metres(ceilCm(lackM))} ${what}, overridden with a reason` } : {};
}

const overallQuestion = 'How long is the boat over all, with pulpit, platform and dinghy?';

function judgeBeam(boat: Boat, berth: Berth, settings: FitSettings): Finding[] {
  const beamM = toldValue(boat.beamM);
  const source = "berth's beam and the marina's setting for clearance on each side";
  const unknown = unknowns(boat, berth, 'fit.beam', source, [
    beamM === null ? boatFact(boat, 'beamM', boat.beamM, 'How wide is the boat at its widest?') : null,
    berth.beamM === null ? berthFact(berth, 'beamM', 'width') : null,
  ]);
  if (beamM === null || berth.beamM === null) return unknown;

  const clearM = settings.beamClearanceM;
  const limitM = berth.beamM - 2 * clearM;
  if (!exceeds(beamM, limitM)) return [];
  return [
    {
      rule: 'fit.beam',
      level: 'refuse',
      subject: subjectOf(berth),
      actual: beamM,
      limit: limitM,
      unit: 'm',
      source,
      message: `${boat.name} is ${metres(beamM)} wide; berth ${berth.label} is ${metres(berth.beamM)} and leaves ${metres(Math.max(0, limitM))} with ${metres(clearM)} clear on each side. It needs ${metres(ceilCm(beamM + 2 * clearM))}.`,
      ...byOverride(beamM - limitM, !exceeds(beamM, berth.beamM), 'less of clearance'),
    },
  ];
}

function judgeDepth(boat: Boat, berth: Berth, lowTide: LowTide, settings: FitSettings): Finding[] {
  const draftM = toldValue(boat.draftM);
  const { depthM } = berth;
  const allowanceM = settings.underKeelAllowanceM;
  const source = `berth's depth, ${lowTide.source}, and the marina's setting for under-keel allowance`;
  const findings = unknowns(boat, berth, 'fit.depth', source, [
    draftM === null ? boatFact(boat, 'draftM', boat.draftM, 'How deep is the boat in the water?') : null,
    depthM === null ? berthFact(berth, 'depthM', 'depth at chart datum') : null,
  ]);

  if (draftM !== null && depthM !== null && lowTide.heightM !== null) {
    const limitM = depthM + lowTide.heightM - allowanceM;
    if (exceeds(draftM, limitM)) {
      return [
        {
          // Too shallow at datum already, or only because the tide falls below it.
          rule: exceeds(draftM + allowanceM, depthM) ? 'fit.depth' : 'fit.tide',
          level: 'refuse',
          subject: subjectOf(berth),
          actual: draftM,
          limit: limitM,
          unit: 'm',
          source,
          message: `${boat.name} draws ${metres(draftM)}; berth ${berth.label} has ${metres(depthM)} at datum, the tide falls to ${metres(lowTide.heightM)}, and ${metres(allowanceM)} is kept under the keel. It needs ${metres(ceilCm(draftM + allowanceM - lowTide.heightM))} at datum.`,
          ...byOverride(draftM - limitM, !exceeds(draftM, depthM + lowTide.heightM), 'less under the keel'),
        },
      ];
    }
  }
  if (lowTide.unknownFrom === null) return findings;
  const missingFact: MissingFact = {
    subject: { kind: 'marina', id: 'marina', label: 'the marina' },
    fact: 'settings.lowestTideM',
    question: `What is the lowest tide predicted from ${lowTide.unknownFrom} on?`,
  };
  return [
    ...findings,
    confirm('fit.tide', berth, draftM, source, 'The lowest tide of the stay is not on record.', missingFact),
  ];
}

/** Only what is certain: hulls side by side in a raft need each other's consent, and two hulls are hard to lie against. */
function judgeMooring(boat: Boat, berth: Berth): Finding[] {
  if (berth.mooring !== 'rafted') return [];
  const hull = toldValue(boat.hull);
  if (hull === 'monohull') return [];
  const message =
    hull === 'multihull'
      ? `${boat.name} is a multihull and berth ${berth.label} is a raft place: look at the neighbour's fenders, lines and width first.`
      : `Berth ${berth.label} is a raft place and nobody has said whether ${boat.name} is a multihull: ask before sending it there.`;
  return [
    {
      rule: 'fit.mooring',
      level: 'caution',
      subject: subjectOf(berth),
      actual: hull,
      limit: 'monohull',
      unit: null,
      source: 'common practice',
      message,
    },
  ];
}

function subjectOf(berth: Berth): Subject {
  return { kind: 'berth', id: berth.id, label: berth.label };
}

function boatFact(boat: Boat, fact: string, assumed: { readonly value: number } | null, question: string): MissingFact {
  const said = assumed === null ? question : `${question} (${metres(assumed.value)} is only assumed.)`;
  return { subject: { kind: 'boat', id: boat.id, label: boat.name }, fact, question: said };
}

function berthFact(berth: Berth, fact: string, what: string): MissingFact {
  return { subject: subjectOf(berth), fact, question: `What is the ${what} of berth ${berth.label}?` };
}

function unknowns(
  boat: Boat,
  berth: Berth,
  rule: Finding['rule'],
  source: string,
  facts: readonly (MissingFact | null)[],
): Finding[] {
  return facts.flatMap((missing) =>
    missing === null
      ? []
      : [
          confirm(
            rule,
            berth,
            null,
            source,
            `Whether ${boat.name} fits berth ${berth.label} is not known yet. ${missing.question}`,
            missing,
          ),
        ],
  );
}

function confirm(
  rule: Finding['rule'],
  berth: Berth,
  actual: number | null,
  source: string,
  message: string,
  missingFact: MissingFact,
): Finding {
  return {
    rule,
    level: 'confirm',
    subject: subjectOf(berth),
    actual,
    limit: null,
    unit: 'm',
    source,
    message,
    missingFact,
  };
}

import type { Boat, Inlet } from '../boats.ts';
import type { Finding, MissingFact } from '../findings.ts';
import type { Berth, Dock, MarinaSettings, Orientation, Outlet, Reach } from '../inventory/inventory.ts';
import type { Configuration } from '../standards/configuration.ts';
import { type CordRule, cordForWayM, cordRule, longestUsableM, mayBeUsed, reachOfCordsM } from './cord-lengths.ts';
import { type CordWay, type CordWayQuestion, cordWayM, type Room } from './cord-way.ts';
import { ceilCm, exceeds, type MetreRange, metres } from './metres.ts';
import { toldValue } from './told-value.ts';

export type ReachSettings = Pick<
  MarinaSettings,
  'cordSlackM' | 'tidalRangeM' | 'usualCordLengthsM' | 'cordsInSeriesAllowed' | 'overhangAllowedM'
>;

export interface ReachQuestion {
  readonly boat: Boat;
  /** Null: nobody has said what inlets the boat has; one may then be anywhere aboard. */
  readonly inlet: Inlet | null;
  readonly berth: Berth;
  readonly reach: Reach;
  readonly outlet: Outlet;
  /** Family of the outlet's configuration: an IEC outlet takes one cord of at most 25 m. */
  readonly family: Configuration['family'];
  readonly dock: Dock;
  readonly orientation: Orientation;
  /** The metres the boat takes on a face; null on any other berth. */
  readonly place: MetreRange | null;
  readonly settings: ReachSettings;
}

export interface ReachVerdict {
  /** Way of the cord with slack, tide and detour, at best and at worst over all that is unknown, m; Infinity: unbounded. */
  readonly way: CordWay;
  /** Cord length that reaches for certain (two in series where allowed: their sum), m; null where none is known to. */
  readonly cordNeededM: number | null;
  /** Cord sets aboard that reach alone for certain; whether their fittings match is another rule's word. */
  readonly reachingCordSetIds: readonly string[];
  readonly findings: readonly Finding[];
}

/**
 * Whether a cord reaches from an outlet to an inlet. Only length is judged. Cords aboard known and too short for the
 * best case: refused, with the length to bring. Known and enough for the worst: no finding. Between, or cords unknown:
 * `confirm`, with the question that decides. Unknown cords are refused only where no usual cord could do it.
 * @throws Error when a berth on a face comes without a place
 */
export function judgeReach(question: ReachQuestion): ReachVerdict {
  const { boat, settings } = question;
  const way = wayOf(question);
  const rule = cordRule(question.family, settings);
  const cordNeededM = cordForWayM(way.mostM, rule);
  const cordSets = toldValue(boat.cordSets);
  const reachingCordSetIds = (cordSets ?? [])
    .filter(({ lengthM }) => mayBeUsed(lengthM, rule) && !exceeds(way.mostM, lengthM))
    .map(({ id }) => id);
  const findings =
    cordSets === null
      ? judgeUnknownCords(question, way, rule)
      : judgeKnownCords(question, way, rule, reachOfCordsM(cordSets, rule));
  return { way, cordNeededM, reachingCordSetIds, findings };
}

function wayOf(question: ReachQuestion): CordWay {
  const { reach, dock, settings } = question;
  const { leastM, mostM } = cordWayM(geometryOf(question));
  // A cord from a fixed dock follows the boat down; a floating dock falls with it.
  const tideM = dock.kind === 'fixed' ? settings.tidalRangeM : 0;
  const extraM = reach.detourM + settings.cordSlackM + tideM;
  return { leastM: leastM + extraM, mostM: mostM + extraM };
}

function geometryOf({ boat, inlet, berth, reach, orientation, place, settings }: ReachQuestion): CordWayQuestion {
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

function judgeUnknownCords(question: ReachQuestion, way: CordWay, rule: CordRule): Finding[] {
  if (exceeds(way.leastM, longestUsableM(rule))) return [tooFar(question, way, rule)];
  const { boat } = question;
  const atBestM = cordForWayM(way.leastM, rule);
  const atWorstM = cordForWayM(way.mostM, rule);
  const askedM = atWorstM ?? atBestM ?? way.leastM;
  const missing: MissingFact = {
    subject: { kind: 'boat', id: boat.id, label: boat.name },
    fact: 'cordSets',
    question: `Is a cord of at least ${metres(askedM)} aboard${inSeriesWords(askedM, rule)}?`,
  };
  const questions = atBestM === atWorstM ? [missing] : [missing, ...unknownPlaces(question)];
  return questions.map((fact) => confirm(question, way, null, rule, fact));
}

function judgeKnownCords(
  question: ReachQuestion,
  way: CordWay,
  rule: CordRule,
  aboard: { readonly singleM: number; readonly seriesM: number },
): Finding[] {
  if (!exceeds(way.mostM, aboard.singleM)) return [];
  if (!exceeds(way.mostM, aboard.seriesM)) return [inSeries(question, way, aboard.seriesM, rule)];
  if (!exceeds(way.leastM, aboard.seriesM)) {
    return unknownPlaces(question).map((fact) => confirm(question, way, aboard.seriesM, rule, fact));
  }
  if (exceeds(way.leastM, longestUsableM(rule))) return [tooFar(question, way, rule)];

  const { boat, outlet } = question;
  const neededM = cordForWayM(way.mostM, rule) ?? cordForWayM(way.leastM, rule) ?? ceilCm(way.leastM);
  return [
    {
      ...base(question, 'reach.cord', rule),
      level: 'refuse',
      actual: aboard.seriesM,
      limit: way.leastM,
      message: `From outlet ${outlet.label} to the inlet of ${boat.name} a cord goes ${wayWords(way)}; the cords aboard reach ${metres(aboard.seriesM)}.`,
      mend: `a cord of ${metres(neededM)}${inSeriesWords(neededM, rule)}`,
    },
  ];
}

/** No cord that people own, or none that may be used, reaches even at best. */
function tooFar(question: ReachQuestion, way: CordWay, rule: CordRule): Finding {
  const { boat, outlet } = question;
  const limitM = longestUsableM(rule);
  // A longer cord mends it only where a longer cord may be used.
  const mend =
    rule.longestCordM === null
      ? `a cord of ${metres(ceilCm(Number.isFinite(way.mostM) ? way.mostM : way.leastM))}, longer than usual`
      : `an outlet at least ${metres(ceilCm(way.leastM - limitM))} nearer the inlet`;
  return {
    ...base(question, 'reach.distance', rule),
    level: 'refuse',
    actual: way.leastM,
    limit: limitM,
    message: `From outlet ${outlet.label} to the inlet of ${boat.name} a cord goes ${wayWords(way)}, beyond the longest of ${metres(limitM)}.`,
    mend,
  };
}

function inSeries(question: ReachQuestion, way: CordWay, seriesM: number, rule: CordRule): Finding {
  return {
    ...base(question, 'reach.series', rule),
    level: 'caution',
    actual: seriesM,
    limit: way.mostM,
    source: 'common practice',
    message: `Only two cords in series reach outlet ${question.outlet.label}: seal the joint with its ring, and keep it dry and off the water.`,
  };
}

function confirm(
  question: ReachQuestion,
  way: CordWay,
  aboardM: number | null,
  rule: CordRule,
  missingFact: MissingFact,
): Finding {
  const { boat, outlet } = question;
  return {
    ...base(question, 'reach.cord', rule),
    level: 'confirm',
    actual: aboardM,
    limit: Number.isFinite(way.mostM) ? way.mostM : null,
    message: `From outlet ${outlet.label} to the inlet of ${boat.name} a cord goes ${wayWords(way)}. ${missingFact.question}`,
    missingFact,
  };
}

function base({ outlet }: ReachQuestion, name: Finding['rule'], rule: CordRule) {
  return {
    rule: name,
    subject: { kind: 'outlet', id: outlet.id, label: outlet.label },
    unit: 'm',
    source: rule.source,
  } as const;
}

function wayWords({ leastM, mostM }: CordWay): string {
  if (!exceeds(mostM, leastM)) return metres(leastM);
  return Number.isFinite(mostM) ? `${metres(leastM)} to ${metres(mostM)}` : `${metres(leastM)} or more`;
}

function inSeriesWords(lengthM: number, rule: CordRule): string {
  const alone = rule.longestCordM !== null || rule.usualLengthsM.length === 0;
  return alone || !exceeds(lengthM, Math.max(...rule.usualLengthsM)) ? '' : ' (two in series)';
}

/** The unknown facts that widen the way, each with its question. */
function unknownPlaces(question: ReachQuestion): MissingFact[] {
  const { boat, inlet, berth, reach, orientation, place } = question;
  const geometry = geometryOf(question);
  const ofBerth = { kind: 'berth', id: berth.id, label: berth.label } as const;
  const ofBoat = { kind: 'boat', id: boat.id, label: boat.name } as const;
  const reachAt = `reaches.${berth.reaches.indexOf(reach)}`;
  const inletAt = inlet === null ? 'inlets' : `inlets.${boat.inlets.indexOf(inlet)}`;
  const facts: MissingFact[] = [];
  const ask = (subject: MissingFact['subject'], fact: string, words: string) =>
    facts.push({ subject, fact, question: words });

  const where = `outlet ${question.outlet.label} stand seen from berth ${berth.label}`;
  if (geometry.alongM === null) ask(ofBerth, `${reachAt}.alongM`, `How far along does ${where}?`);
  if (geometry.acrossM === null) ask(ofBerth, `${reachAt}.acrossM`, `How far across does ${where}?`);
  if (inlet === null) ask(ofBoat, inletAt, 'Where on the boat is its shore-power inlet?');
  else {
    if (geometry.fromBowM === null) ask(ofBoat, `${inletAt}.fromBowM`, 'How far behind the bow is the inlet?');
    if (geometry.side === null) ask(ofBoat, `${inletAt}.side`, 'Is the inlet to port, to starboard or in the middle?');
  }
  const fromStern = geometry.fromBowM === null || orientation === 'sternIn' || place !== null;
  if (geometry.lengthM === null && fromStern) ask(ofBoat, 'lengthOverallM', 'How long is the boat over all?');
  if (geometry.beamM === null && (geometry.side !== 'centre' || place !== null)) {
    ask(ofBoat, 'beamM', 'How wide is the boat at its widest?');
  }
  if (place !== null && (geometry.side === 'port' || geometry.side === 'starboard')) {
    ask(
      ofBoat,
      `${inletAt}.side`,
      `Will the boat lie with its ${geometry.side} side, where the inlet is, to the dock?`,
    );
  }
  if (place !== null && geometry.lengthM !== null && exceeds(place.untilM - place.fromM, geometry.lengthM)) {
    ask(ofBerth, 'place', `Where in metres ${place.fromM} to ${place.untilM} does the boat lie?`);
  }
  return facts;
}

import type { Finding, MissingFact } from '../findings.ts';
import { type CordRule, cordForWayM, longestUsableM, mayBeUsed, reachOfCordsM } from './cord-lengths.ts';
import type { CordWay } from './cord-way.ts';
import { geometryOf, measureReach, type ReachMeasure, type ReachQuestion } from './measure-reach.ts';
import { ceilCm, exceeds, metres } from './metres.ts';
import { toldValue } from './told-value.ts';

export interface ReachVerdict extends ReachMeasure {
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
  const { boat, cords } = question;
  const measure = measureReach(question);
  const reachingCordSetIds = (toldValue(boat.cordSets) ?? [])
    .filter(({ lengthM }) => mayBeUsed(lengthM, cords) && !exceeds(measure.way.mostM, lengthM))
    .map(({ id }) => id);
  return { ...measure, reachingCordSetIds, findings: findingsOf(question, measure) };
}

function findingsOf(question: ReachQuestion, { outcome, way }: ReachMeasure): Finding[] {
  const { boat, cords } = question;
  const aboardM = reachOfCordsM(toldValue(boat.cordSets) ?? [], cords).seriesM;
  switch (outcome) {
    case 'reaches':
      return [];
    case 'inSeries':
      return [inSeries(question, way, aboardM, cords)];
    case 'undecided':
      return confirm(question, way, aboardM, cords, unknownPlaces(question));
    case 'cordsUnknown':
      return askForCord(question, way, cords);
    case 'short':
      return [tooShort(question, way, aboardM, cords)];
    case 'tooFar':
      return [tooFar(question, way, cords)];
  }
}

function askForCord(question: ReachQuestion, way: CordWay, rule: CordRule): Finding[] {
  const { boat } = question;
  const atBestM = cordForWayM(way.leastM, rule);
  const atWorstM = cordForWayM(way.mostM, rule);
  const askedM = atWorstM ?? atBestM ?? way.leastM;
  const missing: MissingFact = {
    subject: { kind: 'boat', id: boat.id, label: boat.name },
    fact: 'cordSets',
    question: `Is a cord of at least ${metres(askedM)} aboard${inSeriesWords(askedM, rule)}?`,
  };
  // Where nothing bounds the way no cord is known to be enough: its places come first.
  const places = atBestM === atWorstM ? [] : unknownPlaces(question);
  return confirm(question, way, null, rule, atWorstM === null ? [...places, missing] : [missing, ...places]);
}

function tooShort(question: ReachQuestion, way: CordWay, aboardM: number, rule: CordRule): Finding {
  const { boat, outlet } = question;
  const neededM = cordForWayM(way.mostM, rule) ?? cordForWayM(way.leastM, rule) ?? ceilCm(way.leastM);
  return {
    ...base(question, 'reach.cord', rule),
    level: 'refuse',
    actual: aboardM,
    limit: way.leastM,
    message: `From outlet ${outlet.label} to the inlet of ${boat.name} a cord goes ${wayWords(way)}; the cords aboard reach ${metres(aboardM)}.`,
    mend: `a cord of ${metres(neededM)}${inSeriesWords(neededM, rule)}`,
  };
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

/** One finding for one cord, however much is unknown: the first fact decides soonest, the message asks for all. */
function confirm(
  question: ReachQuestion,
  way: CordWay,
  aboardM: number | null,
  rule: CordRule,
  facts: readonly MissingFact[],
): Finding[] {
  const { boat, outlet } = question;
  const [missingFact, ...alsoMissing] = facts;
  if (missingFact === undefined) return [];
  const asked = facts.map((fact) => fact.question).join(' ');
  return [
    {
      ...base(question, 'reach.cord', rule),
      level: 'confirm',
      actual: aboardM,
      limit: Number.isFinite(way.mostM) ? way.mostM : null,
      message: `From outlet ${outlet.label} to the inlet of ${boat.name} a cord goes ${wayWords(way)}. ${asked}`,
      missingFact,
      ...(alsoMissing.length === 0 ? {} : { alsoMissing }),
    },
  ];
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

import type { Finding, FindingLevel } from '../../findings.ts';
import type { Orientation } from '../../inventory/inventory.ts';
import {
  levelOfOutcome,
  measureReach,
  type ReachMeasure,
  type ReachOutcome,
  type ReachQuestion,
} from '../measure-reach.ts';
import type { MetreRange } from '../metres.ts';
import { judgeReach } from '../reach.ts';
import { toldValue } from '../told-value.ts';
import { dealCords } from './deal-cords.ts';
import { addDoubt, type Doubt, doubtOfLevel, noDoubt } from './doubt.ts';
import type { CordNeeded } from './options.ts';
import type { Feed } from './power-way.ts';
import type { Prepared } from './prepared.ts';
import type { BerthFacts, ReachedOutlet } from './reached-outlets.ts';

/** Where the boat would lie: what decides how far its inlets are from the outlets. */
export interface Lying {
  readonly facts: BerthFacts;
  readonly orientation: Orientation;
  readonly place: MetreRange | null;
}

export interface MeasuredCord {
  readonly question: ReachQuestion;
  /** Pedestal and outlet as people call it: "B" alone stands on every pedestal. */
  readonly outletLabel: string;
  readonly measure: ReachMeasure;
}

const doubtSaid = (level: FindingLevel | null): Doubt => (level === null ? noDoubt : doubtOfLevel(level));
const doubtOfOutcome: Readonly<Record<ReachOutcome, Doubt>> = {
  reaches: doubtSaid(levelOfOutcome.reaches),
  inSeries: doubtSaid(levelOfOutcome.inSeries),
  undecided: doubtSaid(levelOfOutcome.undecided),
  cordsUnknown: doubtSaid(levelOfOutcome.cordsUnknown),
  short: doubtSaid(levelOfOutcome.short),
  tooFar: doubtSaid(levelOfOutcome.tooFar),
};

/**
 * One cord to each inlet, of those that fit it and no other inlet has, from the farthest of the outlets that feed it: an
 * adapter that joins two hangs between them.
 */
export function measureCords(
  prepared: Prepared,
  lying: Lying,
  feeds: readonly Feed[],
  outlets: readonly ReachedOutlet[],
): MeasuredCord[] {
  const { inlets } = prepared.question.boat;
  const cords: MeasuredCord[] = [];
  const fed: Feed[] = [];
  for (const feed of feeds) {
    const inlet = inlets.find(({ id }) => id === feed.inletId);
    if (inlet === undefined) continue;
    let farthest: MeasuredCord | null = null;
    for (const place of feed.places) {
      const reached = outlets[place];
      if (reached === undefined) continue;
      const question = reachQuestion(prepared, lying, inlet, reached);
      const measure = measureReach(question);
      if (farthest === null || isFarther(measure, farthest.measure)) {
        farthest = { question, outletLabel: reached.supply.label, measure };
      }
    }
    if (farthest === null) continue;
    cords.push(farthest);
    fed.push(feed);
  }
  return withCordsOfTheirOwn(cords, fed);
}

/** Measures again those that cannot count on every cord aboard. */
function withCordsOfTheirOwn(cords: readonly MeasuredCord[], feeds: readonly Feed[]): MeasuredCord[] {
  const aboard = toldValue(cords[0]?.question.boat.cordSets ?? null);
  // Unknown, or none that fits: the hook-up says so itself.
  const fitting = feeds.map(({ cordSetIds }) => aboard?.filter(({ id }) => cordSetIds?.includes(id) === true) ?? []);
  const isSole = feeds.length === 1 && fitting[0]?.length === aboard?.length;
  if (aboard === null || isSole) return [...cords];
  const dealt = dealCords(
    cords.map(({ question, measure }, i) => ({
      mostM: measure.way.mostM,
      rule: question.cords,
      fitting: fitting[i] ?? [],
    })),
  );
  return cords.map((cord, i) => {
    const own = dealt[i] ?? [];
    if (own.length === 0) return cord;
    const { boat } = cord.question;
    const cordSets = boat.cordSets === null ? null : { ...boat.cordSets, value: own };
    const question = { ...cord.question, boat: { ...boat, cordSets } };
    return { ...cord, question, measure: measureReach(question) };
  });
}

export function doubtOfCords(cords: readonly MeasuredCord[]): Doubt {
  return cords.reduce((sum, { measure }) => addDoubt(sum, doubtOfOutcome[measure.outcome]), noDoubt);
}

export function findingsOfCords(cords: readonly MeasuredCord[]): Finding[] {
  return cords.flatMap(({ question, outletLabel }) => {
    const outlet = { ...question.outlet, label: outletLabel };
    return judgeReach({ ...question, outlet }).findings;
  });
}

export function cordsNeeded(cords: readonly MeasuredCord[]): CordNeeded[] {
  return cords.map(({ question, measure }) => ({
    outletId: question.outlet.id,
    inletId: question.inlet?.id ?? '',
    lengthM: measure.cordNeededM,
  }));
}

function isFarther(a: ReachMeasure, b: ReachMeasure): boolean {
  return a.way.mostM > b.way.mostM || (a.way.mostM === b.way.mostM && a.way.leastM > b.way.leastM);
}

function reachQuestion(
  prepared: Prepared,
  { facts, orientation, place }: Lying,
  inlet: NonNullable<ReachQuestion['inlet']>,
  { outlet, reach }: ReachedOutlet,
): ReachQuestion {
  const { boat, index } = prepared.question;
  const { settings } = index.inventory;
  const { berth, dock } = facts;
  return { boat, inlet, berth, reach, outlet, cords: prepared.cordRuleOf(outlet), dock, orientation, place, settings };
}

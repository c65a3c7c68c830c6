import type { Finding, Subject } from '../findings.ts';
import type { Source } from '../standards/source.ts';
import { citation } from '../standards/source.ts';

export type FittingPlace = 'outlet' | 'adapter' | 'cord' | 'inlet';

/** One thing to look at on one fitting. */
export interface FittingPoint {
  readonly id: string;
  readonly place: FittingPlace;
  /** What is seen where all is well: the default that a glance confirms. */
  readonly good: string;
  /** What would lift the refusal where it is not so. */
  readonly mend: string;
  readonly source: Source;
}

const practice: Source = { title: 'common practice', fromMemory: false };
const contacts: Source = {
  title: 'common practice: a fitting with a contact cut off, bent, scorched or corroded is refused',
  fromMemory: false,
};

const otherOutlet = 'another outlet; this one out of service until an electrician has mended it';
const otherCord = 'another cord set';
const otherAdapter = 'another adapter';

export const fittingPoints: readonly FittingPoint[] = [
  point('outletContacts', 'outlet', 'Contacts clean and straight, nothing scorched', otherOutlet, contacts),
  point('outletBody', 'outlet', 'Body whole and tight, lid closes', otherOutlet),
  point('adapterContacts', 'adapter', 'Contacts all there, straight, nothing scorched', otherAdapter, contacts),
  point('adapterBody', 'adapter', 'Body and lead whole, no tape', otherAdapter),
  point('cordContacts', 'cord', 'Contacts at both ends all there, straight, nothing scorched', otherCord, contacts),
  point('cordSheath', 'cord', 'Sheath whole from end to end, no tape', otherCord),
  point('cordWay', 'cord', 'One length, out of the water and off the walkway, no strain', 'a cord that reaches freely'),
  point('inletContacts', 'inlet', 'Contacts straight, nothing scorched', 'repair of the inlet', contacts),
  point('inletSeal', 'inlet', 'Sealing ring in place, locks home', 'a sealing ring; the cord secured'),
  point('byHand', 'cord', 'Every plug goes in by hand', 'the right plug for the outlet'),
];

const byId = new Map(fittingPoints.map((each) => [each.id, each]));

/** The points that a hook-up needs: those of an adapter only where one is used. */
export function pointsToLookAt(hasAdapter: boolean): readonly FittingPoint[] {
  return hasAdapter ? fittingPoints : fittingPoints.filter(({ place }) => place !== 'adapter');
}

/** What was seen at one point. `notLooked` needs a reason and never counts as good. */
export interface FittingLook {
  readonly pointId: string;
  readonly seen: 'good' | 'bad' | 'notLooked';
  readonly note: string | null;
}

/** Every point looked at: a bad one refuses, one left out or not looked at leaves the hook-up unconfirmed. */
export function judgeFittings(subject: Subject, hasAdapter: boolean, looks: readonly FittingLook[]): Finding[] {
  const seen = new Map(looks.map((look) => [look.pointId, look]));
  const wanted = new Set(pointsToLookAt(hasAdapter).map(({ id }) => id));
  const unwantedBad = looks.filter(({ pointId, seen: how }) => how === 'bad' && !wanted.has(pointId));
  const points = [...pointsToLookAt(hasAdapter), ...unwantedBad.flatMap(({ pointId }) => byId.get(pointId) ?? [])];
  return points.flatMap((each) => judgeLook(subject, each, seen.get(each.id) ?? null));
}

function judgeLook(subject: Subject, each: FittingPoint, look: FittingLook | null): Finding[] {
  const base = { subject, limit: each.good, unit: null, source: citation(each.source) };
  const words = `${each.place}: ${each.good.toLowerCase()}`;
  if (look?.seen === 'good') return [];
  if (look?.seen === 'bad')
    return [
      {
        rule: 'checkin.fittingBad',
        level: 'refuse',
        ...base,
        actual: look.note ?? 'not so',
        message: `Not so at the ${words}${look.note === null ? '' : ` (${look.note})`}. Do not use it.`,
        mend: each.mend,
      },
    ];
  return [
    {
      rule: 'checkin.fittingNotLooked',
      level: 'confirm',
      ...base,
      actual: look?.note ?? null,
      message: `Nobody has looked at the ${words}${look?.note ? ` (${look.note})` : ''}. Look before anything is switched on.`,
      missingFact: { subject, fact: `fittings.${each.id}`, question: `Is it so at the ${words}?` },
    },
  ];
}

function point(id: string, place: FittingPlace, good: string, mend: string, source = practice): FittingPoint {
  return { id, place, good, mend, source };
}

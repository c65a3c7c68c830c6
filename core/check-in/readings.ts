import { fromPolar, magnitude, subtractComplex } from '../electrical/complex.ts';
import type { SupplyOutlet } from '../electrical/hook-up/supply-outlet.ts';
import type { LineName } from '../standards/configuration.ts';
import { configuration } from '../standards/configurations.ts';

export const readingNames = [
  'lineToNeutralV',
  'lineToLineV',
  'lineToGroundV',
  'neutralToGroundV',
  'leakageMa',
  'leakageWithGroundMa',
] as const;
export type ReadingName = (typeof readingNames)[number];

/** The readings that must be taken where the marina has said nothing else. */
export const usualMandatoryReadings: readonly ReadingName[] = [
  'lineToNeutralV',
  'lineToLineV',
  'lineToGroundV',
  'neutralToGroundV',
  'leakageMa',
];

/** Taken once the boat is on; all others before anything is connected. */
export const liveReadings: ReadonlySet<ReadingName> = new Set(['leakageMa', 'leakageWithGroundMa']);

/** One reading at one outlet: a value, or the reason why there is none. */
export interface Reading {
  readonly outletId: string;
  readonly name: ReadingName;
  /** The contact read to neutral or ground; for line to line the first of the pair. Null where there is no choice. */
  readonly contact: LineName | null;
  readonly value: number | null;
  readonly notMeasuredBecause: string | null;
}

/** A reading to take, as the page asks for it. */
export interface AskedReading {
  readonly outletId: string;
  readonly name: ReadingName;
  readonly contact: LineName | null;
  readonly label: string;
  readonly unit: 'V' | 'mA';
  /** Nominal value of the supply as entered; null where it is unknown, or the reading has no nominal value. */
  readonly nominal: number | null;
}

const lineNames: readonly LineName[] = ['L1', 'L2', 'L3'];

/** Everything to read at an outlet of this pattern, in the order in which it is read. */
export function readingsToTake(outlet: SupplyOutlet): readonly AskedReading[] {
  const pattern = configuration(outlet.configurationId);
  const terminals = pattern?.terminals ?? ['L1', 'N', 'G'];
  const contacts = lineNames.filter((name) => terminals.includes(name));
  const hasNeutral = terminals.includes('N');
  const asked: AskedReading[] = [];
  const ask = (name: ReadingName, contact: LineName | null, label: string, nominal: number | null) =>
    asked.push({ outletId: outlet.id, name, contact, label, unit: liveReadings.has(name) ? 'mA' : 'V', nominal });
  const of = (contact: LineName) => (contacts.length > 1 ? contact : 'Line');
  if (hasNeutral)
    for (const contact of contacts)
      ask('lineToNeutralV', contact, `${of(contact)} to neutral`, nominalToNeutral(outlet, contact));
  for (const [first, second] of pairsOf(contacts))
    ask('lineToLineV', first, `${first} to ${second}`, nominalBetween(outlet, first, second));
  for (const contact of contacts)
    ask('lineToGroundV', contact, `${of(contact)} to ground`, nominalToNeutral(outlet, contact));
  if (hasNeutral) ask('neutralToGroundV', null, 'Neutral to ground', null);
  ask('leakageMa', null, 'Clamp: lines and neutral together', null);
  ask('leakageWithGroundMa', null, 'Clamp: all conductors with the ground', null);
  return asked;
}

/** Pairs of contacts to read between: L1-L2, then L2-L3 and L3-L1 where there are three. */
export function pairsOf(contacts: readonly LineName[]): readonly (readonly [LineName, LineName])[] {
  const [first, second, third] = contacts;
  if (first === undefined || second === undefined) return [];
  if (third === undefined) return [[first, second]];
  return [
    [first, second],
    [second, third],
    [third, first],
  ];
}

/** The supply's line on a contact; null where nobody has stated it. */
function phasorOn({ configurationId, lines, system }: SupplyOutlet, contact: LineName) {
  const contacts = lineNames.filter((name) => configuration(configurationId)?.terminals.includes(name));
  const name = lines?.[contacts.indexOf(contact)];
  const line = system?.lines.find((each) => each.name === name);
  return line === undefined ? null : fromPolar(line.voltageV, line.angleDeg);
}

function nominalToNeutral(outlet: SupplyOutlet, contact: LineName): number | null {
  const { system } = outlet;
  if (system === null) return null;
  const phasor = phasorOn(outlet, contact);
  if (phasor !== null) return round(magnitude(phasor));
  // Whichever line it is, where all of them have the same volts.
  const volts = new Set(system.lines.map(({ voltageV }) => round(voltageV)));
  return volts.size === 1 ? ([...volts][0] ?? null) : null;
}

function nominalBetween(outlet: SupplyOutlet, first: LineName, second: LineName): number | null {
  const [a, b] = [phasorOn(outlet, first), phasorOn(outlet, second)];
  if (a !== null && b !== null) return round(magnitude(subtractComplex(a, b)));
  return null;
}

const round = (volts: number): number => Math.round(volts * 10) / 10;

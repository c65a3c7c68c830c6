import { noWishes, type Wishes } from '../core/berths/options/options.ts';
import type { FactOrigin } from '../core/facts.ts';
import { boatOf, type ToldBoat } from './boat.ts';
import { addDays, localMoment } from './days.ts';
import type { Season } from './season.ts';

interface Arrival {
  readonly boat: Omit<ToldBoat, 'id'>;
  readonly origin: FactOrigin;
  readonly contact: readonly [name: string, phone: string];
  readonly hour: number;
  readonly nights: number;
  readonly wishes?: Partial<Wishes>;
  readonly berths: readonly string[];
  readonly note: string;
}

const known = {
  builtFor60Hz: true,
  mainBreakersKnown: true,
  adapterKindIds: [],
  neutralBond: 'none',
  ownSupplies: [],
} as const;
/** A generator aboard, kept apart from shore power; the joint belongs to it. */
const withGenerator = {
  ...known,
  neutralBond: 'ownSupply',
  ownSupplies: [{ kind: 'generator', transfer: 'switched' }],
} as const;

/** The arrivals of the load day, written one by one so that each kind of answer is among them. */
const arrivals: readonly Arrival[] = [
  {
    // Its plug goes straight into the outlet.
    boat: {
      ...known,
      name: 'Linnet Hour',
      lengthOverallM: 10.6,
      beamM: 3.35,
      hull: 'monohull',
      draftM: 1.7,
      plugAsSaid: '30 A',
      airConditioning: false,
      inletFromBowM: 8.9,
      inletSide: 'starboard',
      cordsM: [15.24],
      needsLineToLine: false,
      statedLoadVa: 1200,
    },
    origin: 'dockhand',
    contact: ['Nadia Farrowby', '+1 000 555 0111'],
    hour: 13,
    nights: 2,
    berths: ['A63', 'A64', 'A61'],
    note: 'Was here in spring.',
  },
  {
    // The last room on a feeder that residents have nearly filled.
    boat: {
      ...known,
      name: 'Penny Whelk',
      lengthOverallM: 11.2,
      beamM: 3.4,
      hull: 'monohull',
      draftM: 1.8,
      plugAsSaid: '30 A',
      airConditioning: true,
      inletFromBowM: 9.4,
      inletSide: 'port',
      cordsM: [15.24],
      needsLineToLine: false,
    },
    origin: 'boater',
    contact: ['Rufus Istlay', '+1 000 555 0124'],
    hour: 14,
    nights: 3,
    berths: ['A59', 'A60', 'A62'],
    note: '',
  },
  {
    // A 30 A boat too long for dock A: the dock lends a step-down piece.
    boat: {
      ...known,
      name: 'Sable Meridian',
      lengthOverallM: 17.2,
      beamM: 4.7,
      hull: 'monohull',
      draftM: 2.3,
      plugAsSaid: 'two 30s',
      airConditioning: true,
      inletFromBowM: 14.6,
      inletSide: 'starboard',
      duties: ['house', 'airConditioning'],
      cordsM: [15.24, 22.86],
      needsLineToLine: false,
      statedLoadVa: 3800,
    },
    origin: 'boater',
    contact: ['Greta Quarrington', '+1 000 555 0137'],
    hour: 15,
    nights: 1,
    berths: ['D46', 'D45'],
    note: 'Asks for quiet neighbours.',
  },
  {
    // Brings its own splitter.
    boat: {
      ...known,
      name: 'Tollgate Jenny',
      lengthOverallM: 13.4,
      beamM: 4.1,
      hull: 'monohull',
      draftM: 1.4,
      plugAsSaid: 'two 30s',
      airConditioning: true,
      inletFromBowM: 11.2,
      inletSide: 'port',
      duties: ['house', 'airConditioning'],
      cordsM: [15.24, 15.24],
      adapterKindIds: ['splitter-SS2-50-to-2xL5-30-breakers'],
      needsLineToLine: false,
    },
    origin: 'boater',
    contact: ['Marlo Sandring', '+1 000 555 0142'],
    hour: 15,
    nights: 2,
    berths: ['D50', 'D49'],
    note: 'Has the splitter aboard.',
  },
  {
    // "50 A" alone may be either of two plugs that never mate.
    boat: {
      name: 'Ninepin',
      lengthOverallM: 13.1,
      beamM: 4,
      hull: 'monohull',
      draftM: 1.3,
      plugAsSaid: '50 A',
      airConditioning: true,
    },
    origin: 'phone',
    contact: ['Teo Abelthorn', '+1 000 555 0156'],
    hour: 16,
    nights: 2,
    berths: ['B59', 'B60', 'B57'],
    note: 'Said "fifty amp" and no more; will call back.',
  },
  {
    // Bow in only, inlet far aft, fixed dock: a long cord, and nobody knows what is aboard.
    boat: {
      ...known,
      name: 'Oxbow Lullaby',
      lengthOverallM: 14.8,
      beamM: 4.2,
      hull: 'monohull',
      draftM: 1.9,
      plugAsSaid: '50A 125/250V',
      airConditioning: false,
      inletFromBowM: 13.2,
      inletSide: 'starboard',
      needsLineToLine: false,
    },
    origin: 'phone',
    contact: ['Ulla Kestrow', '+1 000 555 0163'],
    hour: 16,
    nights: 4,
    berths: ['C53', 'C54', 'C55', 'C56'],
    note: '',
  },
  {
    // Two slips together for one wide boat, on 208 V between lines.
    boat: {
      ...withGenerator,
      name: 'Twofold Kindness',
      lengthOverallM: 13.2,
      beamM: 7.1,
      hull: 'multihull',
      draftM: 1.2,
      plugAsSaid: '50A 125/250V',
      airConditioning: true,
      inletFromBowM: 11.8,
      inletSide: 'port',
      cordsM: [15.24],
      needsLineToLine: true,
    },
    origin: 'boater',
    contact: ['Caspian Norrowe', '+1 000 555 0171'],
    hour: 17,
    nights: 3,
    berths: ['C57-C58'],
    note: 'Two air conditioners of 240 V.',
  },
  {
    // Needs 240 V, which only docks A, B and D have.
    boat: {
      ...withGenerator,
      name: 'Grand Parcel',
      lengthOverallM: 18.6,
      beamM: 5.1,
      hull: 'monohull',
      draftM: 1.6,
      plugAsSaid: '50A 125/250V',
      airConditioning: true,
      inletFromBowM: 16.1,
      inletSide: 'port',
      cordsM: [15.24, 22.86],
      needsLineToLine: true,
      statedLoadVa: 7200,
    },
    origin: 'boater',
    contact: ['Yvette Ravelstone', '+1 000 555 0180'],
    hour: 17,
    nights: 2,
    wishes: { dockId: 'D' },
    berths: ['D47', 'D48', 'D49'],
    note: '',
  },
  {
    // Alongside the face, metres of its own.
    boat: {
      ...withGenerator,
      name: 'Harrowgate Moon',
      lengthOverallM: 23.4,
      beamM: 5.9,
      hull: 'monohull',
      draftM: 2,
      plugAsSaid: '100A 125/250V',
      airConditioning: true,
      inletFromBowM: 19.5,
      inletSide: 'centre',
      cordsM: [22.86],
      needsLineToLine: true,
      statedLoadVa: 14_000,
    },
    origin: 'boater',
    contact: ['Viggo Umberlee', '+1 000 555 0188'],
    hour: 18,
    nights: 2,
    berths: ['DF-outer'],
    note: 'Port or starboard side to, as the wind wants.',
  },
  {
    // On the feeder whose limits nobody has on record, beside the outlet whose line nobody has measured.
    boat: {
      ...known,
      name: 'Marsh Reckoning',
      lengthOverallM: 12.9,
      beamM: 3.9,
      hull: 'monohull',
      draftM: 2,
      plugAsSaid: '30 A',
      airConditioning: false,
      inletFromBowM: 10.9,
      inletSide: 'centre',
      cordsM: [15.24],
      needsLineToLine: false,
    },
    origin: 'boater',
    contact: ['Orin Gantley', '+1 000 555 0192'],
    hour: 18,
    nights: 1,
    berths: ['C60', 'C59'],
    note: '',
  },
  {
    // Wants no power at all.
    boat: {
      name: 'Button Tin',
      lengthOverallM: 8.2,
      beamM: 2.7,
      hull: 'monohull',
      draftM: 1.3,
      plugAsSaid: 'no power',
      airConditioning: false,
    },
    origin: 'phone',
    contact: ['Ines Pellworth', '+1 000 555 0195'],
    hour: 19,
    nights: 1,
    berths: ['DR2', 'DR3'],
    note: '',
  },
];

export const todaysArrivalCount = arrivals.length;

export function todaysArrivals(today: string, timeZone: string): Season {
  const calledAt = localMoment(addDays(today, -3), 9, timeZone);
  const boats = arrivals.map(({ boat, origin }, i) => boatOf({ ...boat, id: `today-${i + 1}` }, origin, calledAt));
  const stays = arrivals.map(({ contact: [contactName, contactPhone], hour, nights, wishes, berths, note }, i) => ({
    id: `stay-today-${String(i + 1).padStart(2, '0')}`,
    boatId: `today-${i + 1}`,
    contactName,
    contactPhone,
    from: localMoment(today, hour, timeZone),
    until: localMoment(addDays(today, nights), 11, timeZone),
    wishes: { ...noWishes, ...wishes },
    note,
    calledAt,
    course: 'place' as const,
    preferredBerthIds: berths,
  }));
  return { boats, stays };
}

import type { Configuration, Terminal } from './configuration.ts';
import type { Source } from './source.ts';

const nemaSeen: Source = { title: 'NEMA WD 6, wiring device dimensions', fromMemory: false };
const nemaMemory: Source = { title: 'NEMA WD 6, wiring device dimensions', fromMemory: true };
const pinAndSleeve: Source = { title: 'UL 1682 and UL 1686, pin-and-sleeve configurations', fromMemory: true };
const iec: Source = { title: 'IEC 60309-2, pin and contact-tube accessories', fromMemory: true };

type NemaRow = Omit<Configuration, 'family' | 'frequencyHz' | 'wires'>;

function nema(row: NemaRow): Configuration {
  return { ...row, family: 'NEMA WD 6', wires: row.terminals.length, frequencyHz: [60] };
}

const oneLine: readonly Terminal[] = ['L1', 'N', 'G'];
const twoLines: readonly Terminal[] = ['L1', 'L2', 'N', 'G'];
const threeLines: readonly Terminal[] = ['L1', 'L2', 'L3', 'N', 'G'];
const at120 = { lineToNeutralV: 120, lineToLineV: null, labelV: '125', poles: 2, terminals: oneLine };
const at120And240 = { lineToNeutralV: 120, lineToLineV: 240, labelV: '125/250', poles: 3, terminals: twoLines };

// Shore power is 30 A at least, and of the locking type at 30 and 50 A (NEC 555.33): the others stay false.
const nemaConfigurations: readonly Configuration[] = [
  nema({ id: '5-15', name: '15 A 125 V straight blade', ratedA: 15, ...at120, shorePower: false, source: nemaMemory }),
  nema({ id: '5-20', name: '20 A 125 V straight blade', ratedA: 20, ...at120, shorePower: false, source: nemaMemory }),
  nema({ id: 'L5-20', name: '20 A 125 V locking', ratedA: 20, ...at120, shorePower: false, source: nemaMemory }),
  nema({ id: 'L5-30', name: '30 A 125 V locking', ratedA: 30, ...at120, shorePower: true, source: nemaSeen }),
  nema({ id: 'SS1-50', name: '50 A 125 V locking', ratedA: 50, ...at120, shorePower: true, source: nemaMemory }),
  nema({
    id: 'SS2-50',
    name: '50 A 125/250 V locking',
    ratedA: 50,
    ...at120And240,
    shorePower: true,
    source: nemaSeen,
  }),
  nema({
    id: '14-50',
    name: '50 A 125/250 V straight blade',
    ratedA: 50,
    ...at120And240,
    shorePower: false,
    source: nemaSeen,
  }),
  nema({
    id: 'L14-30',
    name: '30 A 125/250 V locking',
    ratedA: 30,
    ...at120And240,
    shorePower: true,
    source: nemaMemory,
  }),
  nema({
    id: 'L21-30',
    name: '30 A 208Y/120 V locking',
    ratedA: 30,
    poles: 4,
    labelV: '120/208',
    terminals: threeLines,
    lineToNeutralV: 120,
    lineToLineV: 208,
    shorePower: true,
    source: nemaSeen,
  }),
  nema({
    id: 'L6-30',
    name: '30 A 250 V locking',
    ratedA: 30,
    poles: 2,
    labelV: '250',
    terminals: ['L1', 'L2', 'G'],
    lineToNeutralV: null,
    lineToLineV: 240,
    shorePower: true,
    source: nemaMemory,
  }),
];

const pinAndSleevePatterns = [
  { labelV: '125/250', poles: 3, terminals: twoLines, lineToNeutralV: 120, lineToLineV: 240 },
  { labelV: '120/208', poles: 4, terminals: threeLines, lineToNeutralV: 120, lineToLineV: 208 },
  {
    labelV: '480',
    poles: 3,
    terminals: ['L1', 'L2', 'L3', 'G'] as readonly Terminal[],
    lineToNeutralV: null,
    lineToLineV: 480,
  },
] as const;

const pinAndSleeveConfigurations: readonly Configuration[] = [60, 100, 200].flatMap((ratedA) =>
  pinAndSleevePatterns.map((pattern): Configuration => {
    const wires = pattern.terminals.length;
    const grouping = `${pattern.poles}P${wires}W`;
    return {
      id: `PS-${ratedA}-${pattern.labelV}-${grouping}`,
      name: `${ratedA} A ${pattern.labelV} V pin-and-sleeve, ${pattern.poles}-pole ${wires}-wire`,
      family: 'pin-and-sleeve',
      ...pattern,
      wires,
      ratedA,
      frequencyHz: [60],
      shorePower: true,
      source: pinAndSleeve,
    };
  }),
);

const iecPatterns = [
  { grouping: '2P+E', labelV: '230', poles: 2, terminals: oneLine, lineToNeutralV: 230, lineToLineV: null },
  { grouping: '3P+N+E', labelV: '400', poles: 4, terminals: threeLines, lineToNeutralV: 230, lineToLineV: 400 },
] as const;

const iecConfigurations: readonly Configuration[] = [16, 32, 63, 125].flatMap((ratedA) =>
  iecPatterns.map(({ grouping, ...pattern }): Configuration => {
    return {
      id: `IEC-${ratedA}-${grouping}-${pattern.labelV}-6h`,
      name: `${ratedA} A ${pattern.labelV} V ${grouping}, earth contact at 6 o'clock`,
      family: 'IEC 60309',
      ...pattern,
      wires: pattern.terminals.length,
      ratedA,
      frequencyHz: [50, 60],
      shorePower: true,
      source: iec,
    };
  }),
);

/** The built-in contact patterns: NEMA WD 6, pin-and-sleeve by volts, poles, wires and amperes, IEC 60309 at 6 o'clock. */
export const configurations: readonly Configuration[] = [
  ...nemaConfigurations,
  ...pinAndSleeveConfigurations,
  ...iecConfigurations,
];

const byId = new Map(configurations.map((configuration) => [configuration.id, configuration]));

/** The configuration with this id, or null where there is none. */
export function configuration(id: string): Configuration | null {
  return byId.get(id) ?? null;
}

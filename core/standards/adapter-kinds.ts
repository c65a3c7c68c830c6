import type { AdapterConductor, AdapterKind } from './adapter-kind.ts';
import type { Configuration, Terminal } from './configuration.ts';
import { configuration } from './configurations.ts';
import type { Source } from './source.ts';

const trade: Source = { title: 'common practice: kinds of adapters sold under generic trade names', fromMemory: false };

/** One conductor as `plug terminal > connector terminal`, the fittings named when there are several: `P2.L1 > L2`. */
type Wire = readonly [from: string, to: string];

interface Options {
  readonly breakerA?: number;
  readonly interlock?: boolean;
}

// Rated volts of a conductor: what its connector's pattern is sold for.
const ratedVOfLabel: Readonly<Record<string, number>> = {
  '125': 125,
  '125/250': 250,
  '250': 250,
  '120/208': 208,
  '230': 250,
  '400': 415,
  '480': 600,
};

function kind(
  id: string,
  name: string,
  plugs: readonly string[],
  connectors: readonly string[],
  wires: readonly Wire[],
  options: Options = {},
): AdapterKind {
  return {
    // An id stands in paths and in inventories, where a slash would end it.
    id: id.replaceAll('/', '-'),
    name,
    plugs: plugs.map((configurationId, i) => ({ id: `P${i + 1}`, configurationId })),
    connectors: connectors.map((configurationId, i) => ({ id: `C${i + 1}`, configurationId })),
    conductors: wires.map(([from, to]) => conductor(ending(from, 'P1'), ending(to, 'C1'), plugs, connectors, options)),
    interlock: options.interlock ?? false,
    source: trade,
  };
}

type End = AdapterConductor['from'];

const terminals: readonly Terminal[] = ['L1', 'L2', 'L3', 'N', 'G'];

function ending(text: string, usualFitting: string): End {
  const parts = text.split('.');
  const name = parts.at(-1);
  const terminal = terminals.find((each) => each === name);
  if (terminal === undefined) throw new Error(`"${text}" names no terminal: write L1, L2, L3, N or G`);
  return { fitting: parts.length > 1 ? (parts[0] ?? usualFitting) : usualFitting, terminal };
}

function conductor(
  from: End,
  to: End,
  plugs: readonly string[],
  connectors: readonly string[],
  options: Options,
): AdapterConductor {
  const plug = patternOf(plugs, from.fitting);
  const connector = patternOf(connectors, to.fitting);
  const isLine = to.terminal !== 'N' && to.terminal !== 'G';
  return {
    from,
    to,
    ratedA: Math.min(plug.ratedA, connector.ratedA),
    ratedV: ratedVOfLabel[connector.labelV] ?? 0,
    breakerA: isLine ? (options.breakerA ?? null) : null,
  };
}

function patternOf(fittings: readonly string[], fitting: string): Configuration {
  const id = fittings[Number(fitting.slice(1)) - 1] ?? '';
  const pattern = configuration(id);
  if (pattern === null) throw new Error(`fitting ${fitting} has the unknown configuration "${id}"`);
  return pattern;
}

const oneLine: readonly Wire[] = [
  ['L1', 'L1'],
  ['N', 'N'],
  ['G', 'G'],
];
const twoLines: readonly Wire[] = [['L2', 'L2'], ...oneLine];
const threeLines: readonly Wire[] = [['L3', 'L3'], ...twoLines];
/** One line on both legs of a two-line connector. */
const bridged: readonly Wire[] = [['L1', 'L2'], ...oneLine];
const twoLinesNoNeutral: readonly Wire[] = [
  ['L1', 'L1'],
  ['L2', 'L2'],
  ['G', 'G'],
];

/** Each plug gives its line to one leg; neutrals and grounds are joined. */
const combined: readonly Wire[] = [
  ['P1.L1', 'L1'],
  ['P2.L1', 'L2'],
  ['P1.N', 'N'],
  ['P2.N', 'N'],
  ['P1.G', 'G'],
  ['P2.G', 'G'],
];

/** One line of each plug, the first's to leg 1 and the second's to leg 2; neutrals and grounds are joined. */
const oneOfEach: readonly Wire[] = combined.map(([from, to]) => (from === 'P2.L1' ? ['P2.L2', to] : [from, to]));

/** For each connector the lines that it gets; it has neutral and ground of the plug with all others. */
function split(...linesOf: readonly (readonly Wire[])[]): readonly Wire[] {
  return linesOf.flatMap((lines, i) =>
    [...lines, ['N', 'N'] as const, ['G', 'G'] as const].map(([from, to]): Wire => [from, `C${i + 1}.${to}`]),
  );
}

const steps: readonly AdapterKind[] = [
  kind('step-down-SS2-50-to-L5-30', '50 A 125/250 V to 30 A 125 V pigtail', ['SS2-50'], ['L5-30'], oneLine),
  kind(
    'step-down-SS2-50-to-L5-30-breaker',
    '50 A 125/250 V to 30 A 125 V pigtail with a built-in 30 A breaker',
    ['SS2-50'],
    ['L5-30'],
    oneLine,
    { breakerA: 30 },
  ),
  kind('step-down-SS1-50-to-L5-30', '50 A 125 V to 30 A 125 V pigtail', ['SS1-50'], ['L5-30'], oneLine),
  kind('step-down-L14-30-to-L5-30', '30 A 125/250 V to 30 A 125 V pigtail', ['L14-30'], ['L5-30'], oneLine),
  kind(
    'step-down-SS1-50-to-L5-30-breaker',
    '50 A 125 V to 30 A 125 V pigtail with a built-in 30 A breaker',
    ['SS1-50'],
    ['L5-30'],
    oneLine,
    { breakerA: 30 },
  ),
  kind(
    'step-down-SS2-50-to-L14-30-breaker',
    '50 A to 30 A pigtail, 125/250 V, with a built-in two-pole 30 A breaker',
    ['SS2-50'],
    ['L14-30'],
    twoLines,
    { breakerA: 30 },
  ),
  kind(
    'single-leg-bridged-L5-30-to-L14-30',
    '30 A 125 V to 30 A 125/250 V, one line on both legs',
    ['L5-30'],
    ['L14-30'],
    bridged,
  ),
  kind('single-leg-open-L5-30-to-L14-30', '30 A 125 V to 30 A 125/250 V, leg 2 open', ['L5-30'], ['L14-30'], oneLine),
  kind(
    'two-lines-L21-30-to-L14-30',
    '30 A three-phase 120/208 V to two lines of 30 A',
    ['L21-30'],
    ['L14-30'],
    twoLines,
  ),
  kind('one-line-L21-30-to-L5-30', '30 A three-phase 120/208 V to 30 A 125 V', ['L21-30'], ['L5-30'], oneLine),
  kind('step-down-SS2-50-to-L14-30', '50 A to 30 A pigtail, 125/250 V', ['SS2-50'], ['L14-30'], twoLines),
  kind('step-down-SS2-50-to-L6-30', '50 A 125/250 V to 30 A 250 V pigtail', ['SS2-50'], ['L6-30'], twoLinesNoNeutral),
  kind('step-down-L5-30-to-L5-20', '30 A to 20 A locking pigtail, 125 V', ['L5-30'], ['L5-20'], oneLine, {
    breakerA: 20,
  }),
  kind('step-up-L5-20-to-L5-30', '20 A to 30 A locking pigtail, 125 V', ['L5-20'], ['L5-30'], oneLine),
  kind('step-up-L5-30-to-SS1-50', '30 A to 50 A pigtail, 125 V', ['L5-30'], ['SS1-50'], oneLine),
  kind('step-up-L14-30-to-SS2-50', '30 A to 50 A pigtail, 125/250 V', ['L14-30'], ['SS2-50'], twoLines),
  kind(
    'single-leg-bridged-L5-30-to-SS2-50',
    '30 A to 50 A 125/250 V, one line on both legs',
    ['L5-30'],
    ['SS2-50'],
    bridged,
  ),
  kind('single-leg-open-L5-30-to-SS2-50', '30 A to 50 A 125/250 V, leg 2 open', ['L5-30'], ['SS2-50'], oneLine),
  kind(
    'single-leg-bridged-SS1-50-to-SS2-50',
    '50 A 125 V to 50 A 125/250 V, one line on both legs',
    ['SS1-50'],
    ['SS2-50'],
    bridged,
  ),
  kind('single-leg-open-SS1-50-to-SS2-50', '50 A 125 V to 50 A 125/250 V, leg 2 open', ['SS1-50'], ['SS2-50'], oneLine),
  kind('SS2-50-to-SS1-50', '50 A 125/250 V to 50 A 125 V pigtail', ['SS2-50'], ['SS1-50'], oneLine),
];

// 15 and 20 A straight blade pieces are sold; they are listed so that a hook-up with one is refused by its name.
const straightBlade: readonly AdapterKind[] = [
  kind('step-up-5-15-to-L5-30', '15 A straight blade to 30 A 125 V', ['5-15'], ['L5-30'], oneLine),
  kind('step-up-5-20-to-L5-30', '20 A straight blade to 30 A 125 V', ['5-20'], ['L5-30'], oneLine),
  kind('step-down-L5-30-to-5-15', '30 A 125 V to 15 A straight blade', ['L5-30'], ['5-15'], oneLine),
  kind('step-down-L5-30-to-5-20', '30 A 125 V to 20 A straight blade', ['L5-30'], ['5-20'], oneLine),
];

const large: readonly AdapterKind[] = [60, 100].flatMap((ratedA) => {
  const splitPhase = `PS-${ratedA}-125/250-3P4W`;
  const threePhase = `PS-${ratedA}-120/208-4P5W`;
  return [
    kind(
      `step-down-PS-${ratedA}-125/250-to-SS2-50`,
      `${ratedA} A to 50 A pigtail, 125/250 V`,
      [splitPhase],
      ['SS2-50'],
      twoLines,
    ),
    kind(
      `step-up-SS2-50-to-PS-${ratedA}-125/250`,
      `50 A to ${ratedA} A pigtail, 125/250 V`,
      ['SS2-50'],
      [splitPhase],
      twoLines,
    ),
    kind(
      `splitter-PS-${ratedA}-125/250-to-2xSS2-50`,
      `${ratedA} A to two 50 A splitter, 125/250 V`,
      [splitPhase],
      ['SS2-50', 'SS2-50'],
      split(
        [
          ['L1', 'L1'],
          ['L2', 'L2'],
        ],
        [
          ['L1', 'L1'],
          ['L2', 'L2'],
        ],
      ),
    ),
    kind(
      `two-lines-PS-${ratedA}-120/208-to-SS2-50`,
      `${ratedA} A three-phase 120/208 V to two lines of 50 A`,
      [threePhase],
      ['SS2-50'],
      twoLines,
    ),
    kind(
      `two-lines-PS-${ratedA}-120/208-to-PS-${ratedA}-125/250`,
      `${ratedA} A three-phase 120/208 V to two lines of ${ratedA} A`,
      [threePhase],
      [splitPhase],
      twoLines,
    ),
    kind(
      `splitter-PS-${ratedA}-120/208-to-2xSS2-50`,
      `${ratedA} A three-phase 120/208 V to two 50 A splitter`,
      [threePhase],
      ['SS2-50', 'SS2-50'],
      split(
        [
          ['L1', 'L1'],
          ['L2', 'L2'],
        ],
        [
          ['L2', 'L1'],
          ['L3', 'L2'],
        ],
      ),
    ),
  ];
});

const largeSteps: readonly AdapterKind[] = [
  kind(
    'step-down-PS-100-125/250-to-PS-60-125/250',
    '100 A to 60 A pigtail, 125/250 V',
    ['PS-100-125/250-3P4W'],
    ['PS-60-125/250-3P4W'],
    twoLines,
  ),
  kind(
    'step-down-PS-100-120/208-to-PS-60-120/208',
    '100 A to 60 A pigtail, 120/208 V',
    ['PS-100-120/208-4P5W'],
    ['PS-60-120/208-4P5W'],
    threeLines,
  ),
];

const splitters: readonly AdapterKind[] = [
  kind(
    'splitter-SS2-50-to-2xL5-30',
    '50 A 125/250 V to two 30 A 125 V splitter',
    ['SS2-50'],
    ['L5-30', 'L5-30'],
    split([['L1', 'L1']], [['L2', 'L1']]),
  ),
  kind(
    'splitter-SS2-50-to-2xL5-30-breakers',
    '50 A 125/250 V to two 30 A 125 V splitter with built-in 30 A breakers',
    ['SS2-50'],
    ['L5-30', 'L5-30'],
    split([['L1', 'L1']], [['L2', 'L1']]),
    { breakerA: 30 },
  ),
  kind(
    'splitter-SS1-50-to-2xL5-30',
    '50 A 125 V to two 30 A 125 V splitter',
    ['SS1-50'],
    ['L5-30', 'L5-30'],
    split([['L1', 'L1']], [['L1', 'L1']]),
  ),
  kind(
    'splitter-SS1-50-to-2xL5-30-breakers',
    '50 A 125 V to two 30 A 125 V splitter with built-in 30 A breakers',
    ['SS1-50'],
    ['L5-30', 'L5-30'],
    split([['L1', 'L1']], [['L1', 'L1']]),
    { breakerA: 30 },
  ),
  kind(
    'splitter-L14-30-to-2xL5-30',
    '30 A 125/250 V to two 30 A 125 V splitter',
    ['L14-30'],
    ['L5-30', 'L5-30'],
    split([['L1', 'L1']], [['L2', 'L1']]),
  ),
  kind(
    'splitter-L5-30-to-2xL5-30',
    '30 A 125 V to two 30 A 125 V splitter',
    ['L5-30'],
    ['L5-30', 'L5-30'],
    split([['L1', 'L1']], [['L1', 'L1']]),
  ),
];

const combiners: readonly AdapterKind[] = [
  kind(
    'combiner-2xL5-30-to-SS2-50',
    'Two 30 A 125 V to 50 A 125/250 V combiner',
    ['L5-30', 'L5-30'],
    ['SS2-50'],
    combined,
  ),
  kind(
    'combiner-2xL5-30-to-SS2-50-interlock',
    'Two 30 A 125 V to 50 A 125/250 V combiner with interlock',
    ['L5-30', 'L5-30'],
    ['SS2-50'],
    combined,
    { interlock: true },
  ),
  kind(
    'combiner-2xL5-30-to-L14-30-interlock',
    'Two 30 A 125 V to 30 A 125/250 V combiner with interlock',
    ['L5-30', 'L5-30'],
    ['L14-30'],
    combined,
    { interlock: true },
  ),
  kind(
    'combiner-2xSS1-50-to-PS-100-125/250-interlock',
    'Two 50 A 125 V to 100 A 125/250 V combiner with interlock',
    ['SS1-50', 'SS1-50'],
    ['PS-100-125/250-3P4W'],
    combined,
    { interlock: true },
  ),
  kind(
    'combiner-2xSS2-50-to-PS-100-125/250-one-line-each',
    'Two 50 A 125/250 V to 100 A 125/250 V combiner, one line of each',
    ['SS2-50', 'SS2-50'],
    ['PS-100-125/250-3P4W'],
    oneOfEach,
  ),
  kind(
    'combiner-2xSS2-50-to-PS-100-125/250-one-line-each-interlock',
    'Two 50 A 125/250 V to 100 A 125/250 V combiner, one line of each, with interlock',
    ['SS2-50', 'SS2-50'],
    ['PS-100-125/250-3P4W'],
    oneOfEach,
    { interlock: true },
  ),
  kind(
    'combiner-2xSS1-50-to-PS-100-125/250',
    'Two 50 A 125 V to 100 A 125/250 V combiner',
    ['SS1-50', 'SS1-50'],
    ['PS-100-125/250-3P4W'],
    combined,
  ),
  // Both plugs in parallel on both legs: sold, and refused where it is traced.
  kind(
    'combiner-2xSS2-50-to-PS-100-125/250',
    'Two 50 A 125/250 V to 100 A 125/250 V combiner',
    ['SS2-50', 'SS2-50'],
    ['PS-100-125/250-3P4W'],
    [
      ['P1.L1', 'L1'],
      ['P2.L1', 'L1'],
      ['P1.L2', 'L2'],
      ['P2.L2', 'L2'],
      ['P1.N', 'N'],
      ['P2.N', 'N'],
      ['P1.G', 'G'],
      ['P2.G', 'G'],
    ],
  ),
];

const iecSizes = [16, 32, 63, 125] as const;

const iecSteps: readonly AdapterKind[] = iecSizes.flatMap((ratedA, i) => {
  const singlePhase = `IEC-${ratedA}-2P+E-230-6h`;
  const threePhase = `IEC-${ratedA}-3P+N+E-400-6h`;
  const kinds = [
    kind(
      `single-phase-from-IEC-${ratedA}-400`,
      `${ratedA} A 400 V three-phase to ${ratedA} A 230 V single-phase`,
      [threePhase],
      [singlePhase],
      oneLine,
    ),
  ];
  const larger = iecSizes[i + 1];
  if (larger === undefined) return kinds;
  const largerSingle = `IEC-${larger}-2P+E-230-6h`;
  const largerThree = `IEC-${larger}-3P+N+E-400-6h`;
  return [
    ...kinds,
    kind(
      `step-down-IEC-${larger}-to-${ratedA}-230-breaker`,
      `${larger} A to ${ratedA} A, 230 V, with a built-in ${ratedA} A breaker`,
      [largerSingle],
      [singlePhase],
      oneLine,
      { breakerA: ratedA },
    ),
    kind(
      `single-phase-from-IEC-${larger}-400-to-${ratedA}-230`,
      `${larger} A 400 V three-phase to ${ratedA} A 230 V single-phase with a built-in ${ratedA} A breaker`,
      [largerThree],
      [singlePhase],
      oneLine,
      { breakerA: ratedA },
    ),
    kind(
      `splitter-IEC-${larger}-400-to-3x${ratedA}-230`,
      `${larger} A 400 V three-phase to three ${ratedA} A 230 V, one line each, with built-in ${ratedA} A breakers`,
      [largerThree],
      [singlePhase, singlePhase, singlePhase],
      split([['L1', 'L1']], [['L2', 'L1']], [['L3', 'L1']]),
      { breakerA: ratedA },
    ),
    kind(
      `step-down-IEC-${larger}-to-${ratedA}-230`,
      `${larger} A to ${ratedA} A, 230 V`,
      [largerSingle],
      [singlePhase],
      oneLine,
    ),
    kind(
      `step-up-IEC-${ratedA}-to-${larger}-230`,
      `${ratedA} A to ${larger} A, 230 V`,
      [singlePhase],
      [largerSingle],
      oneLine,
    ),
    kind(
      `step-down-IEC-${larger}-to-${ratedA}-400`,
      `${larger} A to ${ratedA} A, 400 V`,
      [largerThree],
      [threePhase],
      threeLines,
    ),
    kind(
      `step-up-IEC-${ratedA}-to-${larger}-400`,
      `${ratedA} A to ${larger} A, 400 V`,
      [threePhase],
      [largerThree],
      threeLines,
    ),
  ];
});

/** The built-in kinds of adapters by generic trade names. A kind listed here is known, not recommended. */
export const adapterKinds: readonly AdapterKind[] = [
  ...steps,
  ...straightBlade,
  ...large,
  ...largeSteps,
  ...splitters,
  ...combiners,
  ...iecSteps,
];

const byId = new Map(adapterKinds.map((each) => [each.id, each]));

/** The built-in adapter kind with this id, or null where there is none. */
export function adapterKind(id: string): AdapterKind | null {
  return byId.get(id) ?? null;
}

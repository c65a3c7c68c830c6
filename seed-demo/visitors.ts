import type { OwnSupply } from '../core/boats.ts';
import type { ToldBoat } from './boat.ts';
import type { Random } from './random.ts';

/** How much is known of a visitor: from one call, from the sheet its people filled in, or seen on an earlier visit. */
export type Knowledge = 'call' | 'sheet' | 'seen';

interface Kind {
  readonly hull: 'monohull' | 'multihull';
  readonly lengthM: readonly [least: number, most: number];
  readonly beamOf: (lengthM: number) => number;
  readonly draftM: readonly [least: number, most: number];
  readonly plugs: readonly [Plug, ...Plug[]];
  readonly airConditioning: number;
}

type Plug = readonly [said: string, weight: number];

const sloop: Kind = {
  hull: 'monohull',
  lengthM: [8, 12.5],
  beamOf: (lengthM) => 0.8 + 0.24 * lengthM,
  draftM: [1.3, 2.1],
  plugs: [
    ['30 A', 85],
    ['no power', 10],
    ['two 30s', 5],
  ],
  airConditioning: 0.25,
};
const ketch: Kind = {
  ...sloop,
  lengthM: [12.5, 16],
  draftM: [1.7, 2.3],
  plugs: [
    ['30 A', 50],
    ['50 A', 15],
    ['50A 125/250V', 35],
  ],
  airConditioning: 0.6,
};
const dayBoat: Kind = {
  ...sloop,
  lengthM: [6, 8.5],
  draftM: [0.5, 1.2],
  plugs: [
    ['no power', 60],
    ['30 A', 40],
  ],
  airConditioning: 0,
};
const trawler: Kind = {
  hull: 'monohull',
  lengthM: [10, 14],
  beamOf: (lengthM) => 1.4 + 0.22 * lengthM,
  draftM: [1, 1.5],
  plugs: [
    ['30 A', 25],
    ['two 30s', 25],
    ['50 A', 15],
    ['50A 125/250V', 30],
    ['50A 125V', 5],
  ],
  airConditioning: 0.75,
};
const motorYacht: Kind = {
  hull: 'monohull',
  lengthM: [14, 20],
  beamOf: (lengthM) => 1.9 + 0.17 * lengthM,
  draftM: [1.1, 1.8],
  plugs: [
    ['50 A', 12],
    ['50A 125/250V', 60],
    ['two 50A 125/250V', 15],
    ['100A 125/250V', 10],
    ['100 A', 3],
  ],
  airConditioning: 0.95,
};
const catamaran: Kind = {
  hull: 'multihull',
  lengthM: [10.5, 14],
  beamOf: (lengthM) => 0.53 * lengthM,
  draftM: [0.9, 1.4],
  plugs: [
    ['30 A', 45],
    ['50 A', 10],
    ['50A 125/250V', 45],
  ],
  airConditioning: 0.6,
};

/** A visiting boat of the season, without id and name. */
export function visitor(random: Random, knowledge: Knowledge): Omit<ToldBoat, 'id' | 'name'> {
  const kind = random.weighted([
    [sloop, 40],
    [dayBoat, 8],
    [ketch, 12],
    [trawler, 22],
    [motorYacht, 10],
    [catamaran, 8],
  ]);
  const lengthOverallM = random.stepped(...kind.lengthM, 0.1);
  const plug = random.weighted(kind.plugs);
  const airConditioning = random.chance(kind.airConditioning);
  const known = knowledge !== 'call';
  const seen = knowledge === 'seen';
  const ownSupplies = suppliesAboard(lengthOverallM, plug);
  return {
    lengthOverallM,
    beamM: known || random.chance(0.93) ? round(kind.beamOf(lengthOverallM)) : undefined,
    hull: kind.hull,
    draftM: known || random.chance(0.95) ? random.stepped(...kind.draftM, 0.05) : undefined,
    plugAsSaid: known || random.chance(0.92) ? settled(plug, seen) : undefined,
    airConditioning,
    builtFor60Hz: known ? true : undefined,
    ownSupplies: known ? ownSupplies : undefined,
    // Whoever has measured knows, and few others.
    neutralBond: seen ? (ownSupplies.length > 0 ? 'ownSupply' : 'none') : undefined,
    inletFromBowM: known ? round(lengthOverallM * (random.chance(0.75) ? 0.82 : 0.12)) : undefined,
    inletSide: known ? random.pick(['port', 'starboard', 'starboard', 'centre']) : undefined,
    mainBreakersKnown: seen || (known && random.chance(0.4)),
    needsLineToLine: known ? plug.includes('50') && airConditioning && random.chance(0.35) : undefined,
    duties: known ? (['house', 'airConditioning'] as const) : undefined,
    cordsM: known
      ? random.weighted<readonly number[]>([
          [[15.24], 60],
          [[7.62, 15.24], 30],
          [[15.24, 22.86], 10],
        ])
      : undefined,
    adapterKindIds: known ? adaptersAboard(random, plug) : undefined,
    statedLoadVa: seen && plug !== 'no power' ? random.stepped(900, airConditioning ? 4500 : 1800, 100) : undefined,
  };
}

/** A larger boat has a generator behind a transfer switch. */
function suppliesAboard(lengthOverallM: number, plug: string): OwnSupply[] {
  return lengthOverallM >= 13 && plug !== 'no power' ? [{ kind: 'generator', transfer: 'switched' }] : [];
}

/** Whoever has seen the plug knows which of the two 50 A patterns it is. */
function settled(plug: string, seen: boolean): string {
  if (!seen) return plug;
  if (plug === '50 A') return '50A 125/250V';
  return plug === '100 A' ? '100A 125/250V' : plug;
}

function adaptersAboard(random: Random, plug: string): string[] {
  if (plug === '30 A') return random.chance(0.3) ? ['step-down-SS2-50-to-L5-30-breaker'] : [];
  if (plug === 'two 30s') return random.chance(0.4) ? ['splitter-SS2-50-to-2xL5-30-breakers'] : [];
  if (plug === '50A 125V') return random.chance(0.5) ? ['SS2-50-to-SS1-50'] : [];
  return [];
}

function round(value: number): number {
  return Math.round(value * 100) / 100;
}

import type { Outlet } from '../../inventory/inventory.ts';
import type { Configuration } from '../../standards/configuration.ts';
import type { SupplySystem } from '../../standards/supply-system.ts';
import type { LoadDemand } from '../power-flow/network.ts';
import { nominalBetweenV, type Pole, pairsOf } from './terminals.ts';

/** Two contacts of an outlet, by the names of its configuration. */
export type ContactPair = 'L1-N' | 'L2-N' | 'L3-N' | 'L1-L2' | 'L1-L3' | 'L2-L3';

/** What hangs on one outlet. */
export interface OutletLoad {
  readonly outletId: string;
  /**
   * `rated`: its rated amperes in every line contact, times `share`. `spread`: so many VA in all, spread over the same
   * contacts in equal amperes. Stated loads are VA at nominal volts.
   */
  readonly demand:
    | { readonly basis: 'rated'; readonly share?: number }
    | { readonly basis: 'spread'; readonly totalVa: number }
    | { readonly basis: 'stated'; readonly loadVa: Partial<Record<ContactPair, number>> };
  /** How it answers to other volts. Where not given: rated amperes stay so, stated VA too (the hardest on a weak supply). */
  readonly model?: LoadDemand['model'];
  /** Lagging, above 0 up to 1; the assumption of the whole calculation where not given. */
  readonly powerFactor?: number;
}

/** Load between two contacts, VA at nominal volts. */
interface PairLoad {
  readonly pair: readonly [Pole, Pole];
  readonly nominalV: number;
  readonly loadVa: number;
}

/** The loads of an outlet between its contacts, or null where it has no such contacts. */
export function pairLoads(
  { demand }: OutletLoad,
  outlet: Outlet,
  pattern: Configuration,
  system: SupplySystem,
  poleOf: ReadonlyMap<Pole, Pole>,
): readonly PairLoad[] | null {
  const pairs = pairsOf([...poleOf.keys()]);
  const nominalOf = ([a, b]: readonly [Pole, Pole]): number =>
    nominalBetweenV(system, poleOf.get(a) ?? 'N', poleOf.get(b) ?? 'N');
  if (demand.basis === 'stated') {
    const loads: PairLoad[] = [];
    for (const [name, loadVa] of Object.entries(demand.loadVa)) {
      const pair = pairs.find(([a, b]) => `${a}-${b}` === name);
      if (pair === undefined) return null;
      loads.push({ pair, nominalV: nominalOf(pair), loadVa });
    }
    return loads;
  }
  // Line to neutral where there is a neutral, as receptacles are counted; else evenly on the pairs of lines.
  const toNeutral = pairs.filter(([, b]) => b === 'N');
  const used = toNeutral.length > 0 ? toNeutral : pairs;
  if (demand.basis === 'spread') {
    const sumV = used.reduce((sum, pair) => sum + nominalOf(pair), 0);
    return used.map((pair) => ({ pair, nominalV: nominalOf(pair), loadVa: (demand.totalVa * nominalOf(pair)) / sumV }));
  }
  const lineA = ratedAmperes(outlet, pattern) * (demand.share ?? 1);
  const perPairA = toNeutral.length === 0 && used.length === 3 ? lineA / Math.sqrt(3) : lineA;
  return used.map((pair) => ({ pair, nominalV: nominalOf(pair), loadVa: perPairA * nominalOf(pair) }));
}

/** What an outlet can give for long: the rating of its pattern or of its breaker, whichever is less, A. */
export function ratedAmperes(
  { breakerA }: Pick<Outlet, 'breakerA'>,
  { ratedA }: Pick<Configuration, 'ratedA'>,
): number {
  return Math.min(ratedA, breakerA ?? Number.POSITIVE_INFINITY);
}

export function demandOf(
  model: LoadDemand['model'],
  loadVa: number,
  nominalV: number,
  powerFactor: number,
): LoadDemand {
  const lag = Math.sqrt(1 - powerFactor * powerFactor);
  if (model === 'constantImpedance') {
    const ohm = (nominalV * nominalV) / loadVa;
    return { model, resistanceOhm: ohm * powerFactor, reactanceOhm: ohm * lag };
  }
  const power = { powerW: loadVa * powerFactor, reactivePowerVar: loadVa * lag };
  return model === 'constantPower' ? { model, ...power } : { model, ...power, ratedV: nominalV };
}

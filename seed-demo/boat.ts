import type { Boat, CordSet, Inlet, NeutralBond, OwnSupply } from '../core/boats.ts';
import type { Fact, FactOrigin, MaybeFact } from '../core/facts.ts';
import { configuration } from '../core/standards/configurations.ts';
import { readPlugAsSaid } from '../core/standards/plug-as-said.ts';

/** One boat as the demo tells it; what is left out nobody has said. Lengths in metres. */
export interface ToldBoat {
  readonly id: string;
  readonly name: string;
  readonly lengthOverallM: number;
  readonly beamM?: number | undefined;
  readonly hull: 'monohull' | 'multihull';
  readonly draftM?: number | undefined;
  /** As said on the phone: `50 A`, `two 30s`, `no power`. */
  readonly plugAsSaid?: string | undefined;
  readonly airConditioning?: boolean | undefined;
  readonly builtFor60Hz?: boolean | undefined;
  readonly neutralBond?: NeutralBond | undefined;
  readonly ownSupplies?: readonly OwnSupply[] | undefined;
  readonly inletFromBowM?: number | undefined;
  readonly inletSide?: 'port' | 'starboard' | 'centre' | undefined;
  /** The main breaker behind each inlet is that of its pattern. */
  readonly mainBreakersKnown?: boolean | undefined;
  readonly needsLineToLine?: boolean | undefined;
  readonly duties?: readonly ('house' | 'airConditioning')[] | undefined;
  /** Lengths of the cords aboard, each of the first inlet's pattern unless told otherwise. */
  readonly cordsM?: readonly number[] | undefined;
  readonly adapterKindIds?: readonly string[] | undefined;
  readonly statedLoadVa?: number | undefined;
}

/** The boat with its facts, all stated by `origin` at `at` (epoch milliseconds). */
export function boatOf(told: ToldBoat, origin: FactOrigin, at: number): Boat {
  const fact = <T>(value: T | undefined): MaybeFact<T> => (value === undefined ? null : stated(value));
  const stated = <T>(value: T): Fact<T> => ({ value, origin, at });
  const said = told.plugAsSaid === undefined ? null : readPlugAsSaid(told.plugAsSaid);
  if (told.plugAsSaid !== undefined && said === null) {
    throw new Error(`"${told.plugAsSaid}" is no plug that the service reads: correct the demo`);
  }
  const inlets = (said ?? []).map(({ configurationIds }, i): Inlet => {
    const pattern = configuration(configurationIds[0] ?? '');
    return {
      id: `I${i + 1}`,
      configurationIds: stated(configurationIds),
      mainBreakerA: told.mainBreakersKnown && pattern !== null ? stated(pattern.ratedA) : null,
      fromBowM: fact(told.inletFromBowM),
      side: fact(told.inletSide),
      duty: fact(told.duties?.[i]),
      needsLineToLine: fact(told.needsLineToLine),
    };
  });
  return {
    id: told.id,
    name: told.name,
    lengthOverallM: stated(told.lengthOverallM),
    beamM: fact(told.beamM),
    hull: stated(told.hull),
    draftM: fact(told.draftM),
    wantsPower: said === null ? null : stated(said.length > 0),
    airConditioning: fact(told.airConditioning),
    frequenciesHz: told.builtFor60Hz ? stated([60]) : null,
    inlets,
    cordSets: told.cordsM === undefined ? null : stated(cordsOf(told.cordsM, inlets)),
    adapterKindIds: fact(told.adapterKindIds),
    appliances: null,
    statedLoadVa: fact(told.statedLoadVa),
    neutralBond: fact(told.neutralBond),
    ownSupplies: fact(told.ownSupplies),
  };
}

/** Every inlet's pattern once in each length. */
function cordsOf(lengthsM: readonly number[], inlets: readonly Inlet[]): CordSet[] {
  const patterns = [...new Set(inlets.flatMap(({ configurationIds }) => configurationIds?.value ?? []))];
  return patterns.flatMap((configurationId) =>
    lengthsM.map((lengthM, i) => ({
      id: `${patterns.indexOf(configurationId) + 1}${String.fromCharCode(97 + i)}`,
      lengthM,
      configurationId,
      ratedA: configuration(configurationId)?.ratedA ?? 30,
    })),
  );
}

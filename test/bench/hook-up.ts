import { performance } from 'node:perf_hooks';
import type { Boat, Inlet } from '../../core/boats.ts';
import { findHookUps, type HookUpRequest } from '../../core/electrical/hook-up/find-hook-ups.ts';
import type { SupplyOutlet } from '../../core/electrical/hook-up/supply-outlet.ts';
import type { Fact } from '../../core/facts.ts';
import { adapterKinds } from '../../core/standards/adapter-kinds.ts';
import type { LineName } from '../../core/standards/configuration.ts';
import { configuration } from '../../core/standards/configurations.ts';
import { supplySystem } from '../../core/standards/supply-systems.ts';

interface HookUpFigures {
  readonly name: string;
  readonly medianMs: number;
  readonly slowestMs: number;
}

/** The search for one berth: 6 outlets, 3 inlets, 8 adapters. The aim is a median below 1 ms. */
export async function run(): Promise<HookUpFigures[]> {
  return [measure('search for one berth, the best way', 1), measure('search for one berth, the three best ways', 3)];
}

function measure(name: string, most: number): HookUpFigures {
  const asked: HookUpRequest = { ...request, most };
  const taken: number[] = [];
  for (let turn = -100; turn < 200; turn++) {
    const start = performance.now();
    const { hookUps } = findHookUps(asked);
    if (turn >= 0) taken.push(performance.now() - start);
    if (hookUps.length < most) throw new Error(`${name}: only ${hookUps.length} ways`);
  }
  taken.sort((a, b) => a - b);
  return { name, medianMs: taken[taken.length >> 1] ?? 0, slowestMs: taken.at(-1) ?? 0 };
}

const fact = <T>(value: T): Fact<T> => ({ value, origin: 'dockhand', at: 0 });

function outlet(id: string, configurationId: string, lines: readonly LineName[]): SupplyOutlet {
  return {
    id,
    label: id,
    configurationId,
    lines,
    system: supplySystem('120/240-split-phase'),
    earthing: 'groundedNeutral',
    breakerA: configuration(configurationId)?.ratedA ?? null,
    groundFault: { device: 'fitted', settingMa: 30, delayMs: 0 },
    supplyId: 'transformer',
    devicesAbove: [],
  };
}

function inlet(id: string, configurationId: string, duty: 'house' | 'airConditioning' | 'charger'): Inlet {
  return {
    id,
    configurationIds: fact([configurationId]),
    mainBreakerA: fact(configuration(configurationId)?.ratedA ?? 30),
    fromBowM: null,
    side: null,
    duty: fact(duty),
    needsLineToLine: fact(false),
  };
}

const boat: Pick<Boat, 'id' | 'name' | 'wantsPower' | 'frequenciesHz' | 'inlets' | 'cordSets' | 'adapterKindIds'> = {
  id: 'boat',
  name: 'Bench Boat',
  wantsPower: fact(true),
  frequenciesHz: fact([60]),
  inlets: [inlet('I1', 'SS2-50', 'house'), inlet('I2', 'L5-30', 'airConditioning'), inlet('I3', 'L5-30', 'charger')],
  cordSets: fact(
    ['SS2-50', 'L5-30'].map((configurationId) => ({
      id: configurationId,
      lengthM: 15.24,
      configurationId,
      ratedA: configuration(configurationId)?.ratedA ?? 30,
    })),
  ),
  adapterKindIds: fact([]),
};

const kindIds = [
  'step-down-SS2-50-to-L5-30-breaker',
  'splitter-SS2-50-to-2xL5-30-breakers',
  'combiner-2xL5-30-to-SS2-50-interlock',
  'combiner-2xL5-30-to-SS2-50',
  'single-leg-bridged-L5-30-to-SS2-50',
  'step-down-PS-100-125-250-to-SS2-50',
  'SS2-50-to-SS1-50',
  'step-up-L5-30-to-SS1-50',
];

const request: Omit<HookUpRequest, 'most'> = {
  boat: { ...boat, neutralBond: fact('none'), ownSupplies: fact([]) },
  outlets: [
    outlet('a', 'L5-30', ['L1']),
    outlet('b', 'L5-30', ['L2']),
    outlet('c', 'SS2-50', ['L1', 'L2']),
    outlet('d', 'SS2-50', ['L1', 'L2']),
    outlet('e', 'SS1-50', ['L1']),
    outlet('f', 'PS-100-125/250-3P4W', ['L1', 'L2']),
  ],
  adapters: kindIds.map((kindId) => ({ kindId, from: 'aboard', stockId: null, quantity: 1 })),
  adapterKinds: new Map(adapterKinds.map((kind) => [kind.id, kind])),
  refuseCordBelowBreaker: false,
};

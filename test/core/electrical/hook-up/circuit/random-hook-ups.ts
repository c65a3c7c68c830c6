import type { CordSet, Inlet } from '../../../../../core/boats.ts';
import type { HookUp, HookUpContext, PowerSource } from '../../../../../core/electrical/hook-up/hook-up.ts';
import type { SupplyOutlet } from '../../../../../core/electrical/hook-up/supply-outlet.ts';
import type { Fact, MaybeFact } from '../../../../../core/facts.ts';
import type { AdapterKind } from '../../../../../core/standards/adapter-kind.ts';
import { adapterKinds } from '../../../../../core/standards/adapter-kinds.ts';
import type { LineName } from '../../../../../core/standards/configuration.ts';
import { configuration } from '../../../../../core/standards/configurations.ts';
import { supplySystems } from '../../../../../core/standards/supply-systems.ts';
import type { Inputs } from './contradictions.ts';

/** Random numbers from a seed: the same run again. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** The random numbers of one draw of a seed. */
export function drawOf(seed: number, draw: number): () => number {
  return seeded(Math.imul(seed, 0x9e3779b1) ^ Math.imul(draw, 0x85ebca77));
}

// Every built-in kind with an interlock of its own, too, so that joined outlets come to a safe verdict.
const kinds: readonly AdapterKind[] = adapterKinds.flatMap((kind) =>
  kind.plugs.length > 1 && !kind.interlock ? [kind, { ...kind, id: `${kind.id}-locked`, interlock: true }] : [kind],
);
const kindsById = new Map(kinds.map((kind) => [kind.id, kind]));
const patterns = ['L5-30', 'L5-30', 'SS2-50', 'SS2-50', 'SS1-50', 'L14-30', 'L6-30', 'PS-100-125/250-3P4W'];
const morePatterns = [...patterns, 'PS-100-120/208-4P5W', 'IEC-32-2P+E-230-6h', 'IEC-32-3P+N+E-400-6h', 'L21-30'];

const fact = <T>(value: T): Fact<T> => ({ value, origin: 'dockhand', at: 0 });

/** A boat with one or two inlets and any adapters and outlets that mate; most facts known and most of them sound. */
export function randomHookUp(random: () => number): Inputs {
  const pick = <T>(list: readonly T[]): T => {
    const found = list[Math.floor(random() * list.length)];
    if (found === undefined) throw new Error('nothing to choose from');
    return found;
  };
  const chance = (share: number) => random() < share;
  const maybe = <T>(value: T): MaybeFact<T> => (chance(0.97) ? fact(value) : null);
  const home = chance(0.75) ? '120/240-split-phase' : pick(supplySystems).id;
  const quiet = chance(0.5);

  const outlets: SupplyOutlet[] = [];
  const adapters: HookUp['adapters'][number][] = [];
  const joints: HookUp['joints'][number][] = [];
  const inlets: Inlet[] = [];
  const cords: CordSet[] = [];

  const outletOf = (configurationId: string): PowerSource => {
    const pattern = configuration(configurationId);
    const system = supplySystems.find(({ id }) => id === (chance(0.97) ? home : pick(supplySystems).id)) ?? null;
    const names = system?.lines.map(({ name }) => name) ?? [];
    const shift = Math.floor(random() * names.length);
    const wanted = pattern?.terminals.filter((each) => each !== 'N' && each !== 'G').length ?? 1;
    const lines = Array.from({ length: wanted }, (_, i): LineName => names[(i + shift) % names.length] ?? 'L1');
    const ratedA = pattern?.ratedA ?? 30;
    const id = `o${outlets.length}`;
    const device = quiet ? 'none' : pick(['fitted', 'fitted', 'none', 'unknown'] as const);
    outlets.push({
      id,
      label: id,
      configurationId,
      lines: chance(0.97) ? lines : null,
      system: chance(0.98) ? system : null,
      earthing: system?.frequencyHz === 50 ? pick(['TT', 'TT', 'TN-S', null] as const) : 'groundedNeutral',
      breakerA: chance(0.96) ? (chance(0.8) ? ratedA : pick([15, 20, 30, 50, 100])) : null,
      groundFault: { device, settingMa: device === 'fitted' ? pick([5, 30, 30, 100]) : null, delayMs: 0 },
      supplyId: chance(0.95) ? 'T1' : pick(['T2', null]),
      devicesAbove: !quiet && chance(0.3) ? [{ equipmentId: pick(['F1', 'F1', 'F2']), device: 'fitted' }] : [],
    });
    return { kind: 'outlet', outletId: id };
  };
  const spare: { readonly source: PowerSource; readonly configurationId: string }[] = [];
  const sourceOf = (configurationId: string, depth: number): PowerSource => {
    const at = spare.findIndex((each) => each.configurationId === configurationId);
    const left = at >= 0 && chance(0.7) ? spare.splice(at, 1)[0] : undefined;
    if (left !== undefined) return left.source;
    const able = kinds.filter(({ connectors }) => connectors.some((each) => each.configurationId === configurationId));
    if (depth === 0 || able.length === 0 || chance(depth === 2 ? 0.25 : 0.8)) return outletOf(configurationId);
    const kind = pick(able);
    const ref = `A${adapters.length + 1}`;
    adapters.push({ ref, kindId: kind.id, from: 'aboard', stockId: null });
    for (const plug of kind.plugs)
      joints.push({
        from: sourceOf(plug.configurationId, depth - 1),
        to: { kind: 'plug', adapter: ref, fitting: plug.id },
      });
    const used = kind.connectors.find((each) => each.configurationId === configurationId);
    for (const { id, configurationId: other } of kind.connectors)
      if (id !== used?.id)
        spare.push({ source: { kind: 'connector', adapter: ref, fitting: id }, configurationId: other });
    return { kind: 'connector', adapter: ref, fitting: used?.id ?? '' };
  };

  const inletCount = chance(0.7) ? 1 : 2;
  for (let i = 1; i <= inletCount; i++) {
    const configurationId = chance(0.8) ? pick(patterns) : pick(morePatterns);
    const ratedA = configuration(configurationId)?.ratedA ?? 30;
    const id = `I${i}`;
    inlets.push({
      id,
      configurationIds: fact([configurationId]),
      mainBreakerA: chance(0.8) ? fact(chance(0.7) ? ratedA : pick([16, 20, 30, 50, 100])) : null,
      fromBowM: null,
      side: null,
      duty: maybe(pick(['house', 'airConditioning'] as const)),
      needsLineToLine: maybe(chance(0.3)),
      accepts: chance(0.05) ? fact({ lowestV: 100, highestV: 250, frequenciesHz: [50, 60] }) : null,
    });
    const isSound = chance(0.9);
    cords.push({
      id: `c${i}`,
      lengthM: pick([3, 7.62, 15.24, 15.24, 30, 60]),
      configurationId,
      ratedA: isSound ? ratedA : Math.min(ratedA, 30),
    });
    joints.push({ from: sourceOf(configurationId, 2), to: { kind: 'inlet', inletId: id, configurationId } });
  }
  const context: HookUpContext = {
    boat: {
      id: 'boat',
      name: 'The boat',
      wantsPower: fact(true),
      frequenciesHz: maybe(
        home.startsWith('2') && !home.startsWith('208') && !home.startsWith('240') ? [50] : [50, 60],
      ),
      inlets,
      cordSets: maybe(cords),
      adapterKindIds: fact([]),
      neutralBond: chance(0.9) ? fact(chance(0.97) ? ('none' as const) : ('always' as const)) : null,
      ownSupplies: fact([]),
    },
    outlets: new Map(outlets.map((outlet) => [outlet.id, outlet])),
    adapterKinds: kindsById,
    refuseCordBelowBreaker: false,
  };
  return { hookUp: { adapters, joints }, context };
}

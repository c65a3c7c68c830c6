import type { CordSet, Inlet } from '../../../../core/boats.ts';
import type { AvailableAdapter } from '../../../../core/electrical/hook-up/available-adapter.ts';
import type { HookUpRequest } from '../../../../core/electrical/hook-up/find-hook-ups.ts';
import type { HookUp, HookUpBoat, HookUpContext } from '../../../../core/electrical/hook-up/hook-up.ts';
import type { SupplyOutlet } from '../../../../core/electrical/hook-up/supply-outlet.ts';
import type { Fact } from '../../../../core/facts.ts';
import { adapterKinds } from '../../../../core/standards/adapter-kinds.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import { supplySystem } from '../../../../core/standards/supply-systems.ts';

export function fact<T>(value: T): Fact<T> {
  return { value, origin: 'dockhand', at: 0 };
}

export function outlet(
  id: string,
  configurationId: string,
  lines: readonly LineName[] | null,
  given: Partial<SupplyOutlet> & { readonly systemId?: string } = {},
): SupplyOutlet {
  const { systemId = '120/240-split-phase', ...rest } = given;
  const ratedA = Number(/(?:^|-)(15|16|20|30|32|50|60|63|100|125|200)(?:-|$)/.exec(configurationId)?.[1]);
  return {
    id,
    label: id.toUpperCase(),
    configurationId,
    lines,
    system: supplySystem(systemId),
    earthing: 'groundedNeutral',
    breakerA: ratedA,
    groundFault: { device: 'fitted', settingMa: 30, delayMs: 0 },
    supplyId: 'transformer',
    devicesAbove: [],
    ...rest,
  };
}

export const noDevice = { device: 'none', settingMa: null, delayMs: null } as const;
export const unknownDevice = { device: 'unknown', settingMa: null, delayMs: null } as const;

export function inlet(id: string, configurationId: string, given: Partial<Inlet> = {}): Inlet {
  return {
    id,
    configurationIds: fact([configurationId]),
    mainBreakerA: null,
    fromBowM: null,
    side: null,
    duty: fact('house'),
    needsLineToLine: fact(false),
    ...given,
  };
}

export function cord(configurationId: string, ratedA: number): CordSet {
  return { id: `cord-${configurationId}`, lengthM: 15.24, configurationId, ratedA };
}

/** Two of each: no inlet waits for a cord. */
const usualCords = [
  cord('L5-30', 30),
  cord('SS1-50', 50),
  cord('SS2-50', 50),
  cord('L6-30', 30),
  cord('PS-100-125/250-3P4W', 100),
  cord('IEC-16-2P+E-230-6h', 16),
  cord('IEC-32-2P+E-230-6h', 32),
  cord('IEC-32-3P+N+E-400-6h', 32),
].flatMap((each) => [each, { ...each, id: `${each.id}-2` }]);

export function boat(inlets: readonly Inlet[], given: Partial<HookUpBoat> = {}): HookUpBoat {
  return {
    id: 'boat',
    name: 'Test Boat',
    wantsPower: fact(true),
    frequenciesHz: fact([60]),
    inlets,
    cordSets: fact(usualCords),
    adapterKindIds: fact([]),
    neutralBond: fact('none'),
    ownSupplies: fact([]),
    ...given,
  };
}

export const kindsById = new Map(adapterKinds.map((kind) => [kind.id, kind]));

export function request(
  theBoat: HookUpBoat,
  outlets: readonly SupplyOutlet[],
  kindIds: readonly string[] = [],
  given: Partial<HookUpRequest> = {},
): HookUpRequest {
  const adapters = kindIds.map((kindId): AvailableAdapter => {
    return { kindId, from: 'aboard', stockId: null, quantity: 1 };
  });
  return {
    boat: theBoat,
    outlets,
    adapters,
    adapterKinds: kindsById,
    refuseCordBelowBreaker: false,
    most: 8,
    ...given,
  };
}

export function contextOf(asked: HookUpRequest): HookUpContext {
  return { ...asked, outlets: new Map(asked.outlets.map((each) => [each.id, each])) };
}

/** Outlets into the plugs of one adapter in their order, its first connector to the inlet; or straight in. */
export function hookUp(
  outlets: readonly SupplyOutlet[],
  kindId: string | null,
  theInlet: Inlet,
  configurationId?: string,
): HookUp {
  const id = configurationId ?? theInlet.configurationIds?.value[0] ?? '';
  const sink = { kind: 'inlet', inletId: theInlet.id, configurationId: id } as const;
  if (kindId === null)
    return { adapters: [], joints: outlets.map((each) => ({ from: { kind: 'outlet', outletId: each.id }, to: sink })) };
  return {
    adapters: [{ ref: 'A1', kindId, from: 'aboard', stockId: null }],
    joints: [
      ...outlets.map(
        (each, i) =>
          ({
            from: { kind: 'outlet', outletId: each.id },
            to: { kind: 'plug', adapter: 'A1', fitting: `P${i + 1}` },
          }) as const,
      ),
      { from: { kind: 'connector', adapter: 'A1', fitting: 'C1' }, to: sink },
    ],
  };
}

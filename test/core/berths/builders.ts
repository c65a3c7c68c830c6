import type { Boat, CordSet, Inlet } from '../../../core/boats.ts';
import type { Fact, MaybeFact } from '../../../core/facts.ts';
import type { Berth, Dock, Outlet } from '../../../core/inventory/inventory.ts';

export function told<T>(value: T | null): MaybeFact<T> {
  return value === null ? null : { value, origin: 'phone', at: 0 };
}

export function assumed<T>(value: T): Fact<T> {
  return { value, origin: 'default', at: 0 };
}

export function boatOf(facts: Partial<Boat> = {}): Boat {
  return {
    id: 'b1',
    name: 'Wren',
    lengthOverallM: told(12),
    beamM: told(4),
    hull: told<'monohull' | 'multihull'>('monohull'),
    draftM: told(1.8),
    wantsPower: told(true),
    airConditioning: null,
    frequenciesHz: null,
    inlets: [],
    cordSets: null,
    adapterKindIds: null,
    appliances: null,
    statedLoadVa: null,
    ...facts,
  };
}

export function inletOf(facts: Partial<Inlet> = {}): Inlet {
  return {
    id: 'I1',
    configurationIds: told(['L5-30']),
    mainBreakerA: null,
    fromBowM: told(9),
    side: told<'port' | 'starboard' | 'centre'>('starboard'),
    duty: null,
    needsLineToLine: null,
    ...facts,
  };
}

export function cord(lengthM: number): CordSet {
  return { id: `c${lengthM}`, lengthM, configurationId: 'L5-30', ratedA: 30 };
}

export function berthOf(facts: Partial<Berth> = {}): Berth {
  return {
    id: 's1',
    label: 'A1',
    unitIds: ['u1'],
    faceFromM: null,
    faceUntilM: null,
    mooring: 'fingerPier',
    fingerOn: null,
    lengthM: 12,
    beamM: 5,
    depthM: 2.5,
    orientations: ['bowIn', 'sternIn'],
    reaches: [{ outletId: 'o1', alongM: 0, acrossM: 3, detourM: 0 }],
    ...facts,
  };
}

export const outlet: Outlet = {
  id: 'o1',
  label: '1A',
  pedestalId: 'p1',
  fedById: null,
  configurationId: 'L5-30',
  lines: ['L1'],
  breakerA: 30,
  groundFault: { device: 'unknown', settingMa: null, delayMs: null },
  dedicatedBerthId: null,
  subMetered: false,
  heightM: null,
};

export function dockOf(kind: Dock['kind']): Dock {
  return { id: 'd1', label: 'A', kind, lengthM: null };
}

/** Asserts that a message names a length and returns the first one, m. */
export function firstMetres(text: string | undefined): number {
  const found = /([\d.]+) m\b/.exec(text ?? '')?.[1];
  if (found === undefined) throw new Error(`no length in "${text}"`);
  return Number(found);
}

import type { BoatLoadInput, LoadAppliance, LoadInlet } from '../../../../core/electrical/boat-load/boat-load.ts';
import { type LoadMethod, loadMethod } from '../../../../core/electrical/boat-load/load-method.ts';

export function methodOf(id: string): LoadMethod {
  const method = loadMethod(id);
  if (method === null) throw new Error(`no method "${id}"`);
  return method;
}

export const boat = { kind: 'boat', id: 'b1', label: 'Test Boat' } as const;

export const oneLeg: LoadInlet = { id: 'I1', lineToNeutralV: 120, lineToLineV: null, mainBreakerA: 30 };
export const twoLegs: LoadInlet = { id: 'I1', lineToNeutralV: 120, lineToLineV: 240, mainBreakerA: 50 };

export function appliance(name: string, given: Partial<LoadAppliance>): LoadAppliance {
  return {
    name,
    loadVa: 0,
    inletId: 'I1',
    legs: 'L1',
    motor: false,
    continuous: false,
    fixed: false,
    use: 'always',
    ...given,
  };
}

export function question(given: Partial<BoatLoadInput>): BoatLoadInput {
  return {
    method: methodOf('dwelling-550.18'),
    season: 'either',
    boat,
    inlets: [oneLeg],
    general: null,
    appliances: [],
    assumed: false,
    ...given,
  };
}

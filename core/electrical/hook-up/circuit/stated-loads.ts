import type { LoadElement } from '../../power-flow/network.ts';
import type { HookUpBoat } from '../hook-up.ts';
import type { HookUpCircuit } from './circuit.ts';
import { loadAt } from './load-cases.ts';

/** The boat's appliances on the ports of a circuit; null where one has no inlet or leg stated, or none are known. */
export function statedLoads({ appliances }: HookUpBoat, { ports }: HookUpCircuit): readonly LoadElement[] | null {
  const stated = appliances?.value ?? null;
  if (stated === null) return null;
  const inletIds = new Set(ports.map(({ inletId }) => inletId));
  const wattsOfPort = new Map<string, number>();
  for (const { inletId, legs, loadVa } of stated) {
    if (inletId === null || legs === null) return null;
    if (!inletIds.has(inletId)) continue;
    const port = ports.find(
      (each) => each.inletId === inletId && each.transformer !== 'primary' && each.legs.join('-') === portLegs(legs),
    );
    if (port === undefined) return null;
    wattsOfPort.set(port.id, (wattsOfPort.get(port.id) ?? 0) + loadVa);
  }
  return ports.flatMap((port) => {
    const powerW = wattsOfPort.get(port.id);
    return powerW === undefined ? [] : [loadAt(port, { model: 'constantPower', powerW, reactivePowerVar: 0 })];
  });
}

function portLegs(legs: 'L1' | 'L2' | 'L1-L2'): string {
  return legs === 'L1-L2' ? legs : `${legs}-N`;
}

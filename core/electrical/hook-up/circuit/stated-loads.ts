import type { LegPlace } from '../../../boats.ts';
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
    const places = portLegs(legs);
    for (const place of places) {
      const port = ports.find(
        (each) => each.inletId === inletId && each.transformer !== 'primary' && each.legs.join('-') === place,
      );
      if (port === undefined) return null;
      wattsOfPort.set(port.id, (wattsOfPort.get(port.id) ?? 0) + loadVa / places.length);
    }
  }
  return ports.flatMap((port) => {
    const powerW = wattsOfPort.get(port.id);
    return powerW === undefined ? [] : [loadAt(port, { model: 'constantPower', powerW, reactivePowerVar: 0 })];
  });
}

/** A three-phase load hangs between each two of the lines. */
function portLegs(legs: LegPlace): readonly string[] {
  if (legs === 'L1-L2-L3') return ['L1-L2', 'L1-L3', 'L2-L3'];
  return [legs.includes('-') ? legs : `${legs}-N`];
}

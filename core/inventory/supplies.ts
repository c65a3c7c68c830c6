import type { LineName } from '../standards/configuration.ts';
import type { SupplySystem } from '../standards/supply-system.ts';
import { supplySystem } from '../standards/supply-systems.ts';
import type { Equipment } from './inventory.ts';

/** What one part of the equipment offers on its load side. */
export interface Supply {
  readonly system: SupplySystem;
  /** Lines that it and everything above it carry, in the system's order unless the document gives another. */
  readonly lines: readonly LineName[];
}

export interface Supplies {
  /** Null where it cannot be told: no or an unknown system, a parent that does not exist, a circle. */
  readonly ofEquipment: ReadonlyMap<string, Supply | null>;
  /** Each circle as the ids of its parts, every circle once. */
  readonly circles: readonly (readonly string[])[];
}

/** True where a part makes a supply of its own and does not pass on its parent's. */
export function startsSupply(part: Equipment): boolean {
  return part.kind === 'service' || part.kind === 'transformer';
}

/** Supply on the load side of every part, in one pass. Never throws, whatever the parents say. */
export function suppliesOf(equipment: ReadonlyMap<string, Equipment>): Supplies {
  const supplies = new Map<string, Supply | null>();
  const circles: string[][] = [];
  for (const start of equipment.values()) {
    const walked: Equipment[] = [];
    const onWalk = new Map<string, number>();
    let step: Equipment | undefined = start;
    while (step !== undefined && !supplies.has(step.id)) {
      const seenAt = onWalk.get(step.id);
      if (seenAt !== undefined) {
        circles.push(walked.slice(seenAt).map((part) => part.id));
        break;
      }
      onWalk.set(step.id, walked.length);
      walked.push(step);
      step = step.parentId === null ? undefined : equipment.get(step.parentId);
    }
    for (const part of walked.reverse()) supplies.set(part.id, supplyOf(part, supplies));
  }
  return { ofEquipment: supplies, circles };
}

function supplyOf(part: Equipment, known: ReadonlyMap<string, Supply | null>): Supply | null {
  const above = startsSupply(part)
    ? ownSupply(part)
    : part.parentId === null
      ? null
      : (known.get(part.parentId) ?? null);
  // A transformer's lines are those that feed it; on its load side it has all that its system has.
  if (above === null || part.lines === null || part.kind === 'transformer') return above;
  return { system: above.system, lines: part.lines.filter((line) => above.lines.includes(line)) };
}

function ownSupply(part: Equipment): Supply | null {
  const system = part.systemId === null ? null : supplySystem(part.systemId);
  return system && { system, lines: system.lines.map((line) => line.name) };
}

import type { SpaceUse } from '../../core/berths/occupancy.ts';
import { judgeSpace } from '../../core/berths/options/judge-space.ts';
import type { Finding } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Period } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import { Problem } from '../errors.ts';
import { localTime } from '../local-time.ts';
import { partsOfBerth } from '../occupancy/berth-parts.ts';
import { loadOccupancy } from '../occupancy/load.ts';

/** What a block may stand on: its berths over a time. */
interface Block extends Period {
  readonly groupId: string;
  readonly berthIds: readonly string[];
}

/**
 * Who else than the group and its members has any of a block's space, a finding for each.
 * @throws Problem `invalid-input` for a berth that does not exist
 */
export async function othersOnBlock(tx: Tx, marinaId: string, index: InventoryIndex, block: Block): Promise<Finding[]> {
  const { groupId, berthIds, from, until } = block;
  const whole = { fromM: null, untilM: null };
  const places = berthIds.map((berthId) => partsOfBerth(index, berthId, whole));
  if (from >= until || places.length === 0) return [];
  const { spaceUses } = await loadOccupancy(tx, marinaId, block);
  const ofMembers = await tx.assignment.findMany({
    where: { marinaId, stay: { groupId }, fromAt: { lt: new Date(until) }, occupiedUntil: { gt: new Date(from) } },
    select: { id: true },
  });
  const own = new Set([`group ${groupId}`, ...ofMembers.map(({ id }) => `assignment ${id}`)]);
  const others = spaceUses.filter(({ by }) => !own.has(`${by.kind} ${by.id}`));
  const { timeZone } = index.inventory;
  const times = { period: block, occupiedUntil: until, sayTime: (at: number) => localTime(at, timeZone) };
  return places.flatMap(({ berth, parts }) => {
    const meets = (use: SpaceUse) =>
      parts.some((part) => part.unitId === use.unitId && part.fromM < use.untilM && use.fromM < part.untilM);
    const ofUnits = new Map(berth.unitIds.map((id) => [id, others.filter((use) => use.unitId === id && meets(use))]));
    return judgeSpace(times, berth, ofUnits).findings();
  });
}

/** @throws Problem `double-use` with a finding for each who has any of it */
export async function requireFreeBlock(tx: Tx, marinaId: string, index: InventoryIndex, block: Block): Promise<void> {
  const findings = await othersOnBlock(tx, marinaId, index, block);
  const [first] = findings;
  if (first === undefined) return;
  const more = findings.length > 1 ? ` (and ${findings.length - 1} more)` : '';
  throw new Problem('double-use', `${first.message}${more}`, { findings });
}

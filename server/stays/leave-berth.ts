import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Tx } from '../db/client.ts';
import { Prisma, type Stay } from '../db/generated/client.ts';
import { cutAssignments } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { StoredStay } from './stored-stay.ts';

/**
 * Stores that a boat has left, whoever says so: its berth is free after the turnover, its outlets at once. A moment
 * before its arrival leaves the departure as it was. Adapters that it still has are written out by `keepOut`.
 */
export async function leaveBerth(
  tx: Tx,
  index: InventoryIndex,
  { row: { marinaId, id, arrivalAt }, assignments }: StoredStay,
  at: number,
): Promise<Stay> {
  const turnoverMs = index.inventory.settings.turnoverMinutes * 60_000;
  const cuts = assignments
    .filter(({ untilAt }) => at < untilAt.getTime())
    .map(({ id: assignmentId, fromAt }) => ({
      assignmentId,
      at,
      // A part that never began leaves nothing to clean.
      occupiedUntil: fromAt.getTime() >= at ? at : at + turnoverMs,
    }));
  await rewriteDerivedUses(tx, marinaId, await cutAssignments(tx, marinaId, cuts));
  return tx.stay.update({
    where: { marinaId_id: { marinaId, id } },
    data: {
      state: 'departed',
      ...(at > arrivalAt.getTime() ? { departureAt: new Date(at) } : {}),
      needsBerth: Prisma.DbNull,
      offerExpiresAt: null,
      version: { increment: 1 },
    },
  });
}

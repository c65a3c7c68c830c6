import { z } from 'zod';
import type { Tx } from '../db/client.ts';
import type { StayGroup } from '../db/generated/client.ts';
import { Problem } from '../errors.ts';
import type { Touched } from '../occupancy/derived-uses.ts';

const storedBerthIds = z.array(z.string());

export function berthIdsOf({ berthIds }: Pick<StayGroup, 'berthIds'>): string[] {
  return storedBerthIds.parse(berthIds);
}

/** @throws Problem `not-found` */
export async function readGroup(tx: Tx, marinaId: string, groupId: string): Promise<StayGroup> {
  const row = await tx.stayGroup.findUnique({ where: { marinaId_id: { marinaId, id: groupId } } });
  if (row === null) throw new Problem('not-found', `There is no group "${groupId}".`);
  return row;
}

/** For `rewriteDerivedUses`: everything that a group's rows stand on, before and after a change. */
export async function touchedByGroups(tx: Tx, rows: readonly StayGroup[]): Promise<Touched> {
  const [first] = rows;
  if (first === undefined) return { unitIds: [], outletIds: [], since: 0 };
  // Retired units too: a group outlives a change of the inventory.
  const units = await tx.berthUnit.findMany({
    where: { marinaId: first.marinaId, berthId: { in: rows.flatMap(berthIdsOf) } },
    select: { unitId: true },
  });
  return {
    unitIds: units.map(({ unitId }) => unitId),
    outletIds: [],
    since: Math.min(...rows.map(({ fromAt }) => fromAt.getTime())),
  };
}

import type { Tx } from '../db/client.ts';
import { plainJson } from '../db/plain-json.ts';
import { touchedByGroups } from '../groups/stored-group.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { WhatWasDone } from './what-was-done.ts';

/** Groups past their cut-off: the berths that no member has are free again. */
export async function releaseLapsedGroups(tx: Tx, marinaId: string, now: number): Promise<WhatWasDone> {
  const groups = await tx.stayGroup.findMany({
    where: { marinaId, releasedAt: null, cutOffAt: { lte: new Date(now) } },
    orderBy: { id: 'asc' },
  });
  const groupIds = groups.map(({ id }) => id);
  await tx.stayGroup.updateMany({
    where: { marinaId, id: { in: groupIds } },
    data: { releasedAt: new Date(now), version: { increment: 1 } },
  });
  await rewriteDerivedUses(tx, marinaId, await touchedByGroups(tx, groups));
  return { before: plainJson({ groups }), after: { groupIds } };
}

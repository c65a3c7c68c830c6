import type { Tx } from '../db/client.ts';
import { plainJson } from '../db/plain-json.ts';
import { cutAssignments } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { WhatWasDone } from './what-was-done.ts';

/** Offers that have lapsed: each stay is a request again, and its berth is free. */
export async function withdrawLapsedOffers(tx: Tx, marinaId: string, now: number): Promise<WhatWasDone> {
  const stays = await tx.stay.findMany({
    where: { marinaId, state: 'offered', offerExpiresAt: { lte: new Date(now) } },
    include: { assignments: true },
    orderBy: { id: 'asc' },
  });
  const cuts = stays.flatMap(({ assignments }) =>
    assignments.map(({ id, fromAt }) => ({
      assignmentId: id,
      at: fromAt.getTime(),
      occupiedUntil: fromAt.getTime(),
    })),
  );
  await rewriteDerivedUses(tx, marinaId, await cutAssignments(tx, marinaId, cuts));
  const stayIds = stays.map(({ id }) => id);
  await tx.stay.updateMany({
    where: { marinaId, id: { in: stayIds } },
    data: { state: 'requested', offerExpiresAt: null, version: { increment: 1 } },
  });
  return { before: plainJson({ stays }), after: { stayIds } };
}

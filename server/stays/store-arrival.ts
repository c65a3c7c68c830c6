import type { Tx } from '../db/client.ts';
import type { Stay } from '../db/generated/client.ts';

/** Stores that a boat has come, whoever says so: where it came before its time, its stay begins then. */
export function storeArrival(tx: Tx, { marinaId, id, arrivalAt }: Stay, at: number): Promise<Stay> {
  return tx.stay.update({
    where: { marinaId_id: { marinaId, id } },
    data: {
      state: 'arrived',
      arrivalAt: new Date(Math.min(at, arrivalAt.getTime())),
      offerExpiresAt: null,
      version: { increment: 1 },
    },
  });
}

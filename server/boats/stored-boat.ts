import { z } from 'zod';
import type { Boat } from '../../core/boats.ts';
import type { Tx } from '../db/client.ts';
import type { Boat as BoatRow, Prisma } from '../db/generated/client.ts';
import { Problem } from '../errors.ts';

type Facts = Omit<Boat, 'id' | 'name'>;

/** What was checked at the door when it was written is not checked field by field again. */
const storedFacts = z.custom<Facts>((value) => typeof value === 'object' && value !== null && 'inlets' in value);

/** A boat's row as core takes it. */
export function boatOf(row: { readonly id: string; readonly name: string; readonly facts: Prisma.JsonValue }): Boat {
  const { inlets, ...own } = storedFacts.parse(row.facts);
  // Facts that were not asked for when the row was written are unknown.
  return {
    id: row.id,
    name: row.name,
    neutralBond: null,
    ownSupplies: null,
    ...own,
    inlets: inlets.map((inlet) => ({ transformer: null, accepts: null, ...inlet })),
  };
}

/** @throws Problem `not-found` */
export async function readBoat(tx: Tx, marinaId: string, boatId: string): Promise<BoatRow> {
  const row = await tx.boat.findUnique({ where: { marinaId_id: { marinaId, id: boatId } } });
  if (row === null) throw new Problem('not-found', `There is no boat "${boatId}".`);
  return row;
}

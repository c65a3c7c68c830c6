import { z } from 'zod';
import type { Wishes } from '../../core/berths/options/options.ts';
import type { Boat } from '../../core/boats.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment, Boat as BoatRow, Stay } from '../db/generated/client.ts';
import { Problem } from '../errors.ts';

/** A stay with its boat, its wishes and its assignments, earliest first. */
export interface StoredStay {
  readonly row: Stay;
  readonly boat: Boat;
  readonly boatRow: BoatRow;
  readonly wishes: Wishes;
  readonly assignments: readonly Assignment[];
}

/** What `stay.wishes` holds. */
export const storedWishes = z.strictObject({
  dockId: z.string().max(100).nullable().default(null),
  berthId: z.string().max(100).nullable().default(null),
  orientation: z.enum(['bowIn', 'sternIn']).nullable().default(null),
  mooring: z.enum(['floating', 'fixed']).nullable().default(null),
});

/** The marina's stay, or null where it has no such stay. */
export async function loadStay(tx: Tx, marinaId: string, stayId: string): Promise<StoredStay | null> {
  const [stay] = await loadStays(tx, marinaId, [stayId]);
  return stay ?? null;
}

/** Those of these stays that the marina has, in no order. */
export async function loadStays(tx: Tx, marinaId: string, stayIds: readonly string[]): Promise<StoredStay[]> {
  const found = await tx.stay.findMany({
    where: { marinaId, id: { in: [...stayIds] } },
    include: { boat: true, assignments: { orderBy: [{ fromAt: 'asc' }, { id: 'asc' }] } },
  });
  return found.map(({ boat: boatRow, assignments, ...row }) => ({
    row,
    boat: boatOf(boatRow),
    boatRow,
    wishes: storedWishes.parse(row.wishes),
    assignments,
  }));
}

/** @throws Problem `not-found` */
export async function readStay(tx: Tx, marinaId: string, stayId: string): Promise<StoredStay> {
  const stay = await loadStay(tx, marinaId, stayId);
  if (stay === null) throw new Problem('not-found', `There is no stay "${stayId}".`);
  return stay;
}

import { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { openEnd } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import type { AdapterLoan, Assignment } from '../db/generated/client.ts';
import { instant } from '../http/fields.ts';

export const adapterLoanSchema = z
  .strictObject({
    id: z.string(),
    stockId: z.string(),
    label: z.string(),
    stayId: z.string(),
    boatName: z.string(),
    lentAt: instant,
    dueAt: instant,
    returnedAt: instant.nullable(),
    returnedNote: z.string().nullable(),
    isOverdue: z.boolean(),
  })
  .meta({ id: 'AdapterLoan', description: "One piece of the dock's stock in a boat's hands." });

export type AdapterLoanDocument = z.output<typeof adapterLoanSchema>;

export function adapterLoanDocument(
  index: InventoryIndex,
  row: AdapterLoan & { readonly boatName: string },
  now: number,
): AdapterLoanDocument {
  return {
    id: row.id,
    stockId: row.stockId,
    label: index.adapterStock.get(row.stockId)?.label ?? row.stockId,
    stayId: row.stayId,
    boatName: row.boatName,
    lentAt: row.lentAt.toISOString(),
    dueAt: row.dueAt.toISOString(),
    returnedAt: row.returnedAt?.toISOString() ?? null,
    returnedNote: row.returnedNote,
    isOverdue: row.returnedAt === null && row.dueAt.getTime() < now,
  };
}

/** Loans with the boats that have them; `out`: those not returned. The longest due first. */
export async function readLoans(
  tx: Tx,
  marinaId: string,
  where: { readonly stayIds?: readonly string[]; readonly isOut?: boolean; readonly dueBefore?: number },
): Promise<(AdapterLoan & { boatName: string })[]> {
  const rows = await tx.adapterLoan.findMany({
    where: {
      marinaId,
      ...(where.stayIds === undefined ? {} : { stayId: { in: [...where.stayIds] } }),
      ...(where.isOut ? { returnedAt: null } : {}),
      ...(where.dueBefore === undefined ? {} : { dueAt: { lt: new Date(where.dueBefore) } }),
    },
    orderBy: [{ dueAt: 'asc' }, { id: 'asc' }],
    take: 1_000,
  });
  const stays = await tx.stay.findMany({
    where: { marinaId, id: { in: [...new Set(rows.map(({ stayId }) => stayId))] } },
    select: { id: true, boat: { select: { name: true } } },
  });
  const names = new Map(stays.map(({ id, boat }) => [id, boat.name]));
  return rows.map((row) => ({ ...row, boatName: names.get(row.stayId) ?? row.stayId }));
}

interface Lending {
  readonly marinaId: string;
  readonly eventId: string;
  readonly stayId: string;
  readonly assignment: Assignment;
  readonly at: number;
  readonly dueAt: Date;
  /** One entry a piece. */
  readonly stockIds: readonly string[];
}

/**
 * Writes pieces out of stock: one loan each, less those that the stay has already. What was reserved for the stay and is
 * not needed goes back; what is in its hands is out for as long as its berth is kept.
 */
export async function lendAdapters(tx: Tx, lending: Lending): Promise<void> {
  const { marinaId, eventId, stayId, assignment, at, dueAt, stockIds } = lending;
  const out = await tx.adapterLoan.findMany({ where: { marinaId, stayId, returnedAt: null } });
  const inHand = out.map(({ stockId }) => stockId);
  const toLend = stockIds.filter((id) => {
    const position = inHand.indexOf(id);
    if (position >= 0) inHand.splice(position, 1);
    return position < 0;
  });
  const lentAt = new Date(at);
  await tx.adapterLoan.createMany({
    data: toLend.map((stockId, position) => ({
      marinaId,
      id: `${eventId}.${position + 1}`,
      stockId,
      stayId,
      eventId,
      lentAt,
      dueAt,
    })),
  });
  const all = [...out.map(({ stockId }) => stockId), ...toLend];
  const assignmentId = assignment.id;
  await tx.stockUse.deleteMany({ where: { marinaId, assignmentId, fromAt: { gte: lentAt } } });
  await tx.stockUse.updateMany({
    where: { marinaId, assignmentId, untilAt: { gt: lentAt } },
    data: { untilAt: lentAt },
  });
  const untilAt = assignment.occupiedUntil > lentAt ? assignment.occupiedUntil : new Date(at + 1);
  await tx.stockUse.createMany({
    data: [...new Set(all)].map((stockId) => ({
      marinaId,
      stockId,
      quantity: all.filter((id) => id === stockId).length,
      fromAt: lentAt,
      untilAt,
      assignmentId,
    })),
  });
}

/**
 * Pieces that a boat still has when it leaves stay written out, from `at` until they are back. Call it after its
 * assignments were cut; it answers the loans.
 */
export async function keepOut(
  tx: Tx,
  marinaId: string,
  { stayId, assignments, at }: { stayId: string; assignments: readonly Assignment[]; at: number },
): Promise<readonly AdapterLoan[]> {
  const loans = await tx.adapterLoan.findMany({ where: { marinaId, stayId, returnedAt: null } });
  const last = assignments.findLast(({ fromAt }) => fromAt.getTime() < at);
  if (last === undefined || loans.length === 0) return loans;
  await tx.stockUse.createMany({
    data: loans.map(({ stockId }) => ({
      marinaId,
      stockId,
      quantity: 1,
      fromAt: new Date(at),
      untilAt: new Date(openEnd),
      assignmentId: last.id,
    })),
  });
  return loans;
}

/** A piece is back on its hook: it can be lent again from `at` on. False where it was back already. */
export async function takeBack(
  tx: Tx,
  marinaId: string,
  { loanId, at, note }: { readonly loanId: string; readonly at: number; readonly note: string | null },
): Promise<AdapterLoan | null> {
  const loan = await tx.adapterLoan.findUnique({ where: { marinaId_id: { marinaId, id: loanId } } });
  if (loan === null || loan.returnedAt !== null) return null;
  const returnedAt = new Date(Math.max(at, loan.lentAt.getTime()));
  await tx.adapterLoan.update({
    where: { marinaId_id: { marinaId, id: loanId } },
    data: { returnedAt, returnedNote: note },
  });
  const use = await tx.stockUse.findFirst({
    where: { marinaId, stockId: loan.stockId, untilAt: { gt: returnedAt }, assignment: { stayId: loan.stayId } },
    orderBy: [{ untilAt: 'desc' }, { id: 'asc' }],
  });
  if (use !== null) await takeOnePiece(tx, marinaId, use, returnedAt);
  return loan;
}

async function takeOnePiece(
  tx: Tx,
  marinaId: string,
  use: { id: bigint; stockId: string; quantity: number; fromAt: Date; assignmentId: string },
  returnedAt: Date,
): Promise<void> {
  const where = { marinaId_id: { marinaId, id: use.id } };
  if (use.quantity > 1) await tx.stockUse.update({ where, data: { quantity: use.quantity - 1 } });
  else if (use.fromAt < returnedAt) await tx.stockUse.update({ where, data: { untilAt: returnedAt } });
  else await tx.stockUse.delete({ where });
}

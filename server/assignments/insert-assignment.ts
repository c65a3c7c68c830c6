import { randomUUID } from 'node:crypto';
import { verdictOf } from '../../core/findings.ts';
import type { Period } from '../../core/periods.ts';
import { rulesEdition } from '../../core/rules-edition.ts';
import { connectionDocument, tightestDocument } from '../berth-options/schema.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment } from '../db/generated/client.ts';
import { plainJson } from '../db/plain-json.ts';
import type { JudgedPlacement } from './judge-placement.ts';

/** What an assignment stores of how it was judged. */
export function judgementData({ option, findings, overrides, revision }: JudgedPlacement) {
  const { hookUp, outletIds, cords, tightest } = option;
  return {
    hookUp: plainJson({
      connection: connectionDocument(hookUp),
      outletIds,
      cords,
      tightest: tightestDocument(tightest),
    }),
    findings: plainJson(findings),
    verdict: verdictOf(findings),
    overrides: plainJson(overrides),
    rulesEdition,
    inventoryRevision: revision,
  };
}

/** Writes a judged placement: the assignment, the space and outlets it takes, and the adapters it is lent. */
export async function insertAssignment(
  tx: Tx,
  marinaId: string,
  stayId: string,
  { from, until }: Period,
  judged: JudgedPlacement,
): Promise<Assignment> {
  const { option, statedVa, occupiedUntil } = judged;
  const { berthId, place, orientation, hookUp, outletIds } = option;
  const fromAt = new Date(from);
  const kept = new Date(occupiedUntil);
  const row = await tx.assignment.create({
    data: {
      marinaId,
      id: randomUUID(),
      stayId,
      berthId,
      faceFromM: place?.fromM ?? null,
      faceUntilM: place?.untilM ?? null,
      orientation,
      fromAt,
      untilAt: new Date(until),
      occupiedUntil: kept,
      ...judgementData(judged),
    },
  });
  const uses = { marinaId, assignmentId: row.id, fromAt, untilAt: kept };
  await tx.$executeRaw`INSERT INTO space_use (marina_id, unit_id, from_m, until_m, from_at, until_at, assignment_id)
    SELECT ${marinaId}, u.unit_id, ${place?.fromM ?? 0}::float8, ${place?.untilM ?? 1}::float8, ${fromAt}, ${kept}, ${row.id}
    FROM berth_unit u WHERE u.marina_id = ${marinaId} AND u.berth_id = ${berthId}`;
  await tx.outletUse.createMany({
    data: outletIds.map((outletId) => ({ ...uses, outletId, statedVa: statedVa.get(outletId) ?? null })),
  });
  const lent = (hookUp?.hookUp.adapters ?? []).flatMap(({ from: owner, stockId }) =>
    owner === 'stock' && stockId !== null ? [stockId] : [],
  );
  await tx.stockUse.createMany({
    data: [...new Set(lent)].map((stockId) => ({
      ...uses,
      stockId,
      quantity: lent.filter((id) => id === stockId).length,
    })),
  });
  return row;
}

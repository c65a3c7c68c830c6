import { z } from 'zod';
import type { DeskAlert as AlertRow } from '../db/generated/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { instant } from '../http/fields.ts';
import { findingSchema, findingsSchema } from '../http/finding-schema.ts';
import type { Services } from '../services.ts';
import { alertKinds } from './raise-alerts.ts';

export const deskAlertSchema = z
  .strictObject({
    id: z.string(),
    kind: z.enum(alertKinds),
    stayId: z.string().nullable(),
    at: instant,
    message: z.string(),
    findings: z.array(findingSchema),
    acknowledgedAt: instant.nullable(),
    acknowledgedBy: z.string().nullable(),
  })
  .meta({ id: 'DeskAlert' });

export const deskAlertsSchema = z.strictObject({ items: z.array(deskAlertSchema) });

export type DeskAlertDocument = z.output<typeof deskAlertSchema>;

export function deskAlertDocument(row: AlertRow): DeskAlertDocument {
  return {
    id: row.id,
    kind: deskAlertSchema.shape.kind.parse(row.kind),
    stayId: row.stayId,
    at: row.at.toISOString(),
    message: row.message,
    findings: findingsSchema.parse(row.findings),
    acknowledgedAt: row.acknowledgedAt?.toISOString() ?? null,
    acknowledgedBy: row.acknowledgedBy,
  };
}

/** Somebody has seen it. Acknowledging twice changes nothing. Throws a Problem: `not-found`. */
export async function acknowledgeAlert(
  { db }: Services,
  { principal, now, alertId }: { readonly principal: Principal; readonly now: number; readonly alertId: string },
): Promise<DeskAlertDocument> {
  const { marinaId, id: actor } = principal;
  return marinaTransaction(db, { marinaId, actor, kind: 'alert.acknowledged', now }, async ({ tx, recordChange }) => {
    const where = { marinaId_id: { marinaId, id: alertId } };
    const before = await tx.deskAlert.findUnique({ where });
    if (before === null) throw new Problem('not-found', `There is no alert "${alertId}".`);
    const row =
      before.acknowledgedAt === null
        ? await tx.deskAlert.update({
            where,
            data: { acknowledgedAt: new Date(now), acknowledgedBy: principal.name },
          })
        : before;
    const after = deskAlertDocument(row);
    await recordChange(deskAlertDocument(before), after);
    return after;
  });
}

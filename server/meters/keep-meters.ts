import type { z } from 'zod';
import type { Meter } from '../db/generated/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import type { Services } from '../services.ts';
import { type meterInputSchema, meterSchema } from './schema.ts';

export function meterDocument(row: Meter): z.output<typeof meterSchema> {
  const { marinaId: _, retiredAt: __, ...rest } = row;
  return meterSchema.parse(rest);
}

export interface KeepMeter {
  readonly principal: Principal;
  readonly now: number;
  readonly meterId: string;
  readonly input: z.output<typeof meterInputSchema>;
}

/** Enters a meter, or changes it. What it measures and how it reads stay as they are once it has read. */
export async function keepMeter({ db, inventories }: Services, { principal, now, meterId, input }: KeepMeter) {
  const { marinaId } = principal;
  const { index } = await inventories.inventoryOf(db.prisma, marinaId);
  const known = { outlet: index.outlets, pedestal: index.pedestals, equipment: index.equipment }[input.subjectKind];
  if (!known.has(input.subjectId)) {
    const message = `There is no ${input.subjectKind} "${input.subjectId}" in the inventory.`;
    throw new Problem('invalid-input', message, { errors: [{ in: 'body', pointer: '/subjectId', message }] });
  }
  return marinaTransaction(
    db,
    { marinaId, actor: principal.id, kind: 'meter.kept', now },
    async ({ tx, recordChange }) => {
      const before = await tx.meter.findUnique({ where: { marinaId_id: { marinaId, id: meterId } } });
      const other = await tx.meter.findFirst({
        where: {
          marinaId,
          subjectKind: input.subjectKind,
          subjectId: input.subjectId,
          retiredAt: null,
          id: { not: meterId },
        },
      });
      if (other !== null) {
        throw new Problem(
          'already-exists',
          `Meter "${other.id}" measures ${input.subjectKind} "${input.subjectId}" already, and two would count its load twice. Retire it first.`,
        );
      }
      if (before !== null && isOtherReading(before, input)) {
        const read = await tx.meterReading.findFirst({ where: { marinaId, meterId } });
        if (read !== null) {
          throw new Problem(
            'in-use',
            `Meter "${meterId}" has readings, which would mean something else. Retire it and enter another meter.`,
          );
        }
      }
      const row = await tx.meter.upsert({
        where: { marinaId_id: { marinaId, id: meterId } },
        create: { marinaId, id: meterId, ...input },
        update: { ...input, retiredAt: null, version: { increment: 1 } },
      });
      await recordChange(before === null ? null : meterDocument(before), meterDocument(row));
      return { meter: meterDocument(row), isNew: before === null };
    },
  );
}

function isOtherReading(before: Meter, input: KeepMeter['input']): boolean {
  return (['subjectKind', 'subjectId', 'quantity', 'intervalMinutes'] as const).some(
    (key) => before[key] !== input[key],
  );
}

/** Takes a meter out of use; its readings stay. */
export async function retireMeter(
  { db }: Services,
  { principal, now, meterId }: Omit<KeepMeter, 'input'>,
): Promise<void> {
  const { marinaId } = principal;
  await marinaTransaction(
    db,
    { marinaId, actor: principal.id, kind: 'meter.retired', now },
    async ({ tx, recordChange }) => {
      const before = await tx.meter.findUnique({ where: { marinaId_id: { marinaId, id: meterId } } });
      if (before === null || before.retiredAt !== null)
        throw new Problem('not-found', `There is no meter "${meterId}" in use.`);
      await tx.meter.update({
        where: { marinaId_id: { marinaId, id: meterId } },
        data: { retiredAt: new Date(now), version: { increment: 1 } },
      });
      await recordChange(meterDocument(before), null);
    },
  );
}

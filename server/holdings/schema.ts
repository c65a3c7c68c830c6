import { z } from 'zod';
import type { Prisma } from '../db/generated/client.ts';
import { id, instant, line } from '../http/fields.ts';
import { inventoryId } from '../inventory/schema.ts';
import { untilToApi } from '../occupancy/open-period.ts';

const metre = z.number().min(0).max(10_000);

const heldOutlet = z
  .strictObject({
    outletId: inventoryId,
    loadVa: z
      .number()
      .min(0)
      .max(1e6)
      .nullable()
      .default(null)
      .describe("What the resident boat draws through it, VA; null: nobody knows, the outlet's rating counts."),
    loadOrigin: z
      .enum(['measured', 'stated', 'default'])
      .default('default')
      .describe('Where the load comes from; `default` is an assumption.'),
  })
  .refine((outlet) => outlet.loadVa !== null || outlet.loadOrigin === 'default', {
    path: ['loadVa'],
    message: 'A measured or stated load has a value. Give loadVa, or the origin "default".',
  })
  .meta({ id: 'HeldOutlet' });

/** Outlets as the holding stores them. */
export const heldOutlets = z.array(heldOutlet).max(8);

const changeable = {
  from: instant,
  until: instant.nullable().describe('null: no end.'),
  boatId: id.nullable().describe('The resident boat.'),
  holderName: line(100),
  outlets: heldOutlets.describe('Outlets that the resident boat is plugged into; they load their feeder.'),
};

export const newHoldingSchema = z.strictObject({
  berthId: inventoryId,
  fromM: metre.nullable().default(null).describe('Metre range held on a face; null: all of the berth.'),
  untilM: metre.nullable().default(null),
  ...changeable,
  until: changeable.until.default(null),
  boatId: changeable.boatId.default(null),
  outlets: changeable.outlets.default([]),
});
export type NewHolding = z.output<typeof newHoldingSchema>;

export const holdingChangeSchema = z
  .strictObject({
    from: changeable.from.exactOptional(),
    until: changeable.until.exactOptional(),
    boatId: changeable.boatId.exactOptional(),
    holderName: changeable.holderName.exactOptional(),
    outlets: changeable.outlets.exactOptional(),
  })
  .refine((change) => Object.keys(change).length > 0, 'Name at least one field to change.');
export type HoldingChange = z.output<typeof holdingChangeSchema>;

export const absenceSchema = z
  .strictObject({
    id,
    from: instant,
    until: instant,
    recalledAt: instant.nullable().describe('When the holder gave notice of coming back early.'),
    returnsAt: instant.nullable().describe("From then on the berth is the holder's again."),
  })
  .meta({ id: 'Absence', description: 'A period in which a holder lets the berth be used by transients.' });

export const holdingSchema = z
  .strictObject({
    id,
    berthId: inventoryId,
    fromM: metre.nullable(),
    untilM: metre.nullable(),
    ...changeable,
    absences: z.array(absenceSchema),
    version: z.int(),
  })
  .meta({ id: 'Holding', description: "A resident's or seasonal holder's right to a berth for a period." });

export const holdingsSchema = z.strictObject({ items: z.array(holdingSchema) });

export type HoldingDocument = z.output<typeof holdingSchema>;
export type AbsenceDocument = z.output<typeof absenceSchema>;

export const withAbsences = {
  absences: { orderBy: [{ fromAt: 'asc' }, { id: 'asc' }] },
} satisfies Prisma.HoldingInclude;
export type StoredHolding = Prisma.HoldingGetPayload<{ include: typeof withAbsences }>;
type StoredAbsence = StoredHolding['absences'][number];

export function holdingDocument(row: StoredHolding): HoldingDocument {
  return {
    id: row.id,
    berthId: row.berthId,
    fromM: row.faceFromM,
    untilM: row.faceUntilM,
    from: row.fromAt.toISOString(),
    until: untilToApi(row.untilAt),
    boatId: row.boatId,
    holderName: row.holderName,
    outlets: heldOutlets.parse(row.outlets),
    absences: row.absences.map(absenceDocument),
    version: row.version,
  };
}

export function absenceDocument(row: StoredAbsence): AbsenceDocument {
  return {
    id: row.id,
    from: row.fromAt.toISOString(),
    until: row.untilAt.toISOString(),
    recalledAt: row.recalledAt?.toISOString() ?? null,
    returnsAt: row.recalledFromAt?.toISOString() ?? null,
  };
}

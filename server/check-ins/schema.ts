import { z } from 'zod';
import { readingNames } from '../../core/check-in/readings.ts';
import { cordSetSchema, neutralBond, ownSupply } from '../boats/schema.ts';
import type { DockEvent } from '../db/generated/client.ts';
import { id, instant, line } from '../http/fields.ts';
import { findingSchema, findingsSchema } from '../http/finding-schema.ts';
import { amperes, inventoryId, lineName } from '../inventory/schema.ts';

const note = z.string().max(500).default('');
const orNull = <T extends z.ZodType>(schema: T) => schema.nullable().default(null);
const designation = z.string().min(1).max(64);

const shiftBase = z
  .strictObject({ loadedAt: instant, seq: z.int().min(0), inventoryRevision: z.int().min(0) })
  .describe('What the phone knew: which shift it had loaded.');

const common = {
  at: instant.describe("When it happened, by the phone's clock."),
  shift: orNull(shiftBase),
  note,
};

export const outcomeSchema = z.enum(['powered', 'poweredWithConditions', 'heldWithoutPower', 'refused', 'callDesk']);

const inletAsFound = z.strictObject({
  id: inventoryId,
  configurationId: orNull(designation),
  mainBreakerA: orNull(amperes),
  duty: orNull(z.enum(['house', 'airConditioning', 'charger', 'notPower'])),
  needsLineToLine: orNull(z.boolean()),
});

const boatAsFound = z
  .strictObject({
    inlets: z.array(inletAsFound).max(8).default([]),
    cordSets: orNull(z.array(cordSetSchema).max(20)),
    adapterKindIds: orNull(z.array(inventoryId).max(50)),
    frequenciesHz: orNull(
      z
        .array(z.union([z.literal(50), z.literal(60)]))
        .min(1)
        .max(2),
    ),
    wantsPower: orNull(z.boolean()),
    neutralBond: orNull(neutralBond),
    ownSupplies: orNull(z.array(ownSupply).max(8)),
  })
  .describe('What was seen; null: nobody has looked, and what was told stands.');

const outletAsFound = z.strictObject({
  outletId: inventoryId,
  lines: orNull(z.array(lineName).min(1).max(3)),
  breakerA: orNull(amperes),
  groundFault: orNull(
    z.strictObject({
      device: z.enum(['fitted', 'none', 'unknown']),
      settingMa: orNull(z.number().min(0).max(100_000)),
    }),
  ),
});

export const usedAdapterSchema = z.strictObject({
  kindId: inventoryId,
  from: z.enum(['aboard', 'stock']),
  stockId: orNull(inventoryId),
});

const look = z.strictObject({
  pointId: z.string().min(1).max(50),
  seen: z.enum(['good', 'bad', 'notLooked']),
  note: orNull(line(200)),
});

const reading = z.strictObject({
  outletId: inventoryId,
  name: z.enum(readingNames),
  contact: orNull(lineName),
  value: orNull(z.number().min(0).max(100_000)),
  notMeasuredBecause: orNull(line(200)),
});

const checkIn = z
  .strictObject({
    kind: z.literal('checkIn'),
    ...common,
    stayId: id,
    berthId: inventoryId.describe('Where the boat lies.'),
    outletIds: z.array(inventoryId).max(8).describe('Outlets that are used.'),
    adapters: z.array(usedAdapterSchema).max(8).default([]),
    boat: boatAsFound.prefault({}),
    outlets: z.array(outletAsFound).max(8).default([]),
    fittings: z.array(look).max(40).default([]),
    readings: z.array(reading).max(100).default([]),
    loadsOn: orNull(z.boolean()).describe("Whether the boat's loads were on while its leakage was read."),
    heldBecause: orNull(line(200)),
    energised: z.boolean().describe('Whether the boat is connected and switched on now.'),
    phoneOutcome: orNull(outcomeSchema).describe('What the phone said.'),
  })
  .meta({ id: 'CheckInEvent' });

const departure = z
  .strictObject({
    kind: z.literal('departure'),
    ...common,
    stayId: id,
    adaptersBack: z
      .array(z.strictObject({ loanId: z.string().min(1).max(120), note: orNull(line(200)) }))
      .max(8)
      .default([]),
  })
  .meta({ id: 'DepartureEvent' });

const outletFault = z
  .strictObject({ kind: z.literal('outletFault'), ...common, outletId: inventoryId, stayId: orNull(id) })
  .meta({ id: 'OutletFaultEvent', description: 'Burnt, or not fit for use: out of service from then on.' });

const metre = z.number().min(0).max(10_000);
const wrongBerth = z
  .strictObject({
    kind: z.literal('wrongBerth'),
    ...common,
    stayId: orNull(id).describe('Null: a boat that nobody expects.'),
    boatName: orNull(line(80)).describe('Of a boat that nobody expects.'),
    berthId: inventoryId,
    fromM: orNull(metre),
    untilM: orNull(metre),
    outletIds: orNull(z.array(inventoryId).max(8)).describe('Null: nobody has looked.'),
  })
  .refine(({ stayId, boatName }) => stayId !== null || boatName !== null, {
    path: ['boatName'],
    message: 'Name the stay or the boat.',
  })
  .meta({ id: 'WrongBerthEvent' });

const trouble = z
  .strictObject({
    kind: z.enum(['trip', 'hotContact']),
    ...common,
    outletId: inventoryId,
    stayId: orNull(id).describe('The boat that it is put down to; null: nobody knows.'),
  })
  .meta({ id: 'TroubleEvent' });

const adapterBack = z
  .strictObject({ kind: z.literal('adapterBack'), ...common, loanId: z.string().min(1).max(120) })
  .meta({ id: 'AdapterBackEvent' });

/** What happened at the dock, as a phone sends it. */
export const dockEventBodySchema = z.discriminatedUnion('kind', [
  checkIn,
  departure,
  outletFault,
  wrongBerth,
  trouble,
  adapterBack,
]);

export type DockEventBody = z.output<typeof dockEventBodySchema>;
export type BodyOf<Kind extends DockEventBody['kind']> = Extract<DockEventBody, { kind: Kind }>;

export const contradictionSchema = z
  .strictObject({
    about: z.string(),
    dock: z.string().describe('What the dock says.'),
    desk: z.string().describe('What the desk says.'),
    message: z.string(),
  })
  .meta({ id: 'Contradiction' });

export type Contradiction = z.output<typeof contradictionSchema>;

export const dockEventSchema = z
  .strictObject({
    id: z.string(),
    kind: z.enum(['checkIn', 'departure', 'outletFault', 'wrongBerth', 'trip', 'hotContact', 'adapterBack']),
    stayId: z.string().nullable().describe('Null: the marina has no such stay, or none is named.'),
    boatId: z.string().nullable(),
    outletIds: z.array(z.string()),
    at: instant,
    receivedAt: instant,
    actor: z.string(),
    sent: dockEventBodySchema,
    outcome: outcomeSchema.nullable().describe('As the service judges a check-in.'),
    findings: z.array(findingSchema),
    contradictions: z.array(contradictionSchema),
    seq: z.int(),
  })
  .meta({ id: 'DockEvent', description: 'What happened at the dock: appended, never changed.' });

export type DockEventDocument = z.output<typeof dockEventSchema>;

const storedList = z.array(z.string());
const storedContradictions = z.array(contradictionSchema);

export function dockEventDocument(row: DockEvent): DockEventDocument {
  return {
    id: row.id,
    kind: dockEventSchema.shape.kind.parse(row.kind),
    stayId: row.stayId,
    boatId: row.boatId,
    outletIds: storedList.parse(row.outletIds),
    at: row.at.toISOString(),
    receivedAt: row.receivedAt.toISOString(),
    actor: row.actor,
    sent: dockEventBodySchema.parse(row.body),
    outcome: outcomeSchema.nullable().parse(row.outcome),
    findings: findingsSchema.parse(row.findings),
    contradictions: storedContradictions.parse(row.contradictions),
    seq: Number(row.seq),
  };
}

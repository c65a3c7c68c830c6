import { z } from 'zod';
import { type Boat, legPlaces } from '../../core/boats.ts';
import type { Boat as BoatRow } from '../db/generated/client.ts';
import { Problem } from '../errors.ts';
import { instant, line } from '../http/fields.ts';
import { inventoryId } from '../inventory/schema.ts';
import { boatOf } from './stored-boat.ts';

const metres = z.number().positive().max(1_000);

/** A fact with its origin and time; null is unknown. A missing `at` is the moment of the request. */
function fact<T extends z.ZodType>(value: T) {
  return z
    .strictObject({
      value,
      origin: z.enum(['phone', 'boater', 'dockhand', 'default']),
      at: instant.exactOptional(),
    })
    .nullable();
}

type Shape = Readonly<Record<string, z.ZodNullable>>;

/** Every fact; one that is left out is unknown. */
function unknownWhereAbsent<S extends Shape>(shape: S) {
  const entries = Object.entries(shape).map(([name, schema]) => [name, schema.default(null)]);
  return Object.fromEntries(entries) as { [K in keyof S]: z.ZodDefault<S[K]> };
}

/** Any of the facts; one that is left out stays as it is. */
function anyOf<S extends Shape>(shape: S) {
  const entries = Object.entries(shape).map(([name, schema]) => [name, schema.exactOptional()]);
  return Object.fromEntries(entries) as { [K in keyof S]: z.ZodExactOptional<S[K]> };
}

export const inletFromBowM = z.number().min(0).max(1_000);
export const inletSide = z.enum(['port', 'starboard', 'centre']);

const frequenciesHz = z
  .array(z.union([z.literal(50), z.literal(60)]))
  .min(1)
  .max(2);
const volts = z.number().positive().max(1_000);

export const isolationTransformer = z
  .strictObject({
    place: z.enum(['aboard', 'dockBox']),
    primaryV: volts.describe('Across two lines of the inlet where it has them: then it uses no neutral.'),
    secondaryV: volts.describe('Over the whole secondary.'),
    legs: z.union([z.literal(1), z.literal(2)]).describe('2: a grounded centre, half of the volts on each leg.'),
    ratedVa: z.number().positive().max(1e6).nullable().default(null),
  })
  .meta({ id: 'IsolationTransformer', description: 'Between an inlet and its loads.' });

export const acceptedSupply = z
  .strictObject({ lowestV: volts, highestV: volts, frequenciesHz })
  .refine(({ lowestV, highestV }) => lowestV <= highestV, { error: 'lowestV is above highestV.' })
  .meta({ id: 'AcceptedSupply', description: 'What is marked on equipment built for more than its pattern.' });

export const neutralBond = z
  .enum(['none', 'ownSupply', 'always'])
  .describe('Where neutral and ground are joined aboard: only while a supply aboard feeds, or on shore power, too.');

export const ownSupply = z.strictObject({
  kind: z.enum(['generator', 'inverter']),
  transfer: z
    .enum(['switched', 'parallel'])
    .nullable()
    .default(null)
    .describe('A transfer switch parts it from shore power, or it can feed the same conductors; null unknown.'),
});

const inletFacts = {
  configurationIds: fact(z.array(z.string().min(1).max(64)).min(1).max(10)),
  mainBreakerA: fact(z.number().positive().max(1_000)),
  fromBowM: fact(inletFromBowM),
  side: fact(inletSide),
  duty: fact(z.enum(['house', 'airConditioning', 'charger', 'notPower'])),
  needsLineToLine: fact(z.boolean()),
  transformer: fact(isolationTransformer.or(z.literal('none'))),
  accepts: fact(acceptedSupply),
};

const inletSchema = z.strictObject({ id: inventoryId, ...unknownWhereAbsent(inletFacts) }).meta({ id: 'Inlet' });

export const cordSetSchema = z.strictObject({
  id: inventoryId,
  lengthM: metres,
  configurationId: z.string().min(1).max(64),
  ratedA: z.number().positive().max(1_000),
});

const appliance = z.strictObject({
  name: line(80).trim(),
  loadVa: z.number().min(0).max(1e6),
  motor: z.boolean().default(false),
  continuous: z.boolean().default(false),
  inletId: inventoryId.nullable().default(null),
  legs: z.enum(legPlaces).nullable().default(null),
  fixed: z
    .boolean()
    .exactOptional()
    .describe("Fastened in place (water heater, dryer): for a form's factor for several of them. Left out: not."),
  use: z
    .enum(['always', 'heating', 'cooling', 'heatingAndCooling'])
    .exactOptional()
    .describe('When it runs: heating and cooling never together. Left out: always.'),
});

export const boatName = line(80).trim();

export const lengthOverallM = metres.describe('Everything included: pulpit, platform, dinghy on davits.');
export const beamM = metres;
export const draftM = z.number().min(0).max(100);
export const hull = z.enum(['monohull', 'multihull']);

const ownFacts = {
  lengthOverallM: fact(lengthOverallM),
  beamM: fact(beamM),
  hull: fact(hull),
  draftM: fact(draftM),
  wantsPower: fact(z.boolean()),
  airConditioning: fact(z.boolean()),
  frequenciesHz: fact(frequenciesHz),
  cordSets: fact(z.array(cordSetSchema).max(20)),
  adapterKindIds: fact(z.array(inventoryId).max(50)),
  appliances: fact(z.array(appliance).max(100)),
  statedLoadVa: fact(z.number().min(0).max(1e6)),
  neutralBond: fact(neutralBond),
  ownSupplies: fact(z.array(ownSupply).max(8)),
};

export const mostInlets = 8;

/** A boat's facts as the API takes them. */
export const boatFactsSchema = z.strictObject({
  ...unknownWhereAbsent(ownFacts),
  inlets: z.array(inletSchema).max(mostInlets).default([]),
});

export type BoatFactsInput = z.output<typeof boatFactsSchema>;

/** A boat as a client writes it. */
export const newBoatSchema = z
  .strictObject({ name: boatName, ...boatFactsSchema.shape })
  .meta({ id: 'BoatFacts', description: 'What is left out is unknown.' });

export type NewBoat = z.output<typeof newBoatSchema>;

/** Single facts: those left out stay as they are; null makes one unknown again. */
export const boatFactsChangeSchema = z
  .strictObject({
    ...anyOf(ownFacts),
    inlets: z
      .array(z.strictObject({ id: inventoryId, ...anyOf(inletFacts) }))
      .max(mostInlets)
      .exactOptional()
      .describe('An inlet of a known id takes the facts named; one of a new id is added.'),
  })
  .meta({ id: 'BoatFactsChange' });

export type BoatFactsChange = z.output<typeof boatFactsChangeSchema>;

export const boatSchema = z
  .strictObject({
    id: z.string(),
    name: z.string(),
    ...boatFactsSchema.shape,
    version: z.int(),
    createdAt: instant,
    retiredAt: instant.nullable(),
  })
  .meta({ id: 'Boat' });

export type BoatDocument = z.output<typeof boatSchema>;

/** A stored boat as the API shows it. */
export function boatDocument(row: BoatRow): BoatDocument {
  const { id, name, ...facts } = boatOf(row);
  return {
    id,
    name,
    ...factsToApi(facts),
    version: row.version,
    createdAt: row.createdAt.toISOString(),
    retiredAt: row.retiredAt?.toISOString() ?? null,
  };
}

/** Facts as core takes them: times in epoch milliseconds, a missing one is `now`. */
export function factsFromApi(facts: BoatFactsInput, now: number): Omit<Boat, 'id' | 'name'> {
  const { inlets, ...own } = facts;
  return {
    ...timed(own, now),
    inlets: inlets.map(({ id, ...inlet }) => ({ id, ...timed(inlet, now) })),
  };
}

/** Facts as the API answers them. */
export function factsToApi(boat: Omit<Boat, 'id' | 'name'>): BoatFactsInput {
  const { inlets, ...own } = boat;
  return {
    ...printed(own),
    inlets: inlets.map(({ id, ...inlet }) => ({ id, ...printed(inlet) })),
  } as BoatFactsInput;
}

type TimedFact<F> = F extends { value: infer V; origin: infer O } ? { value: V; origin: O; at: number } : null;

function timed<Facts extends Record<string, { value: unknown; origin: unknown; at?: string } | null>>(
  facts: Facts,
  now: number,
): { [K in keyof Facts]: TimedFact<Facts[K]> } {
  const entries = Object.entries(facts).map(([name, fact]) => [
    name,
    fact === null ? null : { ...fact, at: fact.at === undefined ? now : toldAt(name, fact.at, now) },
  ]);
  return Object.fromEntries(entries);
}

// The clock of a phone is minutes off, not hours.
const clockErrorMs = 15 * 60_000;

function toldAt(name: string, at: string, now: number): number {
  const toldMs = Date.parse(at);
  if (toldMs > now + clockErrorMs) {
    throw new Problem(
      'invalid-input',
      `The fact "${name}" is told at ${at}, later than now (${new Date(now).toISOString()}). Give the moment when it was told, or leave it out.`,
    );
  }
  return toldMs;
}

function printed(facts: Record<string, unknown>): Record<string, unknown> {
  const isFact = (value: unknown): value is { at: number } =>
    typeof value === 'object' && value !== null && 'at' in value;
  return Object.fromEntries(
    Object.entries(facts).map(([name, fact]) => [
      name,
      isFact(fact) ? { ...fact, at: new Date(fact.at).toISOString() } : null,
    ]),
  );
}

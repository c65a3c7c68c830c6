import { z } from 'zod';
import type { Boat } from '../../core/boats.ts';
import { inventoryId } from '../inventory/schema.ts';

const metres = z.number().positive().max(1_000);

/** A fact with its origin and time; null is unknown. A missing `at` is the moment of the request. */
function fact<T extends z.ZodType>(value: T) {
  return z
    .strictObject({
      value,
      origin: z.enum(['phone', 'boater', 'dockhand', 'default']),
      at: z.iso.datetime({ offset: true }).exactOptional(),
    })
    .nullable()
    .default(null);
}

export const inletSchema = z
  .strictObject({
    id: inventoryId,
    configurationIds: fact(z.array(z.string().min(1).max(64)).min(1).max(10)),
    mainBreakerA: fact(z.number().positive().max(1_000)),
    fromBowM: fact(z.number().min(0).max(1_000)),
    side: fact(z.enum(['port', 'starboard', 'centre'])),
    duty: fact(z.enum(['house', 'airConditioning', 'charger', 'notPower'])),
    needsLineToLine: fact(z.boolean()),
  })
  .meta({ id: 'Inlet' });

const cordSet = z.strictObject({
  id: inventoryId,
  lengthM: metres,
  configurationId: z.string().min(1).max(64),
  ratedA: z.number().positive().max(1_000),
});

const appliance = z.strictObject({
  name: z.string().trim().min(1).max(80),
  loadVa: z.number().min(0).max(1e6),
  motor: z.boolean().default(false),
  continuous: z.boolean().default(false),
  inletId: inventoryId.nullable().default(null),
  legs: z.enum(['L1', 'L2', 'L1-L2']).nullable().default(null),
});

export const boatName = z.string().trim().min(1).max(80);

/** A boat's facts as the API takes them. */
export const boatFactsSchema = z.strictObject({
  lengthOverallM: fact(metres),
  beamM: fact(metres),
  hull: fact(z.enum(['monohull', 'multihull'])),
  draftM: fact(z.number().min(0).max(100)),
  wantsPower: fact(z.boolean()),
  airConditioning: fact(z.boolean()),
  frequenciesHz: fact(
    z
      .array(z.union([z.literal(50), z.literal(60)]))
      .min(1)
      .max(2),
  ),
  inlets: z.array(inletSchema).max(8).default([]),
  cordSets: fact(z.array(cordSet).max(20)),
  adapterKindIds: fact(z.array(inventoryId).max(50)),
  appliances: fact(z.array(appliance).max(100)),
  statedLoadVa: fact(z.number().min(0).max(1e6)),
});

type BoatFactsInput = z.output<typeof boatFactsSchema>;

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
    fact === null ? null : { ...fact, at: fact.at === undefined ? now : Date.parse(fact.at) },
  ]);
  return Object.fromEntries(entries);
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

import { z } from 'zod';
import { noWishes } from '../../core/berths/options/options.ts';
import { turningAwayRules } from '../../core/berths/turning-away-rules.ts';
import { stayStates } from '../../core/stays/lifecycle.ts';
import { assignmentSchema, placementSchema } from '../assignments/schema.ts';
import {
  beamM,
  boatName,
  boatSchema,
  draftM,
  hull,
  inletFromBowM,
  inletSide,
  lengthOverallM,
} from '../boats/schema.ts';
import type { Stay } from '../db/generated/client.ts';
import { id, instant, line } from '../http/fields.ts';
import { findingSchema, findingsSchema } from '../http/finding-schema.ts';
import { storedWishes } from './stored-stay.ts';

const reasonFields = { rule: z.string().nullable(), note: z.string().nullable() };
const storedReasons = z.array(
  z.object({ rule: reasonFields.rule.default(null), note: reasonFields.note.default(null) }),
);
export const staySchema = z
  .strictObject({
    id: z.string(),
    boatId: z.string(),
    boatName: z.string(),
    name: z.string().describe('Who called.'),
    phone: z.string().nullable(),
    arrival: instant,
    departure: instant,
    state: z.enum(stayStates),
    offerExpiresAt: instant.nullable().describe('Until when an offered berth is held for the answer.'),
    priority: z.int().describe('Larger is served first while berths are short.'),
    groupId: z.string().nullable().describe('The event or flotilla that it belongs to.'),
    wishes: storedWishes,
    note: z.string(),
    turnedAwayReasons: z.array(z.strictObject(reasonFields)).nullable(),
    needsBerth: findingsSchema.nullable().describe('What displaced it; null while it needs no berth.'),
    version: z.int(),
    createdAt: instant,
  })
  .meta({ id: 'Stay' });

export type StayDocument = z.output<typeof staySchema>;

export const staysSchema = z.strictObject({ items: z.array(staySchema) });

/** A stored stay as the API shows it. */
export function stayDocument(row: Stay, boat: { readonly name: string }): StayDocument {
  return {
    id: row.id,
    boatId: row.boatId,
    boatName: boat.name,
    name: row.contactName,
    phone: row.contactPhone,
    arrival: row.arrivalAt.toISOString(),
    departure: row.departureAt.toISOString(),
    state: staySchema.shape.state.parse(row.state),
    offerExpiresAt: row.state === 'offered' ? (row.offerExpiresAt?.toISOString() ?? null) : null,
    priority: row.priority,
    groupId: row.groupId,
    wishes: storedWishes.parse(row.wishes),
    note: row.note,
    turnedAwayReasons: row.turnedAwayReasons === null ? null : storedReasons.parse(row.turnedAwayReasons),
    needsBerth: row.needsBerth === null ? null : findingsSchema.parse(row.needsBerth),
    version: row.version,
    createdAt: row.createdAt.toISOString(),
  };
}

export const questionSchema = findingSchema.shape.missingFact.unwrap().meta({ id: 'Question' });

/** What a call is answered. */
export const callAnswerSchema = z
  .strictObject({
    stay: staySchema,
    boat: boatSchema,
    unknown: z.array(questionSchema).describe('What is still to be asked, most telling first.'),
    findings: z.array(findingSchema).describe('What was said and not understood.'),
  })
  .meta({ id: 'CallAnswer' });

export type CallAnswer = z.output<typeof callAnswerSchema>;

export const stayWithAssignmentsSchema = z
  .strictObject({
    stay: staySchema,
    boat: boatSchema,
    assignments: z.array(assignmentSchema).describe('Earliest first.'),
    unknown: z.array(questionSchema),
  })
  .meta({ id: 'StayWithAssignments' });

export const calendarDay = z.iso
  .date({ error: 'Write a day of the calendar: 2030-06-14.', abort: true })
  .refine((day) => day >= '1970-01-01' && day < '9999-12-31', 'Write a day from 1970 to 9999.');

const moment = z
  .union([z.iso.date({ abort: true }), instant], {
    error: 'Write a day of the calendar (2030-06-14) or an instant with offset (2030-06-14T15:00:00-05:00).',
  })
  .describe("A day, taken at the marina's usual hour of arrival or departure, or an instant with offset.");

const wishes = storedWishes.default({ ...noWishes });
const note = z.string().max(2_000);
const name = line(100);
const phone = line(40);
const priority = z.int().min(0).max(9).describe('0 is usual; larger is served first while berths are short.');
const unlessUnknown = <T extends z.ZodType>(schema: T) => schema.nullable().default(null);

const saidOfBoat = {
  boatName: unlessUnknown(boatName).describe('Left out: the boat of whoever calls.'),
  lengthOverallM: unlessUnknown(lengthOverallM),
  beamM: unlessUnknown(beamM),
  hull: unlessUnknown(hull),
  draftM: unlessUnknown(draftM),
  plug: unlessUnknown(line(200)).describe('As said: "50 A", "two thirties", "32 A blue", "no power".'),
  wantsPower: unlessUnknown(z.boolean()),
  airConditioning: unlessUnknown(z.boolean()),
  inletFromBowM: unlessUnknown(inletFromBowM),
  inletSide: unlessUnknown(inletSide),
};

const callFields = {
  boatId: unlessUnknown(id).describe('A boat that was here before: its facts are known.'),
  ...saidOfBoat,
  phone: unlessUnknown(phone),
  arrival: moment,
  departure: moment,
  wishes,
  note: note.default(''),
  priority: priority.default(0),
};

type SaidOfBoat = { readonly [K in keyof typeof saidOfBoat]: unknown };

/** Either a known boat, or a new one with at least its length: whatever else is said of a known one would be lost. */
function requireOneBoat(call: SaidOfBoat & { readonly boatId: string | null }, context: z.RefinementCtx): void {
  const refuse = (field: string, message: string) => context.addIssue({ code: 'custom', path: [field], message });
  if (call.boatId === null) {
    if (call.lengthOverallM === null) refuse('lengthOverallM', 'Give the length over all, or the boatId of a boat.');
    return;
  }
  for (const field of Object.keys(saidOfBoat) as (keyof SaidOfBoat)[]) {
    if (call[field] !== null) refuse(field, 'The boat is known: state its facts at /boats/{boatId}/facts.');
  }
}

export const newStaySchema = z
  .strictObject({ name: name.describe('Who called.'), ...callFields })
  .superRefine(requireOneBoat)
  .meta({ id: 'Call', description: 'What a call for a berth yields; what is left out is unknown.' });

const reasons = z
  .array(
    z
      .strictObject({
        rule: unlessUnknown(z.enum(turningAwayRules)).describe('The rule that refused it, where one did.'),
        note: unlessUnknown(line(500)).describe('In words of your own.'),
      })
      .refine((reason) => reason.rule !== null || reason.note !== null, 'Give a rule, a note or both.'),
  )
  .min(1)
  .max(20);

export const turnAwaySchema = z.strictObject({ reasons }).meta({ id: 'TurnAway' });

export const turnedAwayCallSchema = z
  .strictObject({ name: unlessUnknown(name).describe('Who called.'), ...callFields, reasons })
  .superRefine(requireOneBoat)
  .meta({ id: 'TurnedAwayCall' });

export type Reasons = z.output<typeof reasons>;
/** What both kinds of calls say. */
export type Call = Omit<z.output<typeof turnedAwayCallSchema>, 'reasons'>;

export const stayChangeSchema = z
  .strictObject({
    name: name.exactOptional(),
    phone: phone.nullable().exactOptional(),
    arrival: moment.exactOptional(),
    departure: moment.exactOptional(),
    wishes: storedWishes.exactOptional(),
    note: note.exactOptional(),
    priority: priority.exactOptional(),
  })
  .meta({ id: 'StayChange' });

export const rescheduleSchema = z
  .strictObject({
    arrival: moment.nullable().default(null).describe('Null: as it is.'),
    departure: moment.nullable().default(null).describe('Null: as it is.'),
    overrides: placementSchema.shape.overrides,
  })
  .refine(({ arrival, departure }) => arrival !== null || departure !== null, 'Give an arrival, a departure or both.')
  .meta({ id: 'Reschedule' });

export const rescheduledSchema = z
  .strictObject({ stay: staySchema, assignments: z.array(assignmentSchema).describe('Earliest first.') })
  .meta({ id: 'Rescheduled' });

export const momentSchema = z
  .strictObject({ at: instant.nullable().default(null).describe('When it happened; null: now.') })
  .prefault({});

export type StayChange = z.output<typeof stayChangeSchema>;

import { z } from 'zod';
import { bestAlternatives } from '../berth-options/alternatives.ts';
import { Problem } from '../errors.ts';
import { everyRole, type Principal } from '../http/access.ts';
import { id, instant, marinaParams } from '../http/fields.ts';
import { decodeCursor, momentInCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, type HandlerInput, type RouteDefinition } from '../http/route.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import type { Services } from '../services.ts';
import { loadStay } from '../stays/stored-stay.ts';
import { releasedSchema, withFits } from '../stays/waiting-list.ts';
import { assignmentsFrom, type PlaceStay, periodToPlace, placeStay, startOf } from './place-stay.ts';
import { releaseAssignment } from './release.ts';
import { assignmentDocument, assignmentSchema, placementSchema, swappedSchema } from './schema.ts';
import { swapStays } from './swap-stays.ts';

const tag = 'Assignments';
const stayParams = z.strictObject({ marinaId: id, stayId: id });
const assignmentParams = z.strictObject({ marinaId: id, assignmentId: id });
const assignSchema = z.strictObject({
  ...placementSchema.shape,
  from: instant
    .nullable()
    .default(null)
    .describe('From when on; null: from arrival, or from where what the stay has ends before it leaves.'),
});
const shortestOfferMs = 60_000;
const longestOfferMs = 60 * 86_400_000;
const offerSchema = z.strictObject({
  ...placementSchema.shape,
  expiresAt: instant.describe('Until when the berth is held for the answer: a minute to sixty days from now.'),
});
const swapSchema = z.strictObject({
  stayIds: z.tuple([id, id]).describe('Two stays that have a berth each.'),
  from: instant
    .nullable()
    .default(null)
    .describe('From when on; null: from arrival, or from now where a boat lies here.'),
});
const moveSchema = z.strictObject({
  ...placementSchema.shape,
  from: instant.nullable().default(null).describe('From when on; null: from arrival.'),
});

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'POST',
    url: '/v1/marinas/:marinaId/stays/:stayId/assign',
    operationId: 'assignStay',
    summary: 'Assign a stay to a berth',
    description:
      'Judges everything again as it is now. Refused: 409 with the findings and the best alternatives. What is left out ' +
      'is chosen as the options rank it. A stay that was displaced from some moment on is assigned the rest of its time.',
    tag,
    roles: ['harbormaster'],
    params: stayParams,
    body: assignSchema,
    idempotent: true,
    example: { berthId: 'B7', orientation: 'bowIn' },
    response: { 200: assignmentSchema },
    problems: ['refused', 'double-use', 'wrong-state', 'stale-version'],
  }).handle((input, services) => place('assign', input, services)),
  defineRoute({
    method: 'POST',
    url: '/v1/marinas/:marinaId/stays/:stayId/move',
    operationId: 'moveStay',
    summary: 'Move a stay to another berth, in mid-stay too',
    description: 'Gives up what the stay has from then on and assigns the new berth in one step, or changes nothing.',
    tag,
    roles: ['harbormaster'],
    params: stayParams,
    body: moveSchema,
    idempotent: true,
    example: { berthId: 'B8', from: null },
    response: { 200: assignmentSchema },
    problems: ['refused', 'double-use', 'wrong-state', 'stale-version'],
  }).handle((input, services) => place('move', input, services)),
  defineRoute({
    method: 'POST',
    url: '/v1/marinas/:marinaId/stays/:stayId/offer',
    operationId: 'offerStay',
    summary: 'Offer a berth until a moment, and hold it',
    description:
      'The berth is judged and held like an assigned one. Unless `promise` says yes before `expiresAt`, the stay is a request again and the berth is free. Offering again takes the place of the offer before.',
    tag,
    roles: ['harbormaster'],
    params: stayParams,
    body: offerSchema,
    idempotent: true,
    example: { berthId: 'B7', expiresAt: '2030-06-13T18:00:00-05:00' },
    response: { 200: assignmentSchema },
    problems: ['refused', 'double-use', 'wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, body, ifVersion, idempotency, now }, services) => {
    const { expiresAt: expires, ...placement } = body;
    const offerExpiresAt = Date.parse(expires);
    if (offerExpiresAt < now + shortestOfferMs || offerExpiresAt > now + longestOfferMs) {
      throw invalid('/expiresAt', 'Give a moment from one minute to sixty days from now.');
    }
    const command = { principal, ifVersion, idempotency, now, stayId: params.stayId, placement, offerExpiresAt };
    const assignment = await placeOrSuggest(services, { ...command, kind: 'offer', from: null });
    return { status: 200, body: assignment, version: assignment.version };
  }),
  defineRoute({
    method: 'POST',
    url: '/v1/marinas/:marinaId/swaps',
    operationId: 'swapStays',
    summary: 'Exchange the berths of two stays in one step',
    description:
      'Both are judged where they go, with the other one in its new place; refused, neither moves. Boats that lie here exchange from now on, without turnover time between them.',
    tag,
    roles: ['harbormaster'],
    params: marinaParams,
    body: swapSchema,
    idempotent: true,
    example: { stayIds: ['stay-1', 'stay-2'] },
    response: { 200: swappedSchema },
    problems: ['refused', 'double-use', 'wrong-state'],
  }).handle(async ({ principal, body, idempotency, now }, services) => {
    const from = body.from === null ? null : Date.parse(body.from);
    const assignments = await swapStays(services, { principal, idempotency, now, stayIds: body.stayIds, from });
    return { status: 200, body: { assignments } };
  }),
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/assignments',
    operationId: 'listAssignments',
    summary: 'List assignments by their beginning',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({
      ...pageQuery,
      from: instant.optional().describe('Only those that last beyond this moment.'),
      until: instant.optional().describe('Only those that begin before this moment.'),
    }),
    response: { 200: z.strictObject({ items: z.array(assignmentSchema) }) },
  }).handle(async ({ params, query }, { db }) => {
    const after = decodeCursor(query.cursor, z.tuple([momentInCursor, id]));
    const rows = await db.prisma.assignment.findMany({
      where: {
        marinaId: params.marinaId,
        ...(query.from === undefined ? {} : { untilAt: { gt: new Date(query.from) } }),
        AND: [
          ...(query.until === undefined ? [] : [{ fromAt: { lt: new Date(query.until) } }]),
          ...(after === null
            ? []
            : [
                // The first line alone lets the database begin in its index where the page before ended.
                { fromAt: { gte: new Date(after[0]) } },
                { OR: [{ fromAt: { gt: new Date(after[0]) } }, { id: { gt: after[1] } }] },
              ]),
        ],
      },
      orderBy: [{ fromAt: 'asc' }, { id: 'asc' }],
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [row.fromAt.getTime(), row.id]);
    return { status: 200, body: { items: page.items.map(assignmentDocument) }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/assignments/:assignmentId',
    operationId: 'readAssignment',
    summary: 'Read an assignment as it was judged',
    tag,
    roles: everyRole,
    params: assignmentParams,
    response: { 200: assignmentSchema },
  }).handle(async ({ params }, { db }) => {
    const { marinaId, assignmentId } = params;
    const row = await db.prisma.assignment.findUnique({ where: { marinaId_id: { marinaId, id: assignmentId } } });
    if (row === null) throw new Problem('not-found', `There is no assignment "${assignmentId}".`);
    return { status: 200, body: assignmentDocument(row), version: row.version };
  }),
  defineRoute({
    method: 'POST',
    url: '/v1/marinas/:marinaId/assignments/:assignmentId/release',
    operationId: 'releaseAssignment',
    summary: 'Release a berth, its outlets and adapters from a moment on',
    description: 'Answers what is left of the assignment, or null where it had not begun.',
    tag,
    roles: ['harbormaster'],
    params: assignmentParams,
    body: z
      .strictObject({
        at: instant.nullable().default(null).describe('Null: now, or all of it where it has not begun.'),
      })
      .prefault({}),
    idempotent: true,
    example: { at: null },
    response: { 200: releasedSchema },
    problems: ['wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, body, ifVersion, idempotency, now }, services) => {
    const at = body.at === null ? null : Date.parse(body.at);
    const { assignmentId } = params;
    const command = { principal, ifVersion, idempotency, now, assignmentId, at };
    const released = await withFits(services, { ...params, now }, async () => ({
      assignment: await releaseAssignment(services, command),
    }));
    return { status: 200, body: released };
  }),
];

type PlaceInput = HandlerInput<z.output<typeof stayParams>, unknown, z.output<typeof assignSchema>> & {
  readonly principal: Principal;
};

async function place(kind: 'assign' | 'move', { params, body, ...asked }: PlaceInput, services: Services) {
  const { principal, ifVersion, idempotency, now } = asked;
  const { from: fromText, ...placement } = body;
  const from = fromText === null ? null : Date.parse(fromText);
  const { stayId } = params;
  const command = { principal, ifVersion, idempotency, now, stayId, placement, kind, from, offerExpiresAt: null };
  const assignment = await placeOrSuggest(services, command);
  return { status: 200, body: assignment, version: assignment.version } as const;
}

/** A refusal, or a race lost, is answered with the best berths that are left. */
async function placeOrSuggest(services: Services, command: PlaceStay) {
  try {
    return await placeStay(services, command);
  } catch (error) {
    if (!(error instanceof Problem) || (error.problem !== 'refused' && error.problem !== 'double-use')) throw error;
    const { marinaId } = command.principal;
    const stay = await loadStay(services.db.prisma, marinaId, command.stayId);
    if (stay === null) throw error;
    const { index } = await services.inventories.inventoryOf(services.db.prisma, marinaId);
    const period = periodToPlace(stay, startOf(stay, command), index.inventory.timeZone);
    const alternatives = await bestAlternatives(services, marinaId, {
      boat: stay.boat,
      wishes: stay.wishes,
      groupId: stay.row.groupId,
      period,
      withoutAssignmentIds: new Set(assignmentsFrom(stay, period.from).map(({ id: own }) => own)),
      now: command.now,
    });
    throw new Problem(error.problem, error.message, { ...error.parts, alternatives });
  }
}

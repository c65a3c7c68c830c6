import { z } from 'zod';
import { assignmentDocument } from '../assignments/schema.ts';
import { boatDocument } from '../boats/schema.ts';
import { everyRole, type Role } from '../http/access.ts';
import { id, marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { arrivalsSchema, listArrivals } from './arrivals.ts';
import { arriveStay, departStay } from './arrive-stay.ts';
import { changeStay } from './change-stay.ts';
import { endStay, turnAwayStay } from './close-stay.ts';
import { listStays, stayListQuery } from './list-stays.ts';
import { openQuestions } from './open-questions.ts';
import { promiseStay } from './promise-stay.ts';
import { recordCall } from './record-call.ts';
import { rescheduleOrSuggest } from './reschedule-or-suggest.ts';
import {
  calendarDay,
  callAnswerSchema,
  momentSchema,
  newStaySchema,
  rescheduleSchema,
  stayChangeSchema,
  stayDocument,
  staySchema,
  staysSchema,
  stayWithAssignmentsSchema,
  turnAwaySchema,
  turnedAwayCallSchema,
} from './schema.ts';
import { readStay } from './stored-stay.ts';
import { endedStaySchema, listWaiting, rescheduledWithFits, waitingListSchema, withFits } from './waiting-list.ts';

const marinaUrl = '/v1/marinas/:marinaId';
const url = `${marinaUrl}/stays`;
const tag = 'Stays';
const stayParams = z.strictObject({ marinaId: id, stayId: id });
const writers: readonly Role[] = ['harbormaster'];
const exampleCall = {
  name: 'J. Lindqvist',
  phone: '+1 555 0142',
  boatName: 'Marigold',
  lengthOverallM: 12.8,
  hull: 'monohull',
  draftM: 1.7,
  arrival: '2030-06-14',
  departure: '2030-06-16',
  plug: '50 A',
  airConditioning: true,
} as const;

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'POST',
    url,
    operationId: 'requestStay',
    summary: 'Enter a call for a berth: its boat and its stay',
    description:
      'What is left out is unknown, and the answer lists what to ask. A plug that is not understood is not guessed at.',
    tag,
    roles: writers,
    params: marinaParams,
    body: newStaySchema,
    idempotent: true,
    example: exampleCall,
    response: { 201: callAnswerSchema },
  }).handle(async ({ principal, body, now, idempotency }, services) => {
    const answer = await recordCall(services, { principal, idempotency, now, call: body, turnedAway: null });
    const location = `/v1/marinas/${principal.marinaId}/stays/${answer.stay.id}`;
    return { status: 201, body: answer, version: answer.stay.version, location };
  }),
  defineRoute({
    method: 'POST',
    url: `${marinaUrl}/turned-away`,
    operationId: 'recordTurnedAway',
    summary: 'Record a call that could not be served, with the reasons',
    tag,
    roles: writers,
    params: marinaParams,
    body: turnedAwayCallSchema,
    idempotent: true,
    example: {
      lengthOverallM: 27,
      arrival: '2030-06-14',
      departure: '2030-06-16',
      reasons: [{ rule: 'fit.length', note: 'Longer than any place that was free.' }],
    },
    response: { 201: callAnswerSchema },
  }).handle(async ({ principal, body, now, idempotency }, services) => {
    const { reasons, ...call } = body;
    const answer = await recordCall(services, { principal, idempotency, now, call, turnedAway: reasons });
    const location = `/v1/marinas/${principal.marinaId}/stays/${answer.stay.id}`;
    return { status: 201, body: answer, version: answer.stay.version, location };
  }),
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listStays',
    summary: 'List stays by arrival',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: stayListQuery,
    response: { 200: staysSchema },
  }).handle(async ({ params, query }, services) => {
    const { items, nextCursor } = await listStays(services, params.marinaId, query);
    return { status: 200, body: { items }, nextCursor };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:stayId`,
    operationId: 'readStay',
    summary: 'Read a stay with its boat, its assignments and what is still to ask',
    description: 'The ETag is the version of the stay itself, for If-Match.',
    tag,
    roles: everyRole,
    params: stayParams,
    response: { 200: stayWithAssignmentsSchema },
  }).handle(async ({ params }, { db }) => {
    const { row, boat, boatRow, assignments } = await readStay(db.prisma, params.marinaId, params.stayId);
    const body = {
      stay: stayDocument(row, boat),
      boat: boatDocument(boatRow),
      assignments: assignments.map(assignmentDocument),
      unknown: openQuestions(boat),
    };
    return { status: 200, body, version: row.version, versionOfPart: true };
  }),
  defineRoute({
    method: 'PATCH',
    url: `${url}/:stayId`,
    operationId: 'changeStay',
    summary: 'Change contact, wishes, note, or the dates of a stay without a berth',
    tag,
    roles: writers,
    params: stayParams,
    body: stayChangeSchema,
    ifMatch: true,
    example: { departure: '2030-06-17', note: 'Arrives after dark.' },
    response: { 200: staySchema },
    problems: ['wrong-state'],
  }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
    const stay = await changeStay(services, { principal, ifVersion, now, stayId: params.stayId, change: body });
    return { status: 200, body: stay, version: stay.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:stayId/reschedule`,
    operationId: 'rescheduleStay',
    summary: 'Extend, shorten or shift a stay with its berth in one step',
    description:
      'Its berth and outlets are judged again for the new dates and kept, or nothing changes: 409 with the findings and the best other berths.',
    tag,
    roles: writers,
    params: stayParams,
    body: rescheduleSchema,
    idempotent: true,
    example: { departure: '2030-06-18' },
    response: { 200: rescheduledWithFits },
    problems: ['refused', 'double-use', 'wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, body, ifVersion, idempotency, now }, services) => {
    const command = { principal, ifVersion, idempotency, now, stayId: params.stayId, ...body };
    const answer = await withFits(services, { ...params, now }, () => rescheduleOrSuggest(services, command));
    return { status: 200, body: answer, version: answer.stay.version, versionOfPart: true };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:stayId/promise`,
    operationId: 'promiseStay',
    summary: 'Promise the berth that was offered',
    tag,
    roles: writers,
    params: stayParams,
    idempotent: true,
    response: { 200: staySchema },
    problems: ['wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, ifVersion, idempotency, now }, services) => {
    const stay = await promiseStay(services, { principal, ifVersion, idempotency, now, stayId: params.stayId });
    return { status: 200, body: stay, version: stay.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:stayId/arrive`,
    operationId: 'arriveStay',
    summary: 'Record that a boat has come to its berth',
    description:
      'Before its time the berth is judged again from then on; where that refuses, enter the boat where it was found.',
    tag,
    roles: ['harbormaster', 'dockhand'],
    params: stayParams,
    body: momentSchema,
    idempotent: true,
    example: { at: '2030-06-14T15:20:00-05:00' },
    response: { 200: staySchema },
    problems: ['refused', 'double-use', 'wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, body, ifVersion, idempotency, now }, services) => {
    const at = body.at === null ? null : Date.parse(body.at);
    const stay = await arriveStay(services, { principal, ifVersion, idempotency, now, stayId: params.stayId, at });
    return { status: 200, body: stay, version: stay.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:stayId/depart`,
    operationId: 'departStay',
    summary: 'Record that a boat has left, and free its berth after the turnover',
    tag,
    roles: ['harbormaster', 'dockhand'],
    params: stayParams,
    body: momentSchema,
    idempotent: true,
    example: { at: '2030-06-16T10:40:00-05:00' },
    response: { 200: endedStaySchema },
    problems: ['wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, body, ifVersion, idempotency, now }, services) => {
    const at = body.at === null ? null : Date.parse(body.at);
    const command = { principal, ifVersion, idempotency, now, stayId: params.stayId, at };
    const stay = await withFits(services, { ...params, now }, () => departStay(services, command));
    return { status: 200, body: stay, version: stay.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:stayId/no-show`,
    operationId: 'noShowStay',
    summary: 'Enter that a boat did not come, and free its berth',
    description: "From the marina's hour (`noShowHour`) after its time of arrival on.",
    tag,
    roles: writers,
    params: stayParams,
    idempotent: true,
    response: { 200: endedStaySchema },
    problems: ['wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, ifVersion, idempotency, now }, services) => {
    const command = { principal, ifVersion, idempotency, now, stayId: params.stayId };
    const stay = await withFits(services, { ...params, now }, () => endStay(services, { ...command, as: 'noShow' }));
    return { status: 200, body: stay, version: stay.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:stayId/cancel`,
    operationId: 'cancelStay',
    summary: 'Cancel a stay that has not arrived, and free its berth',
    tag,
    roles: writers,
    params: stayParams,
    idempotent: true,
    response: { 200: endedStaySchema },
    problems: ['wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, ifVersion, idempotency, now }, services) => {
    const command = { principal, ifVersion, idempotency, now, stayId: params.stayId };
    const stay = await withFits(services, { ...params, now }, () => endStay(services, { ...command, as: 'cancel' }));
    return { status: 200, body: stay, version: stay.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:stayId/turn-away`,
    operationId: 'turnAwayStay',
    summary: 'Turn a request away, with the reasons',
    tag,
    roles: writers,
    params: stayParams,
    body: turnAwaySchema,
    idempotent: true,
    example: { reasons: [{ rule: 'space.taken', note: 'Full on these nights.' }] },
    response: { 200: staySchema },
    problems: ['wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, body, ifVersion, idempotency, now }, services) => {
    const command = { principal, ifVersion, idempotency, now, stayId: params.stayId, reasons: body.reasons };
    const stay = await turnAwayStay(services, command);
    return { status: 200, body: stay, version: stay.version };
  }),
  defineRoute({
    method: 'GET',
    url: `${marinaUrl}/waiting-list`,
    operationId: 'listWaitingStays',
    summary: 'List stays without a berth by priority and time of calling, with the berths that each fits now',
    description: 'The first fifty. `offer` holds one of the berths for a stay until it answers.',
    tag,
    roles: everyRole,
    params: marinaParams,
    response: { 200: waitingListSchema },
  }).handle(async ({ params, now }, services) => {
    return { status: 200, body: { items: await listWaiting(services, { marinaId: params.marinaId, now }) } };
  }),
  defineRoute({
    method: 'GET',
    url: `${marinaUrl}/arrivals`,
    operationId: 'listArrivals',
    summary: "List a day's arrivals: berth, hook-up, and what is still to confirm",
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({ day: calendarDay.optional().describe('Left out: today at the marina.') }),
    response: { 200: arrivalsSchema },
  }).handle(async ({ params, query, now }, services) => {
    const body = await listArrivals(services, { marinaId: params.marinaId, day: query.day ?? null, now });
    return { status: 200, body };
  }),
];

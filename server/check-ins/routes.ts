import { z } from 'zod';
import { Problem } from '../errors.ts';
import { everyRole, type Role } from '../http/access.ts';
import { id, instant, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { acknowledgeAlert, deskAlertDocument, deskAlertSchema, deskAlertsSchema } from './alerts.ts';
import { marinaLeakage, marinaLeakageSchema } from './leakage.ts';
import { adapterLoanDocument, adapterLoanSchema, readLoans } from './loans.ts';
import { recordDockEvent } from './record-event.ts';
import { dockEventBodySchema, dockEventDocument, dockEventSchema } from './schema.ts';
import { checkInSettingsSchema, readCheckInSettings, replaceCheckInSettings } from './settings.ts';
import { loadShift, shiftSchema } from './shift.ts';

const marina = '/v1/marinas/:marinaId';
const tag = 'Check-in';
const atTheDock: readonly Role[] = ['harbormaster', 'dockhand'];
const eventParams = z.strictObject({ ...marinaParams.shape, eventId: id });
const alertParams = z.strictObject({ ...marinaParams.shape, alertId: id });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: `${marina}/shift`,
    operationId: 'readShift',
    summary: 'Everything that a phone at the dock needs for the coming hours',
    description: 'One document to keep: stays, outlets, stock, and until when it holds.',
    tag,
    roles: atTheDock,
    params: marinaParams,
    query: z.strictObject({ hours: z.coerce.number().int().min(1).max(24).default(12) }),
    response: { 200: shiftSchema },
  }).handle(async ({ params, query, now }, services) => {
    const { marinaId } = params;
    return { status: 200, body: await loadShift(services, { marinaId, hours: query.hours, now }) };
  }),
  defineRoute({
    method: 'PUT',
    url: `${marina}/dock-events/:eventId`,
    operationId: 'recordDockEvent',
    summary: 'Append what happened at the dock, under an id that the phone made',
    description:
      'Sent again with the same id and body it answers what is stored. It is never refused as stale: what contradicts ' +
      'the desk is kept beside it and raised as an alert. Kinds: checkIn, departure, outletFault, wrongBerth, trip, ' +
      'hotContact, adapterBack.',
    tag,
    roles: atTheDock,
    params: eventParams,
    body: dockEventBodySchema,
    example: {
      kind: 'trip',
      at: '2030-06-10T14:20:00-05:00',
      outletId: 'A1A',
      stayId: null,
      note: 'kettle and heater',
    },
    response: { 200: dockEventSchema, 201: dockEventSchema },
    problems: ['key-reused'],
  }).handle(async ({ principal, params, body, now }, services) => {
    const { event, isNew } = await recordDockEvent(services, { principal, now, eventId: params.eventId, body });
    return { status: isNew ? 201 : 200, body: event };
  }),
  defineRoute({
    method: 'GET',
    url: `${marina}/dock-events/:eventId`,
    operationId: 'readDockEvent',
    summary: 'Read one event of the dock',
    tag,
    roles: everyRole,
    params: eventParams,
    response: { 200: dockEventSchema },
  }).handle(async ({ params }, { db }) => {
    const { marinaId, eventId } = params;
    const row = await db.prisma.dockEvent.findUnique({ where: { marinaId_id: { marinaId, id: eventId } } });
    if (row === null) throw new Problem('not-found', `There is no event "${eventId}".`);
    return { status: 200, body: dockEventDocument(row) };
  }),
  defineRoute({
    method: 'GET',
    url: `${marina}/dock-events`,
    operationId: 'listDockEvents',
    summary: 'List what happened at the dock, the last received first',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({
      ...pageQuery,
      stayId: id.optional(),
      kind: dockEventSchema.shape.kind.optional(),
      since: instant.optional().describe("By the phone's clock."),
    }),
    response: { 200: z.strictObject({ items: z.array(dockEventSchema) }) },
  }).handle(async ({ params, query }, { db }) => {
    const [before] = decodeCursor(query.cursor, z.tuple([z.int().min(1)])) ?? [null];
    const rows = await db.prisma.dockEvent.findMany({
      where: {
        marinaId: params.marinaId,
        ...(before === null ? {} : { seq: { lt: before } }),
        ...(query.stayId === undefined ? {} : { stayId: query.stayId }),
        ...(query.kind === undefined ? {} : { kind: query.kind }),
        ...(query.since === undefined ? {} : { at: { gte: new Date(query.since) } }),
      },
      orderBy: { seq: 'desc' },
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, ({ seq }) => [Number(seq)]);
    return { status: 200, body: { items: page.items.map(dockEventDocument) }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'GET',
    url: `${marina}/adapter-loans`,
    operationId: 'listAdapterLoans',
    summary: 'List the pieces of the stock that boats have, the longest due first',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({ state: z.enum(['out', 'overdue', 'all']).default('out') }),
    response: { 200: z.strictObject({ items: z.array(adapterLoanSchema) }) },
  }).handle(async ({ params, query, now }, { db, inventories }) => {
    const { index } = await inventories.inventoryOf(db.prisma, params.marinaId);
    const rows = await readLoans(db.prisma, params.marinaId, {
      isOut: query.state !== 'all',
      ...(query.state === 'overdue' ? { dueBefore: now } : {}),
    });
    return { status: 200, body: { items: rows.map((row) => adapterLoanDocument(index, row, now)) } };
  }),
  defineRoute({
    method: 'GET',
    url: `${marina}/leakage`,
    operationId: 'readMarinaLeakage',
    summary: 'Sum what the check-ins read under each ground-fault device, with trips',
    tag,
    roles: everyRole,
    params: marinaParams,
    response: { 200: marinaLeakageSchema },
  }).handle(async ({ params, now }, services) => {
    return { status: 200, body: await marinaLeakage(services, { marinaId: params.marinaId, now }) };
  }),
  defineRoute({
    method: 'GET',
    url: `${marina}/check-in-settings`,
    operationId: 'readCheckInSettings',
    summary: 'Read which readings are mandatory, and what is printed on the sheets',
    tag,
    roles: everyRole,
    params: marinaParams,
    response: { 200: checkInSettingsSchema },
  }).handle(async ({ params }, { db }) => {
    const { settings, version } = await readCheckInSettings(db.prisma, params.marinaId);
    return { status: 200, body: settings, version };
  }),
  defineRoute({
    method: 'PUT',
    url: `${marina}/check-in-settings`,
    operationId: 'replaceCheckInSettings',
    summary: 'Say which readings are mandatory, and what is printed on the sheets',
    tag,
    roles: ['harbormaster', 'manager'],
    params: marinaParams,
    body: checkInSettingsSchema,
    example: { contact: 'Dock office, +1 555 0100', price: '1.90 per foot and night', terms: '', afterHours: '' },
    ifMatch: true,
    response: { 200: checkInSettingsSchema },
  }).handle(async ({ principal, body, ifVersion, now }, services) => {
    const command = { principal, now, ifVersion, input: body };
    const { settings, version } = await replaceCheckInSettings(services, command);
    return { status: 200, body: settings, version };
  }),
  defineRoute({
    method: 'GET',
    url: `${marina}/alerts`,
    operationId: 'listAlerts',
    summary: 'List what the desk should look at, the newest first',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({ state: z.enum(['open', 'all']).default('open') }),
    response: { 200: deskAlertsSchema },
  }).handle(async ({ params, query }, { db }) => {
    const rows = await db.prisma.deskAlert.findMany({
      where: { marinaId: params.marinaId, ...(query.state === 'open' ? { acknowledgedAt: null } : {}) },
      orderBy: [{ at: 'desc' }, { id: 'asc' }],
      take: 500,
    });
    return { status: 200, body: { items: rows.map(deskAlertDocument) } };
  }),
  defineRoute({
    method: 'POST',
    url: `${marina}/alerts/:alertId/acknowledge`,
    operationId: 'acknowledgeAlert',
    summary: 'Say that somebody has seen an alert',
    tag,
    roles: ['harbormaster', 'manager'],
    params: alertParams,
    response: { 200: deskAlertSchema },
  }).handle(async ({ principal, params, now }, services) => {
    return { status: 200, body: await acknowledgeAlert(services, { principal, now, alertId: params.alertId }) };
  }),
];

import { z } from 'zod';
import { Problem } from '../errors.ts';
import { everyRole } from '../http/access.ts';
import { id, instant, marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition, textOrStream } from '../http/route.ts';
import { calendarOf } from './calendar.ts';
import { exportBookings } from './export-bookings.ts';
import { importBookings, textOf } from './import-bookings.ts';

const base = '/v1/marinas/:marinaId';
const tag = 'Feeds';
const calendar = 'text/calendar; charset=utf-8';

const importedSchema = z
  .strictObject({
    lines: z.int().describe('Sound bookings in the file.'),
    stayIds: z.array(z.string()).describe('The requests entered, in the order of the file.'),
    faults: z.array(z.strictObject({ line: z.int(), column: z.string().nullable(), message: z.string() })),
  })
  .meta({ id: 'ImportedBookings' });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: `${base}/docks/:dockId/calendar`,
    operationId: 'readDockCalendar',
    summary: "Read a dock's berths as iCalendar, without saying whose they are",
    tag,
    roles: everyRole,
    params: z.strictObject({ marinaId: id, dockId: id }),
    session: true,
    contentType: calendar,
    response: { 200: textOrStream },
  }).handle(async ({ params: { marinaId, dockId }, now }, { db, inventories }) => {
    const { index } = await inventories.inventoryOf(db.prisma, marinaId);
    const dock = index.docks.get(dockId);
    if (dock === undefined) throw new Problem('not-found', `There is no dock "${dockId}".`);
    const name = `${index.inventory.name}, dock ${dock.label}`;
    return { status: 200, body: await calendarOf(db, marinaId, index, { name, subject: { dockId }, now }) };
  }),
  defineRoute({
    method: 'GET',
    url: `${base}/boats/:boatId/calendar`,
    operationId: 'readBoatCalendar',
    summary: "Read a boat's stays as iCalendar",
    tag,
    roles: everyRole,
    params: z.strictObject({ marinaId: id, boatId: id }),
    session: true,
    contentType: calendar,
    response: { 200: textOrStream },
  }).handle(async ({ params: { marinaId, boatId }, now }, { db, inventories }) => {
    const { index } = await inventories.inventoryOf(db.prisma, marinaId);
    const boat = await db.prisma.boat.findUnique({ where: { marinaId_id: { marinaId, id: boatId } } });
    if (boat === null) throw new Problem('not-found', `There is no boat "${boatId}".`);
    const name = `${boat.name} at ${index.inventory.name}`;
    return { status: 200, body: await calendarOf(db, marinaId, index, { name, subject: { boatId }, now }) };
  }),
  defineRoute({
    method: 'POST',
    url: `${base}/bookings/import`,
    operationId: 'importBookings',
    summary: 'Enter a CSV file of bookings as requests, all of them or none',
    description:
      'RFC 4180, UTF-8; the first line names the columns: name, lengthOverallM, arrival, departure, and where known phone, boatName, beamM, draftM, hull, plug, priority, note. Times without offset are by the marina’s clocks; an hour that a clock change skips or repeats is a fault. Every faulty line is told by its number.',
    tag,
    roles: ['harbormaster'],
    params: marinaParams,
    query: z.strictObject({
      dryRun: z.enum(['true', 'false']).default('false').describe('Tell the faults and change nothing.'),
    }),
    streams: ['text/csv'],
    idempotent: true,
    response: { 200: importedSchema },
    problems: ['faulty-document', 'body-too-large', 'unsupported-media-type'],
  }).handle(async ({ principal, query, stream, now, idempotencyOf }, services) => {
    if (stream === null) throw new Problem('unsupported-media-type', 'Send "Content-Type: text/csv".');
    const text = await textOf(stream);
    const dryRun = query.dryRun === 'true';
    const command = { principal, idempotency: idempotencyOf(text), now, text, dryRun };
    return { status: 200, body: await importBookings(services, command) };
  }),
  defineRoute({
    method: 'GET',
    url: `${base}/bookings/export`,
    operationId: 'exportBookings',
    summary: 'Read stays as CSV that a spreadsheet opens without running anything',
    description: 'RFC 4180; a text that looks like a formula gets an apostrophe before it, which the import takes off.',
    tag,
    roles: ['harbormaster', 'dockhand', 'manager'],
    params: marinaParams,
    query: z.strictObject({
      from: instant.describe('Stays that last beyond this moment.'),
      until: instant.describe('Stays that arrive before this moment.'),
    }),
    session: true,
    contentType: 'text/csv; charset=utf-8; header=present',
    response: { 200: textOrStream },
  }).handle(async ({ params, query }, services) => ({
    status: 200,
    body: await exportBookings(services, params.marinaId, query),
    fileName: 'bookings.csv',
  })),
];

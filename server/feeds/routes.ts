import { z } from 'zod';
import { Problem } from '../errors.ts';
import { everyRole } from '../http/access.ts';
import { id, instant, marinaParams } from '../http/fields.ts';
import { definePublicRoute, defineRoute, noContent, type RouteDefinition, textOrStream } from '../http/route.ts';
import type { Subject } from './calendar.ts';
import { calendarBehind, endCalendarLink, makeCalendarLink, readCalendar } from './calendar-link.ts';
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

const calendarLinkSchema = z
  .strictObject({ path: z.string().describe('The link, shown once: whoever has it reads the calendar.') })
  .meta({ id: 'CalendarLink' });

export const routes: RouteDefinition[] = [
  ...calendarRoutes('dock', z.strictObject({ marinaId: id, dockId: id }), ({ dockId }) => ({ dockId })),
  ...calendarRoutes('boat', z.strictObject({ marinaId: id, boatId: id }), ({ boatId }) => ({ boatId })),
  definePublicRoute({
    method: 'GET',
    url: '/v1/calendars/:secret',
    operationId: 'readCalendarByLink',
    summary: 'Read the calendar behind a link, as calendar programs do',
    tag,
    params: z.strictObject({
      secret: z
        .string()
        .max(200)
        .regex(/^[\w-]+$/, 'Take the link as it was given.'),
    }),
    contentType: calendar,
    response: { 200: textOrStream },
    problems: ['not-found'],
  }).handle(async ({ params, now }, services) => {
    return { status: 200, body: await calendarBehind(services, params.secret, now) };
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

/** The calendar of a dock or of a boat, and the link to it. */
function calendarRoutes<Params extends z.ZodType<{ readonly marinaId: string }>>(
  kind: 'dock' | 'boat',
  params: Params,
  subjectOf: (params: z.output<Params>) => Subject,
): RouteDefinition[] {
  const [url, Kind] =
    kind === 'dock' ? [`${base}/docks/:dockId/calendar`, 'Dock'] : [`${base}/boats/:boatId/calendar`, 'Boat'];
  const what = kind === 'dock' ? "a dock's berths" : "a boat's stays";
  return [
    defineRoute({
      method: 'GET',
      url,
      operationId: `read${Kind}Calendar`,
      summary: `Read ${what} as iCalendar${kind === 'dock' ? ', without saying whose they are' : ''}`,
      tag,
      roles: everyRole,
      params,
      session: true,
      contentType: calendar,
      response: { 200: textOrStream },
    }).handle(async ({ params: asked, now }, services) => {
      return { status: 200, body: await readCalendar(services, asked.marinaId, subjectOf(asked), now) };
    }),
    defineRoute({
      method: 'POST',
      url: `${url}/link`,
      operationId: `make${Kind}CalendarLink`,
      summary: `Make a link by which a calendar program reads ${what}; an older link ends`,
      tag,
      roles: ['harbormaster'],
      params,
      response: { 201: calendarLinkSchema },
    }).handle(async ({ principal, params: asked, now }, services) => {
      return { status: 201, body: await makeCalendarLink(services, { principal, now, subject: subjectOf(asked) }) };
    }),
    defineRoute({
      method: 'DELETE',
      url: `${url}/link`,
      operationId: `end${Kind}CalendarLink`,
      summary: `End the link to the calendar of ${what}`,
      tag,
      roles: ['harbormaster'],
      params,
      response: { 204: noContent },
    }).handle(async ({ principal, params: asked, now }, services) => {
      await endCalendarLink(services, { principal, now, subject: subjectOf(asked) });
      return { status: 204, body: undefined };
    }),
  ];
}

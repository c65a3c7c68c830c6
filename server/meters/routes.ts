import { randomUUID } from 'node:crypto';
import { z } from 'zod';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import { everyRole, type Role } from '../http/access.ts';
import { id, instant, marinaParams } from '../http/fields.ts';
import { decodeCursor, momentInCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, noContent, type RouteDefinition, streamTypes, textOrStream } from '../http/route.ts';
import { gapsOf } from './gaps.ts';
import { importReadings } from './import-readings.ts';
import { keepMeter, meterDocument, retireMeter } from './keep-meters.ts';
import { readMeasuredLoad } from './measured-load.ts';
import { loadNoteDocument } from './notes.ts';
import {
  gapsSchema,
  importedSchema,
  loadNoteInputSchema,
  loadNoteSchema,
  measuredLoadSchema,
  meterInputSchema,
  meterSchema,
  readingSchema,
} from './schema.ts';
import { measuredLoadCsv, readingsCsv } from './tables.ts';

const tag = 'Meters';
const base = '/v1/marinas/:marinaId';
const keepers: readonly Role[] = ['harbormaster', 'manager'];
const managers: readonly Role[] = ['manager'];
const meterParams = z.strictObject({ marinaId: id, meterId: id });
const periodQuery = { from: instant, until: instant };
const lineNames = ['all', 'L1', 'L2', 'L3'] as const;

const csvType = 'text/csv; charset=utf-8; header=present';
const csvWords = 'RFC 4180; a text that a spreadsheet would run as a formula gets an apostrophe before it.';
const measuredLoadQuery = z.strictObject({
  ...periodQuery,
  intervalMinutes: z.coerce.number().int().min(1).max(1440).default(15),
  newLoadA: z.coerce.number().min(0).max(100_000).default(0).describe('New load to add, A on the most loaded line.'),
  largerOfHeatingAndCooling: z.enum(['true', 'false']).optional().describe('The larger of heating and cooling ran.'),
  occupied: z.enum(['true', 'false']).optional().describe('The docks were occupied as in the busy season.'),
});

export const metersSchema = z.strictObject({ items: z.array(meterSchema) });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: `${base}/meters`,
    operationId: 'listMeters',
    summary: 'List the meters in use',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject(pageQuery),
    response: { 200: metersSchema },
  }).handle(async ({ params: { marinaId }, query }, { db }) => {
    const [after] = decodeCursor(query.cursor, z.tuple([id])) ?? [''];
    const rows = await db.prisma.meter.findMany({
      where: { marinaId, retiredAt: null, id: { gt: after } },
      orderBy: { id: 'asc' },
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [row.id]);
    return { status: 200, body: { items: page.items.map(meterDocument) }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'PUT',
    url: `${base}/meters/:meterId`,
    operationId: 'keepMeter',
    summary: 'Enter a meter, or change it',
    tag,
    roles: keepers,
    params: meterParams,
    body: meterInputSchema,
    example: {
      label: 'Outlet A1-A',
      subjectKind: 'outlet',
      subjectId: 'A1A',
      quantity: 'energyKwh',
      intervalMinutes: 15,
      powerFactor: null,
    },
    response: { 200: meterSchema, 201: meterSchema },
    problems: ['already-exists', 'in-use'],
  }).handle(async ({ principal, params: { meterId }, body, now }, services) => {
    const { meter, isNew } = await keepMeter(services, { principal, now, meterId, input: body });
    const location = `/v1/marinas/${principal.marinaId}/meters/${meterId}`;
    if (isNew) return { status: 201, body: meter, version: meter.version, location };
    return { status: 200, body: meter, version: meter.version };
  }),
  defineRoute({
    method: 'DELETE',
    url: `${base}/meters/:meterId`,
    operationId: 'retireMeter',
    summary: 'Take a meter out of use; its readings stay',
    tag,
    roles: keepers,
    params: meterParams,
    response: { 204: noContent },
  }).handle(async ({ principal, params: { meterId }, now }, services) => {
    await retireMeter(services, { principal, now, meterId });
    return { status: 204, body: undefined };
  }),
  defineRoute({
    method: 'GET',
    url: `${base}/meters/:meterId/gaps`,
    operationId: 'readMeterGaps',
    summary: 'Where a meter did not read, and where its register was restarted',
    tag,
    roles: everyRole,
    params: meterParams,
    query: z.strictObject(periodQuery),
    response: { 200: gapsSchema },
  }).handle(async ({ params: { marinaId, meterId }, query }, { db }) => {
    const period = periodOf(query);
    const meter = await db.prisma.meter.findUnique({ where: { marinaId_id: { marinaId, id: meterId } } });
    if (meter === null) throw new Problem('not-found', `There is no meter "${meterId}".`);
    return { status: 200, body: await gapsOf(db.pool, marinaId, meter, period) };
  }),
  defineRoute({
    method: 'POST',
    url: `${base}/meter-readings`,
    operationId: 'importReadings',
    summary: 'Store readings from a file of lines, of any length',
    description:
      'CSV with the columns meterId, from, value and, where wanted, until and line; or NDJSON with the same names. Faulty lines are told with their numbers and left out; the rest is stored. Sending a file again stores nothing twice. Times without offset are by the marina’s clocks.',
    tag,
    roles: keepers,
    params: marinaParams,
    streams: streamTypes,
    response: { 200: importedSchema },
  }).handle(async ({ principal, stream, streamType, now }, services) => {
    if (stream === null || streamType === null)
      throw new Problem('unsupported-media-type', 'Send text/csv or application/x-ndjson.');
    return { status: 200, body: await importReadings(services, { principal, now, type: streamType, stream }) };
  }),
  defineRoute({
    method: 'GET',
    url: `${base}/meter-readings`,
    operationId: 'listReadings',
    summary: 'Read the readings of a meter',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({ ...pageQuery, ...periodQuery, meterId: id }),
    response: { 200: z.strictObject({ items: z.array(readingSchema) }) },
  }).handle(async ({ params: { marinaId }, query }, { db }) => {
    const { from, until } = periodOf(query);
    const [afterAt, afterLine] = decodeCursor(query.cursor, z.tuple([momentInCursor, z.int().min(0).max(3)])) ?? [
      -1, 0,
    ];
    const rows = await db.prisma.meterReading.findMany({
      where: {
        marinaId,
        meterId: query.meterId,
        fromAt: { gte: new Date(from), lt: new Date(until) },
        ...(afterAt < 0
          ? {}
          : { OR: [{ fromAt: { gt: new Date(afterAt) } }, { fromAt: new Date(afterAt), line: { gt: afterLine } }] }),
      },
      orderBy: [{ fromAt: 'asc' }, { line: 'asc' }],
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, ({ fromAt, line }) => [fromAt.getTime(), line]);
    const items = page.items.map(({ meterId, line, fromAt, value }) => ({
      meterId,
      line: lineNames[line] ?? 'all',
      from: fromAt.toISOString(),
      value,
    }));
    return { status: 200, body: { items }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'DELETE',
    url: `${base}/meter-readings`,
    operationId: 'deleteReadings',
    summary: 'Delete readings of a meter over a period, to send better ones',
    tag,
    roles: managers,
    params: marinaParams,
    query: z.strictObject({ ...periodQuery, meterId: id }),
    response: { 200: z.strictObject({ deleted: z.int() }) },
  }).handle(async ({ principal, params: { marinaId }, query, now }, { db }) => {
    const { from, until } = periodOf(query);
    const change = { marinaId, actor: principal.id, kind: 'meterReadings.deleted', now };
    const deleted = await marinaTransaction(db, change, async ({ tx, recordChange }) => {
      const { count } = await tx.meterReading.deleteMany({
        where: { marinaId, meterId: query.meterId, fromAt: { gte: new Date(from), lt: new Date(until) } },
      });
      await recordChange({ meterId: query.meterId, from: query.from, until: query.until, readings: count }, null);
      return count;
    });
    return { status: 200, body: { deleted } };
  }),
  defineRoute({
    method: 'POST',
    url: `${base}/load-notes`,
    operationId: 'enterLoadNote',
    summary: 'Enter a bill or a page of the notebook',
    description: 'What there is where no interval meter is. Marked as what it is, and never summed with readings.',
    tag,
    roles: keepers,
    params: marinaParams,
    body: loadNoteInputSchema,
    example: {
      kind: 'bill',
      subjectKind: 'equipment',
      subjectId: 'FT-A',
      from: '2030-05-01T00:00:00-05:00',
      until: '2030-06-01T00:00:00-05:00',
      energyKwh: 18250,
      peakDemandKw: 61,
      turnedAway: null,
      suppliedBy: 'utility',
      note: '',
    },
    idempotent: true,
    response: { 201: loadNoteSchema },
  }).handle(async ({ principal, body, now, idempotency }, { db }) => {
    const { marinaId } = principal;
    const { from, until } = periodOf(body);
    const change = { marinaId, actor: principal.id, kind: 'loadNote.entered', now, idempotency };
    const note = await marinaTransaction(db, change, async ({ tx, recordChange }) => {
      const { from: _, until: __, ...rest } = body;
      const row = await tx.loadNote.create({
        data: {
          marinaId,
          id: randomUUID(),
          ...rest,
          fromAt: new Date(from),
          untilAt: new Date(until),
          createdAt: new Date(now),
        },
      });
      await recordChange(null, loadNoteDocument(row));
      return loadNoteDocument(row);
    });
    return { status: 201, body: note };
  }),
  defineRoute({
    method: 'GET',
    url: `${base}/measured-load`,
    operationId: 'readMeasuredLoad',
    summary: 'Existing load of every part by its meters, beside rated and stated',
    description:
      'The measured method takes one year, or 30 days of 15-minute averages with its conditions, at 125 %. A part that is not wholly metered is not assessed. Bills and notebook entries are listed and never summed with readings.',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: measuredLoadQuery,
    response: { 200: measuredLoadSchema },
  }).handle(async ({ params: { marinaId }, query }, services) => {
    return { status: 200, body: await readMeasuredLoad(services, marinaId, askedLoad(query)) };
  }),
  defineRoute({
    method: 'GET',
    url: `${base}/measured-load/export`,
    operationId: 'exportMeasuredLoad',
    summary: 'Read the existing load of every part as CSV, bills and notebook entries marked below it',
    description: csvWords,
    tag,
    roles: everyRole,
    params: marinaParams,
    query: measuredLoadQuery,
    session: true,
    contentType: csvType,
    response: { 200: textOrStream },
  }).handle(async ({ params: { marinaId }, query }, services) => ({
    status: 200,
    body: measuredLoadCsv(await readMeasuredLoad(services, marinaId, askedLoad(query))),
    fileName: 'existing-load.csv',
  })),
  defineRoute({
    method: 'GET',
    url: `${base}/meter-readings/export`,
    operationId: 'exportReadings',
    summary: 'Read readings as CSV, in the columns that the import takes',
    description: `${csvWords} Registers too; a period of any length.`,
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({ ...periodQuery, meterId: id.optional().describe('Left out: all meters.') }),
    session: true,
    contentType: csvType,
    response: { 200: textOrStream },
  }).handle(async ({ params: { marinaId }, query }, { db }) => ({
    status: 200,
    body: readingsCsv(db.pool, marinaId, periodOf(query), query.meterId ?? null),
    fileName: 'readings.csv',
  })),
];

/** Five years: everything between is read. */
const mostDays = 1830;

function askedLoad(query: z.output<typeof measuredLoadQuery>) {
  const period = periodOf(query);
  if (period.until - period.from > mostDays * 86_400_000) {
    const message = `Ask for at most ${mostDays} days.`;
    throw new Problem('invalid-input', message, { errors: [{ in: 'query', pointer: '/until', message }] });
  }
  const said = (word: 'true' | 'false' | undefined) => (word === undefined ? null : word === 'true');
  return {
    ...period,
    intervalMinutes: query.intervalMinutes,
    newLoadA: query.newLoadA,
    largerOfHeatingAndCooling: said(query.largerOfHeatingAndCooling),
    occupied: said(query.occupied),
  };
}

function periodOf({ from, until }: { readonly from: string; readonly until: string }): { from: number; until: number } {
  const period = { from: Date.parse(from), until: Date.parse(until) };
  if (period.from < period.until) return period;
  throw new Problem('invalid-input', 'The period ends before it begins.', {
    errors: [{ in: 'query', pointer: '/until', message: 'Give a moment after "from".' }],
  });
}

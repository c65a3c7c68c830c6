import { z } from 'zod';
import { Problem } from '../errors.ts';
import type { Role } from '../http/access.ts';
import { id } from '../http/fields.ts';
import { decodeCursor, momentInCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { choiceTables, replayTables, runTableNames } from './run-tables.ts';
import { newRunSchema, studyRunSchema } from './schema.ts';
import { readStudy } from './stored-study.ts';
import { beginRun, readRun, runDocument } from './study-runs.ts';

const tag = 'Upgrade studies';
const url = '/v1/marinas/:marinaId/studies/:studyId/runs';
const readers: readonly Role[] = ['manager', 'viewer'];
const studyParams = z.strictObject({ marinaId: id, studyId: id });

export const studyRunsSchema = z.strictObject({ items: z.array(studyRunSchema.omit({ replay: true, choice: true })) });

export const runTableSchema = z.strictObject({ table: z.enum(runTableNames), csv: z.string() });

export const runRoutes: RouteDefinition[] = [
  defineRoute({
    method: 'POST',
    url,
    operationId: 'beginStudyRun',
    summary: 'Ask for a replay or a choice that is worked on and kept',
    description:
      'Answered at once: watch it at its Location. Its result stays as it came out, with the version of the study it is of.',
    tag,
    roles: ['manager'],
    params: studyParams,
    body: newRunSchema,
    example: { replay: { chosen: null, from: '2030-05-01T00:00:00-05:00', until: '2030-10-01T00:00:00-05:00' } },
    idempotent: true,
    response: { 202: studyRunSchema },
  }).handle(async ({ principal, params: { studyId }, body, now, idempotency }, services) => {
    const run = await beginRun(services, { principal, now, idempotency, studyId, input: body });
    const location = `${url.replace(':marinaId', principal.marinaId).replace(':studyId', studyId)}/${run.id}`;
    return { status: 202, body: run, location };
  }),
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listStudyRuns',
    summary: 'List the replays and choices of a study, newest first',
    tag,
    roles: readers,
    params: studyParams,
    query: z.strictObject({ ...pageQuery, kind: z.enum(['replay', 'choice']).optional() }),
    response: { 200: studyRunsSchema },
  }).handle(async ({ params: { marinaId, studyId }, query }, { db }) => {
    const { row: study } = await readStudy(db.prisma, marinaId, studyId);
    const [askedAt, afterId] = decodeCursor(query.cursor, z.tuple([momentInCursor, id])) ?? [null, ''];
    const rows = await db.prisma.studyRun.findMany({
      where: {
        marinaId,
        studyId,
        ...(query.kind === undefined ? {} : { kind: query.kind }),
        ...(askedAt === null
          ? {}
          : { OR: [{ askedAt: { lt: new Date(askedAt) } }, { askedAt: new Date(askedAt), id: { gt: afterId } }] }),
      },
      orderBy: [{ askedAt: 'desc' }, { id: 'asc' }],
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [row.askedAt.getTime(), row.id]);
    const items = page.items.map((row) => {
      const { replay: _, choice: __, ...document } = runDocument(row, study.version);
      return document;
    });
    return { status: 200, body: { items }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:runId`,
    operationId: 'readStudyRun',
    summary: 'Read a replay or a choice: how far it is, and what it came to',
    tag,
    roles: readers,
    params: z.strictObject({ ...studyParams.shape, runId: id }),
    response: { 200: studyRunSchema },
  }).handle(async ({ params: { marinaId, studyId, runId } }, { db }) => ({
    status: 200,
    body: await readRun(db.prisma, marinaId, studyId, runId),
  })),
  defineRoute({
    method: 'GET',
    url: `${url}/:runId/tables/:table`,
    operationId: 'readStudyRunTable',
    summary: 'One table of a replay or a choice as CSV text',
    description: 'Text that a spreadsheet would run as a formula has an apostrophe before it.',
    tag,
    roles: readers,
    params: z.strictObject({ ...studyParams.shape, runId: id, table: z.enum(runTableNames) }),
    response: { 200: runTableSchema },
  }).handle(async ({ params: { marinaId, studyId, runId, table } }, { db }) => {
    const { replay, choice } = await readRun(db.prisma, marinaId, studyId, runId);
    const tables = replay !== null ? replayTables(replay) : choice !== null ? choiceTables(choice) : {};
    const csv = tables[table];
    if (csv === undefined) throw new Problem('not-found', `The run has no table "${table}".`);
    return { status: 200, body: { table, csv } };
  }),
];

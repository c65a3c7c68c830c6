import { z } from 'zod';
import { parseDecimal } from '../../core/upgrades/money/decimal.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Role } from '../http/access.ts';
import { id, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { requireVersion } from '../http/version.ts';
import { inventorySchema } from '../inventory/schema.ts';
import { chooseChanges } from './choose-changes.ts';
import { chosenQuery, idsOf } from './chosen-query.ts';
import { compareStudy } from './compare-study.ts';
import { replayStudy } from './replay-study.ts';
import { runRoutes } from './run-routes.ts';
import {
  choiceInputSchema,
  chosenSchema,
  comparisonSchema,
  replayedSchema,
  replayInputSchema,
  studyInputSchema,
  studySchema,
  tariffSchema,
} from './schema.ts';
import { bothInventories, readStudy, studyDocument, studyOf } from './stored-study.ts';
import { comparisonTables, tableNames } from './tables.ts';
import { changeStudy, createStudy, rebaseStudy } from './write-study.ts';

const tag = 'Upgrade studies';
const base = '/v1/marinas/:marinaId';
const url = `${base}/studies`;
const managers: readonly Role[] = ['manager'];
const readers: readonly Role[] = ['manager', 'viewer'];
const everybody: readonly Role[] = ['harbormaster', 'dockhand', 'manager', 'viewer'];
const studyParams = z.strictObject({ marinaId: id, studyId: id });

export const studyTableSchema = z.strictObject({ table: z.enum(tableNames), csv: z.string() });
export const studiesSchema = z.strictObject({ items: z.array(studySchema) });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: `${base}/tariff`,
    operationId: 'readTariff',
    summary: 'Read the tariff',
    tag,
    roles: everybody,
    params: marinaParams,
    response: { 200: tariffSchema },
  }).handle(async ({ params: { marinaId } }, { db }) => {
    const row = await db.prisma.tariff.findUnique({ where: { marinaId } });
    if (row === null) throw new Problem('not-found', 'The marina has no tariff yet.');
    return { status: 200, body: tariffSchema.parse(row.document), version: row.version };
  }),
  defineRoute({
    method: 'PUT',
    url: `${base}/tariff`,
    operationId: 'keepTariff',
    summary: 'Enter the tariff, or change it',
    description: 'Money is decimal strings. Every rate that holds on a night is charged.',
    tag,
    roles: managers,
    params: marinaParams,
    body: tariffSchema,
    example: {
      currency: 'USD',
      lengthCharged: 'begun',
      rates: [
        {
          id: 'summer',
          label: 'Summer, by the foot',
          kind: 'perFootNight',
          amount: '2.75',
          season: { from: '05-15', until: '09-15' },
        },
      ],
      taxes: [{ id: 'state', label: 'State tax', percent: '6.5' }],
    },
    response: { 200: tariffSchema },
  }).handle(async ({ principal, body, ifVersion, now }, { db }) => {
    const { marinaId } = principal;
    for (const { amount } of body.rates) parseDecimal(amount);
    const document = plainJson(body);
    const change = { marinaId, actor: principal.id, kind: 'tariff.kept', now };
    const version = await marinaTransaction(db, change, async ({ tx, recordChange }) => {
      const before = await tx.tariff.findUnique({ where: { marinaId } });
      requireVersion(ifVersion, before?.version ?? 0, 'The tariff');
      const row = await tx.tariff.upsert({
        where: { marinaId },
        create: { marinaId, document },
        update: { document, version: { increment: 1 } },
      });
      await recordChange(before?.document ?? null, body);
      return row.version;
    });
    return { status: 200, body, version };
  }),
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listStudies',
    summary: 'List the upgrade studies',
    tag,
    roles: readers,
    params: marinaParams,
    query: z.strictObject(pageQuery),
    response: { 200: studiesSchema },
  }).handle(async ({ params: { marinaId }, query }, services) => {
    const [after] = decodeCursor(query.cursor, z.tuple([id])) ?? [''];
    const rows = await services.db.prisma.upgradeStudy.findMany({
      where: { marinaId, id: { gt: after } },
      orderBy: { id: 'asc' },
      take: Math.min(query.limit, 50) + 1,
    });
    const page = pageOf(rows, Math.min(query.limit, 50), (row) => [row.id]);
    const items = await Promise.all(page.items.map((row) => studyDocument(services, studyOf(row))));
    return { status: 200, body: { items }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'POST',
    url,
    operationId: 'createStudy',
    summary: 'Begin an upgrade study on a copy of the present inventory',
    tag,
    roles: managers,
    params: marinaParams,
    body: studyInputSchema,
    example: {
      name: 'New pedestals on dock A',
      currency: 'USD',
      edition: '2020',
      loan: { ratePercent: '6.5', years: 20, paymentsPerYear: 12 },
      changes: [],
    },
    idempotent: true,
    response: { 201: studySchema },
    problems: ['faulty-document'],
  }).handle(async ({ principal, body, now, idempotency }, services) => {
    const study = await createStudy(services, { principal, now, idempotency, input: body });
    const document = await studyDocument(services, study);
    const location = `${url.replace(':marinaId', principal.marinaId)}/${document.id}`;
    return { status: 201, body: document, version: document.version, location };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:studyId`,
    operationId: 'readStudy',
    summary: 'Read an upgrade study, and whether the marina has moved on since',
    tag,
    roles: readers,
    params: studyParams,
    response: { 200: studySchema },
  }).handle(async ({ params: { marinaId, studyId } }, services) => {
    const document = await studyDocument(services, await readStudy(services.db.prisma, marinaId, studyId));
    return { status: 200, body: document, version: document.version, versionOfPart: true };
  }),
  defineRoute({
    method: 'PUT',
    url: `${url}/:studyId`,
    operationId: 'changeStudy',
    summary: 'Replace the changes and settings of a study',
    tag,
    roles: managers,
    params: studyParams,
    body: studyInputSchema,
    ifMatch: true,
    response: { 200: studySchema },
    problems: ['faulty-document'],
  }).handle(async ({ principal, params: { studyId }, body, ifVersion, now }, services) => {
    const study = await changeStudy(services, { principal, now, studyId, ifVersion, input: body });
    const document = await studyDocument(services, study);
    return { status: 200, body: document, version: document.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:studyId/rebase`,
    operationId: 'rebaseStudy',
    summary: 'Take the present inventory as the base of a study',
    tag,
    roles: managers,
    params: studyParams,
    response: { 200: studySchema },
  }).handle(async ({ principal, params: { studyId }, now }, services) => {
    const document = await studyDocument(services, await rebaseStudy(services, { principal, now, studyId }));
    return { status: 200, body: document, version: document.version };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:studyId/inventory`,
    operationId: 'readStudyInventory',
    summary: 'The inventory of a study, before or after its changes',
    tag,
    roles: readers,
    params: studyParams,
    query: z.strictObject({ side: z.enum(['before', 'after']), chosen: chosenQuery }),
    response: { 200: inventorySchema },
    problems: ['faulty-document'],
  }).handle(async ({ params: { marinaId, studyId }, query }, { db }) => {
    const study = await readStudy(db.prisma, marinaId, studyId);
    const body = query.side === 'before' ? study.base : bothInventories(study, idsOf(query.chosen)).after.inventory;
    return { status: 200, body };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:studyId/comparison`,
    operationId: 'compareStudy',
    summary: 'Before and after: limits, sizes, volts, leakage, findings mended, what the edition then asks',
    tag,
    roles: readers,
    params: studyParams,
    query: z.strictObject({ chosen: chosenQuery }),
    response: { 200: comparisonSchema },
    problems: ['faulty-document'],
  }).handle(async ({ params: { marinaId, studyId }, query }, { db }) => {
    const study = await readStudy(db.prisma, marinaId, studyId);
    return { status: 200, body: compareStudy(study, idsOf(query.chosen)) };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:studyId/tables/:table`,
    operationId: 'readStudyTable',
    summary: 'One table of the comparison as CSV text',
    description: 'Text that a spreadsheet would run as a formula has an apostrophe before it.',
    tag,
    roles: readers,
    params: z.strictObject({ marinaId: id, studyId: id, table: z.enum(tableNames) }),
    query: z.strictObject({ chosen: chosenQuery }),
    response: { 200: studyTableSchema },
    problems: ['faulty-document'],
  }).handle(async ({ params: { marinaId, studyId, table }, query }, { db }) => {
    const study = await readStudy(db.prisma, marinaId, studyId);
    return {
      status: 200,
      body: { table, csv: comparisonTables(study, compareStudy(study, idsOf(query.chosen)))[table] },
    };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:studyId/replay`,
    operationId: 'replayStudy',
    summary: 'Replay a season on the inventory before and after',
    description:
      'The marina’s own requests, the turned-away included, in booking order by the berth options’ rules; random seasons give ranges.',
    tag,
    roles: managers,
    params: studyParams,
    body: replayInputSchema,
    example: { chosen: null, from: '2030-05-01T00:00:00-05:00', until: '2030-10-01T00:00:00-05:00' },
    response: { 200: replayedSchema },
    problems: ['faulty-document'],
  }).handle(async ({ params: { marinaId, studyId }, body }, services) => {
    const study = await readStudy(services.db.prisma, marinaId, studyId);
    return { status: 200, body: await replayStudy(services, study, body) };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:studyId/choice`,
    operationId: 'chooseChanges',
    summary: 'Choose the best of a study’s changes under a budget, staged over years',
    tag,
    roles: managers,
    params: studyParams,
    body: choiceInputSchema,
    example: { benefits: [], stages: [{ id: 'first', budget: '250000', benefitYears: 20 }] },
    response: { 200: chosenSchema },
  }).handle(async ({ params: { marinaId, studyId }, body }, { db }) => {
    const study = await readStudy(db.prisma, marinaId, studyId);
    return { status: 200, body: await chooseChanges(study, body) };
  }),
  ...runRoutes,
];

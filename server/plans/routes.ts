import { randomUUID } from 'node:crypto';
import { z } from 'zod';
import { Prisma } from '../db/generated/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import { everyRole, type Role } from '../http/access.ts';
import { id, marinaParams } from '../http/fields.ts';
import { decodeCursor, momentInCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import type { Services } from '../services.ts';
import { acceptPlan } from './accept-plan.ts';
import { loadPlanQuestion } from './load-question.ts';
import { type NewPlan, newPlanSchema, type PlanDocument, planDocument, planSchema, plansSchema } from './schema.ts';

const url = '/v1/marinas/:marinaId/plans';
const tag = 'Plans';
const planners: readonly Role[] = ['harbormaster', 'manager'];
const planParams = z.strictObject({ marinaId: id, planId: id });

function isWhatIf({ changes }: NewPlan): boolean {
  return Object.values(changes).some((list) => list.length > 0);
}

async function readPlan({ db }: Pick<Services, 'db'>, marinaId: string, planId: string): Promise<PlanDocument> {
  const row = await db.prisma.plan.findUnique({ where: { marinaId_id: { marinaId, id: planId } } });
  if (row === null) throw new Problem('not-found', `There is no plan "${planId}".`);
  return planDocument(row);
}

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'POST',
    url,
    operationId: 'requestPlan',
    summary: 'Ask for a plan of a period',
    description:
      'Places every stay of the period that waits for a berth or is still to come. Answered at once: watch the plan at its Location. Nothing changes until it is accepted. With `changes` it is a what-if and cannot be.',
    tag,
    roles: planners,
    params: marinaParams,
    body: newPlanSchema,
    example: { period: { from: '2030-06-10T00:00:00-05:00', until: '2030-06-17T00:00:00-05:00' }, timeLimitS: 30 },
    idempotent: true,
    problems: ['faulty-document'],
    response: { 202: planSchema },
  }).handle(async ({ principal, body, now, idempotency }, services) => {
    const { marinaId, id: actor } = principal;
    const [from, until] = [new Date(body.period.from), new Date(body.period.until)];
    if (from >= until) {
      throw new Problem('invalid-input', 'The period must end after it begins.', {
        errors: [{ in: 'body', pointer: '/period/until', message: 'Must be after from.' }],
      });
    }
    const options = { marinaId, actor, kind: 'plan.requested', now, idempotency };
    const plan = await marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
      // Says at once what a change names wrongly; the worker asks again when it begins.
      if (isWhatIf(body)) await loadPlanQuestion(tx, services, marinaId, body, now);
      const row = await tx.plan.create({
        data: {
          marinaId,
          id: randomUUID(),
          state: 'queued',
          fromAt: from,
          untilAt: until,
          asked: plainJson(body),
          isWhatIf: isWhatIf(body),
          createdBy: actor,
          createdAt: new Date(now),
        },
      });
      await recordChange(null, { planId: row.id });
      return planDocument(row);
    });
    return { status: 202, body: plan, location: `/v1/marinas/${marinaId}/plans/${plan.id}` };
  }),
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listPlans',
    summary: 'List plans, newest first',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({ ...pageQuery }),
    response: { 200: plansSchema },
  }).handle(async ({ params, query }, { db }) => {
    const [createdAt, afterId] = decodeCursor(query.cursor, z.tuple([momentInCursor, id])) ?? [null, ''];
    const rows = await db.prisma.plan.findMany({
      where: {
        marinaId: params.marinaId,
        ...(createdAt === null
          ? {}
          : {
              OR: [{ createdAt: { lt: new Date(createdAt) } }, { createdAt: new Date(createdAt), id: { gt: afterId } }],
            }),
      },
      orderBy: [{ createdAt: 'desc' }, { id: 'asc' }],
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [row.createdAt.getTime(), row.id]);
    const items = page.items.map((row) => {
      const { result: _, ...document } = planDocument(row);
      return document;
    });
    return { status: 200, body: { items }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:planId`,
    operationId: 'readPlan',
    summary: 'Read a plan: its progress, and its result when it is done',
    tag,
    roles: everyRole,
    params: planParams,
    response: { 200: planSchema },
  }).handle(async ({ params }, services) => ({
    status: 200,
    body: await readPlan(services, params.marinaId, params.planId),
  })),
  defineRoute({
    method: 'POST',
    url: `${url}/:planId/stop`,
    operationId: 'stopPlan',
    summary: 'Stop working on a plan',
    description:
      'A plan that is worked on stops within a second, with the best that it had by then where there is one.',
    tag,
    roles: planners,
    params: planParams,
    response: { 200: planSchema },
    problems: ['wrong-state'],
  }).handle(async ({ params, now }, services) => {
    const { marinaId, planId } = params;
    const { state } = await readPlan(services, marinaId, planId);
    if (state !== 'queued' && state !== 'running')
      throw new Problem('wrong-state', `The plan is ${state}: there is nothing to stop.`);
    await services.db.prisma.$executeRaw(Prisma.sql`UPDATE plan SET stop_wanted = true,
        state = CASE WHEN state = 'queued' THEN 'stopped' ELSE state END,
        ended_at = CASE WHEN state = 'queued' THEN ${new Date(now)} ELSE ended_at END
      WHERE marina_id = ${marinaId} AND id = ${planId} AND state IN ('queued', 'running')`);
    return { status: 200, body: await readPlan(services, marinaId, planId) };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:planId/accept`,
    operationId: 'acceptPlan',
    summary: "Make a plan today's plan, all of it or nothing",
    tag,
    roles: ['harbormaster'],
    params: planParams,
    idempotent: true,
    response: { 200: planSchema },
    problems: ['wrong-state', 'stale-version', 'refused', 'double-use'],
  }).handle(async ({ principal, params, now, idempotency }, services) => ({
    status: 200,
    body: await acceptPlan(services, { principal, planId: params.planId, now, idempotency }),
  })),
];

import { z } from 'zod';
import type { Database, Tx } from '../db/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import { everyRole, type Principal } from '../http/access.ts';
import { marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';

/** How pages show lengths and times; the API itself always speaks metres and RFC 3339. */
export const displaySchema = z
  .strictObject({ lengths: z.enum(['feet', 'metres']).default('feet'), clock: z.enum(['12', '24']).default('12') })
  .meta({ id: 'Display' });

export type Display = z.output<typeof displaySchema>;

const url = '/v1/marinas/:marinaId/display';

/** How the marina's pages show lengths and times. Throws a Problem: `not-found`. */
export async function readDisplay(db: Tx, marinaId: string): Promise<Display> {
  const row = await db.marina.findUnique({ where: { id: marinaId }, select: { display: true } });
  if (row === null) throw new Problem('not-found', 'There is no such marina.');
  return displaySchema.parse(row.display);
}

async function putDisplay(
  db: Database,
  { principal, now, display }: { readonly principal: Principal; readonly now: number; readonly display: Display },
): Promise<Display> {
  const { marinaId, id: actor } = principal;
  return marinaTransaction(db, { marinaId, actor, kind: 'display.put', now }, async ({ tx, recordChange }) => {
    const before = await readDisplay(tx, marinaId);
    await tx.marina.update({ where: { id: marinaId }, data: { display } });
    await recordChange(before, display);
    return display;
  });
}

export const displayRoutes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'readDisplay',
    summary: 'Read how the pages show lengths and times',
    tag: 'Marina',
    roles: everyRole,
    params: marinaParams,
    response: { 200: displaySchema },
  }).handle(async ({ params }, { db }) => ({ status: 200, body: await readDisplay(db.prisma, params.marinaId) })),
  defineRoute({
    method: 'PUT',
    url,
    operationId: 'putDisplay',
    summary: 'Choose how the pages show lengths and times',
    description: 'A browser may choose otherwise for itself.',
    tag: 'Marina',
    roles: ['manager'],
    params: marinaParams,
    body: displaySchema,
    response: { 200: displaySchema },
  }).handle(async ({ principal, body, now }, { db }) => ({
    status: 200,
    body: await putDisplay(db, { principal, now, display: body }),
  })),
];

import { z } from 'zod';
import { rehouse, rehousedSchema } from '../berth-options/rehouse.ts';
import { everyRole, type Role } from '../http/access.ts';
import { id, instant } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { defineRoute, noContent, type RouteDefinition } from '../http/route.ts';
import { nowFitsSchema, whoFits } from '../stays/waiting-list.ts';
import { releaseAbsence, withdrawAbsence } from './absences.ts';
import { recallAbsence } from './recall-absence.ts';
import { absenceDocument, absenceSchema } from './schema.ts';
import { readHolding } from './stored-holding.ts';

const url = '/v1/marinas/:marinaId/holdings/:holdingId/absences';
const tag = 'Holdings';
// A holder who comes back early may stand on the dock: whoever meets them records it.
const staff: readonly Role[] = ['harbormaster', 'manager', 'dockhand'];
const holdingParams = z.strictObject({ marinaId: id, holdingId: id });
const absenceParams = z.strictObject({ marinaId: id, holdingId: id, absenceId: id });

export const absenceRoutes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listAbsences',
    summary: 'List the absences of a holding, earliest first',
    tag,
    roles: everyRole,
    params: holdingParams,
    response: { 200: z.strictObject({ items: z.array(absenceSchema) }) },
  }).handle(async ({ params }, { db }) => {
    const { absences } = await readHolding(db.prisma, params.marinaId, params.holdingId);
    return { status: 200, body: { items: absences.map(absenceDocument) } };
  }),
  defineRoute({
    method: 'POST',
    url,
    operationId: 'releaseAbsence',
    summary: 'Let transients use a held berth for a period',
    tag,
    roles: staff,
    params: holdingParams,
    body: z.strictObject({ from: instant, until: instant }),
    example: { from: '2030-07-01T12:00:00-05:00', until: '2030-07-15T12:00:00-05:00' },
    idempotent: true,
    response: { 201: z.strictObject({ ...absenceSchema.shape, nowFits: nowFitsSchema }) },
    problems: ['wrong-state'],
  }).handle(async ({ principal, params, body, now, idempotency }, services) => {
    const input = { holdingId: params.holdingId, ...body };
    const absence = await releaseAbsence(services, { principal, now, idempotency, input });
    const { marinaId, holdingId } = params;
    const { berthId } = await readHolding(services.db.prisma, marinaId, holdingId);
    const nowFits = await whoFits(
      services,
      { marinaId, now },
      { berthIds: [berthId], from: Date.parse(body.from), until: Date.parse(body.until) },
    );
    return { status: 201, body: { ...absence, nowFits } };
  }),
  defineRoute({
    method: 'DELETE',
    url: `${url}/:absenceId`,
    operationId: 'withdrawAbsence',
    summary: 'Take back an absence that nobody uses yet',
    tag,
    roles: staff,
    params: absenceParams,
    response: { 204: noContent },
    problems: ['in-use'],
  }).handle(async ({ principal, params, now }, services) => {
    const { holdingId, absenceId } = params;
    await withdrawAbsence(services, { principal, now, input: { holdingId, absenceId } });
    return { status: 204, body: undefined };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:absenceId/recall`,
    operationId: 'recallAbsence',
    summary: 'Record that a holder comes back early',
    description:
      "From `returnsAt` on the berth is the holder's. Shorter notice than agreed is recorded with a caution. Stays that lose the berth are listed and marked as needing one.",
    tag,
    roles: staff,
    params: absenceParams,
    body: z.strictObject({ returnsAt: instant }),
    example: { returnsAt: '2030-07-09T18:00:00-05:00' },
    idempotent: true,
    response: {
      200: z.strictObject({
        absence: absenceSchema,
        findings: z.array(findingSchema),
        displaced: z.array(rehousedSchema),
      }),
    },
  }).handle(async ({ principal, params, body, now, idempotency }, services) => {
    const { holdingId, absenceId } = params;
    const input = { holdingId, absenceId, returnsAt: body.returnsAt };
    const recalled = await recallAbsence(services, { principal, idempotency, now, input });
    const displaced = await rehouse(services, principal.marinaId, recalled.displaced, now);
    return { status: 200, body: { ...recalled, displaced } };
  }),
];

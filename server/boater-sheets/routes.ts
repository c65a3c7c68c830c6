import { z } from 'zod';
import { id, marinaParams } from '../http/fields.ts';
import { definePublicRoute, defineRoute, noContent, type RouteDefinition } from '../http/route.ts';
import { takeAnswers } from './answer.ts';
import { answersSchema, sheetParams, sheetSchema } from './schema.ts';
import { endLink, makeLink, readSheet, sheetNow } from './sheets.ts';

const tag = 'Boater sheet';
const stayParams = z.strictObject({ ...marinaParams.shape, stayId: id });
const url = '/v1/marinas/:marinaId/stays/:stayId/sheet';

export const madeLinkSchema = z.strictObject({
  path: z.string().describe('The link, shown once: give it to the boater alone.'),
  sheet: sheetSchema,
});

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'readStaySheet',
    summary: "Read a stay's sheet as its boater sees it",
    tag,
    roles: ['harbormaster', 'dockhand', 'manager', 'viewer'],
    params: stayParams,
    response: { 200: sheetSchema },
  }).handle(async ({ params, now }, services) => {
    return { status: 200, body: await sheetNow(services, params.marinaId, params.stayId, now) };
  }),
  defineRoute({
    method: 'POST',
    url,
    operationId: 'makeSheetLink',
    summary: "Make a link to a stay's sheet; an older link ends",
    tag,
    roles: ['harbormaster'],
    params: stayParams,
    response: { 201: madeLinkSchema },
  }).handle(async ({ principal, params, now }, services) => {
    return { status: 201, body: await makeLink(services, { principal, now, stayId: params.stayId }) };
  }),
  defineRoute({
    method: 'DELETE',
    url,
    operationId: 'endSheetLink',
    summary: "End the link to a stay's sheet",
    tag,
    roles: ['harbormaster'],
    params: stayParams,
    response: { 204: noContent },
  }).handle(async ({ principal, params, now }, services) => {
    await endLink(services, { principal, now, stayId: params.stayId });
    return { status: 204, body: undefined };
  }),
  definePublicRoute({
    method: 'GET',
    url: '/v1/sheets/:secret',
    operationId: 'readSheet',
    summary: 'Read the sheet behind a link',
    description: 'Where the plan has changed since it was last read, the sheet is issued anew and says what changed.',
    tag,
    params: sheetParams,
    response: { 200: sheetSchema },
    problems: ['not-found'],
  }).handle(async ({ params, now }, services) => {
    return { status: 200, body: await readSheet(services, { secret: params.secret, now }) };
  }),
  definePublicRoute({
    method: 'POST',
    url: '/v1/sheets/:secret/answers',
    operationId: 'answerSheet',
    summary: 'Answer what the marina has to know',
    description: 'The stay is judged anew and the desk alerted. What a dockhand has seen stands.',
    tag,
    params: sheetParams,
    body: answersSchema,
    example: { inlets: [{ id: 'I1', configurationId: 'SS2-50' }], frequenciesHz: [60] },
    response: { 200: sheetSchema },
    problems: ['not-found', 'wrong-state'],
  }).handle(async ({ params, body, now }, services) => {
    return { status: 200, body: await takeAnswers(services, { secret: params.secret, now, answers: body }) };
  }),
];

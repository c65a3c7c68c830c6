import { z } from 'zod';
import { everyRole } from '../http/access.ts';
import { marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition, textOrStream } from '../http/route.ts';
import { eventStream } from './event-stream.ts';

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/events',
    operationId: 'watchChanges',
    summary: 'Watch what changes, as server-sent events',
    description:
      'Each `change` event has the number of the change as its id, its kind, and the ids that it touched; read the changed things themselves. `Last-Event-ID` (or `after`) resumes after a number. The first event is `hello` with the number where the stream begins. A stream ends after a quarter of an hour: connect again.',
    tag: 'Changes',
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({
      after: z.coerce
        .number()
        .int()
        .min(0)
        .max(2 ** 31 - 1)
        .optional()
        .describe('Left out: from now on.'),
    }),
    session: true,
    contentType: 'text/event-stream; charset=utf-8',
    response: { 200: textOrStream },
  }).handle(async ({ params, query, lastEventId }, { events }) => {
    const afterSeq = lastEventId ?? query.after ?? null;
    return { status: 200, body: await eventStream(events, { marinaId: params.marinaId, afterSeq }) };
  }),
];

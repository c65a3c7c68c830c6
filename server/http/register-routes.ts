import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.ts';
import { looseParts, serialiserSchema } from './json-schema.ts';
import { isJson, type RouteDefinition } from './route.ts';
import { etagOf, isUnchanged } from './version.ts';

/** Registers routes. Throws when one is not sound: a loose input schema, or a `:name` in the path without a field. */
export function registerRoutes(app: FastifyInstance, routes: readonly RouteDefinition[], services: Services): void {
  for (const route of routes) registerRoute(app, route, services);
}

function registerRoute(app: FastifyInstance, route: RouteDefinition, services: Services): void {
  requireSound(route);
  app.route({
    method: route.method,
    url: route.url,
    config: { roles: route.roles, streams: route.streams, session: route.session ?? false },
    schema: { response: serialisers(route) },
    ...(route.bodyLimit === undefined ? {} : { bodyLimit: route.bodyLimit }),
    handler: async (request, reply) => {
      const answer = await route.answer(request, services);
      if (answer.version !== undefined) {
        reply.header('etag', etagOf(answer.version));
        const mayBeUnchanged = request.method === 'GET' && !answer.versionOfPart;
        if (mayBeUnchanged && isUnchanged(request.headers['if-none-match'], answer.version)) {
          return reply.code(304).send();
        }
      }
      if (answer.location !== undefined) reply.header('location', answer.location);
      if (answer.nextCursor) reply.header('link', nextLink(request, answer.nextCursor));
      if (answer.fileName !== undefined) {
        reply.header('content-disposition', `attachment; filename="${answer.fileName}"`);
      }
      if (route.contentType !== undefined && answer.status === 200) {
        return reply.code(200).type(route.contentType).send(answer.body);
      }
      return send(reply, answer.status, answer.body);
    },
  });
}

function send(reply: FastifyReply, status: number, body: unknown): FastifyReply {
  reply.code(status);
  return body === undefined ? reply.send() : reply.type('application/json; charset=utf-8').send(body);
}

function serialisers(route: RouteDefinition): Record<string, unknown> {
  const declared = Object.entries(route.response).filter(([, schema]) => isJson(schema));
  return Object.fromEntries(declared.map(([status, schema]) => [status, serialiserSchema(schema)]));
}

/** RFC 8288; the address is relative, so that it holds behind any proxy. */
function nextLink(request: FastifyRequest, cursor: string): string {
  const url = new URL(request.url, 'http://localhost');
  url.searchParams.set('cursor', cursor);
  return `<${url.pathname}${url.search}>; rel="next"`;
}

function requireSound(route: RouteDefinition): void {
  const name = `${route.method} ${route.url}`;
  if (route.roles === undefined || route.roles.length === 0) throw new Error(`${name} declares no role.`);
  const inputs = [route.params, route.query, route.body].filter((schema) => schema !== undefined);
  const loose = inputs.flatMap(looseParts);
  if (loose.length > 0) throw new Error(`${name} takes input that is not closed: ${loose.join('; ')}.`);
}

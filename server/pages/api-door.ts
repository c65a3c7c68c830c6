import { Readable } from 'node:stream';
import type { z } from 'zod';
import { Problem } from '../errors.ts';
import type { Principal, Role } from '../http/access.ts';
import type { RouteDefinition } from '../http/route.ts';
import { etagOf } from '../http/version.ts';
import type { Services } from '../services.ts';

/** What a page sends along with a request to the API. */
export interface Asked {
  /** Fields of the path; `marinaId` is added. */
  readonly params?: Readonly<Record<string, string>>;
  readonly query?: Readonly<Record<string, string | undefined>>;
  readonly body?: unknown;
  /** Lines of text, for a route with `streams`. */
  readonly csv?: string;
  /** The version that the change is based on. */
  readonly version?: number | null;
}

export interface Answered<Body> {
  readonly body: Body;
  readonly version: number | null;
  readonly nextCursor: string | null;
}

/**
 * The API as a page uses it: the routes' own declaration of roles, validation, command and problems, without a socket.
 * So no page can do what the API cannot.
 */
export interface Api {
  /** Whether whoever asks has a role of the operation. For what a page offers; `ask` checks again. */
  allows(operationId: string): boolean;
  /**
   * Sends one request. `schema` is the schema that the operation declares for its answer: the same object, so that the
   * types are true. Throws the operation's Problems.
   * @example const { body } = await api.ask('readStay', stayWithAssignmentsSchema, { params: { stayId } });
   */
  ask<Schema extends z.ZodType>(
    operationId: string,
    schema: Schema,
    asked?: Asked,
  ): Promise<Answered<z.output<Schema>>>;
}

export type OpenApi = (principal: Principal | null, idempotencyKey: string | null) => Api;

/** Makes the door to a list of routes. */
export function apiDoor(routes: readonly RouteDefinition[], services: Services): OpenApi {
  const byId = new Map(routes.map((route) => [route.operationId, route]));
  const routeOf = (operationId: string) => {
    const route = byId.get(operationId);
    if (route === undefined) throw new Error(`The API has no operation "${operationId}".`);
    return route;
  };
  return (principal, idempotencyKey) => ({
    allows: (operationId) => mayUse(routeOf(operationId), principal?.role ?? null),
    ask: async (operationId, schema, asked = {}) => {
      const route = routeOf(operationId);
      if (!Object.values(route.response).includes(schema)) {
        throw new Error(`"${operationId}" does not declare that answer.`);
      }
      if (!mayUse(route, principal?.role ?? null)) {
        throw new Problem('forbidden', `The role "${principal?.role ?? 'nobody'}" may not do this.`);
      }
      const params = { ...(principal && { marinaId: principal.marinaId }), ...asked.params };
      const answer = await route.answer(
        {
          method: route.method,
          url: filled(route.url, params),
          params: pathFields(route.url, params),
          query: defined(asked.query ?? {}),
          body: asked.csv === undefined ? asked.body : Readable.from([Buffer.from(asked.csv)]),
          headers: {
            ...(asked.csv === undefined ? {} : { 'content-type': 'text/csv' }),
            ...(asked.version == null ? {} : { 'if-match': etagOf(asked.version) }),
            // One form may lead to several requests: each has its own key, the same when the form is sent again.
            ...(route.idempotent && idempotencyKey ? { 'idempotency-key': `${idempotencyKey}.${operationId}` } : {}),
          },
          principal,
        },
        services,
      );
      return {
        // The route's own types hold its answer to the schema that it declares.
        body: answer.body as z.output<typeof schema>,
        version: answer.version ?? null,
        nextCursor: answer.nextCursor ?? null,
      };
    },
  });
}

function mayUse({ roles }: RouteDefinition, role: Role | null): boolean {
  return roles === 'public' || (role !== null && roles.includes(role));
}

function pathFields(url: string, params: Readonly<Record<string, string>>): Record<string, string> | undefined {
  const names = [...url.matchAll(/:(\w+)/g)].flatMap(([, name]) => name ?? []);
  if (names.length === 0) return {};
  return Object.fromEntries(names.map((name) => [name, params[name] ?? '']));
}

function filled(url: string, params: Readonly<Record<string, string>>): string {
  return url.replaceAll(/:(\w+)/g, (_, name: string) => encodeURIComponent(params[name] ?? ''));
}

function defined(query: Readonly<Record<string, string | undefined>>): Record<string, string> {
  const given = Object.entries(query).flatMap(([name, value]) => (value === undefined ? [] : [[name, value] as const]));
  return Object.fromEntries(given);
}

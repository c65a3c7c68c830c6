import { Readable } from 'node:stream';
import { z } from 'zod';
import type { Idempotency } from '../db/marina-transaction.ts';
import { type InputError, Problem, type ProblemName } from '../errors.ts';
import type { Services } from '../services.ts';
import type { Principal, Role } from './access.ts';
import { mayCall, mayHoldContacts, withoutContacts } from './contacts.ts';
import { idempotencyOf, parseIdempotencyKey } from './idempotency-key.ts';
import { throwIfInvalid, validatePart } from './validation.ts';
import { parseIfMatch, type VersionCondition } from './version.ts';

type Method = 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';
/** What may come as a stream of lines. */
export const streamTypes = ['text/csv', 'application/x-ndjson'] as const;
type StreamType = (typeof streamTypes)[number];
type Schemas = Readonly<Record<number, z.ZodType>>;

/** Answers may be built from core's read-only values. */
type ReadonlyDeep<T> = T extends object ? { readonly [K in keyof T]: ReadonlyDeep<T[K]> } : T;

/** What a handler returns: one of the declared statuses with its body, and what becomes headers. */
export type Answer<Responses extends Schemas> = {
  [Status in keyof Responses & number]: {
    readonly status: Status;
    readonly body: ReadonlyDeep<z.output<Responses[Status]>>;
    /** Becomes the ETag; a GET whose If-None-Match names it answers 304. */
    readonly version?: number | undefined;
    /** The version is that of a part of the body: other parts may change without it, so a GET never answers 304. */
    readonly versionOfPart?: boolean | undefined;
    /** Path of what was created. */
    readonly location?: string | undefined;
    /** Becomes the `next` link; null on the last page. */
    readonly nextCursor?: string | null | undefined;
    /** Name under which a browser stores the answer. */
    readonly fileName?: string | undefined;
  };
}[keyof Responses & number];

interface AnyAnswer {
  readonly status: number;
  readonly body: unknown;
  readonly version?: number | undefined;
  readonly versionOfPart?: boolean | undefined;
  readonly location?: string | undefined;
  readonly nextCursor?: string | null | undefined;
  readonly fileName?: string | undefined;
}

/** What every handler is given, validated. */
export interface HandlerInput<Params, Query, Body> {
  readonly params: Params;
  readonly query: Query;
  readonly body: Body;
  /** The bytes of the body as they come, on a route with `streams`; null elsewhere. */
  readonly stream: Readable | null;
  readonly streamType: StreamType | null;
  /** From If-Match; never null on a route with `ifMatch: true`. Give it to `requireVersion`. */
  readonly ifVersion: VersionCondition | null;
  /** From Idempotency-Key, on a route with `idempotent: true`. Give it to `marinaTransaction`. */
  readonly idempotency: Idempotency | null;
  /** The same on a route with `streams`, where the body is known only once it is read: give it what was read. */
  readonly idempotencyOf: (body: string) => Idempotency | null;
  /** From Last-Event-ID: the last event that a client of a stream has seen. */
  readonly lastEventId: number | null;
  /** Time of the request, epoch milliseconds: the only clock a handler uses. */
  readonly now: number;
}

interface RouteShape<
  Params extends z.ZodType,
  Query extends z.ZodType,
  Body extends z.ZodType,
  Responses extends Schemas,
> {
  readonly method: Method;
  /** `/v1/marinas/:marinaId/stays/:stayId`; every `:name` is a field of `params`. */
  readonly url: string;
  /** Unique: `assignStay`. */
  readonly operationId: string;
  /** One line, imperative. */
  readonly summary: string;
  readonly description?: string;
  /** The group it is listed under. */
  readonly tag: string;
  /** Strict objects, all of them: unknown fields are refused. Strings have a greatest length. */
  readonly params?: Params;
  readonly query?: Query;
  readonly body?: Body;
  /** Body schemas by status; `noContent` for 204. Serialised by the schema: fields it does not name are dropped. */
  readonly response: Responses;
  /** The change needs If-Match: 428 without, 412 when stale. */
  readonly ifMatch?: boolean;
  /** The change accepts Idempotency-Key. */
  readonly idempotent?: boolean;
  /** Problems of its own, beyond those that follow from the declaration. */
  readonly problems?: readonly ProblemName[];
  /** Kinds of body that are not JSON and are handed over as they come: it may be larger than memory. Instead of `body`. */
  readonly streams?: readonly StreamType[];
  /** Media type of the 200 answer where it is no JSON; its schema is `textOrStream`. */
  readonly contentType?: string;
  /** A GET that also takes the session cookie: what a page opens by itself, an event stream or a download. */
  readonly session?: boolean;
  /** Largest body in bytes, where the general 5 MB is wrong. */
  readonly bodyLimit?: number;
  /** Example body, shown in the API's description; a test validates it. */
  readonly example?: z.input<Body>;
}

/** A route as the service registers it: its types are checked where it was defined. */
export interface RouteDefinition extends RouteShape<z.ZodType, z.ZodType, z.ZodType, Schemas> {
  readonly roles: readonly Role[] | 'public';
  readonly answer: (request: IncomingRequest, services: Services) => Promise<AnyAnswer>;
}

/** What of an HTTP request a route reads. */
export interface IncomingRequest {
  readonly method: string;
  readonly url: string;
  readonly params: unknown;
  readonly query: unknown;
  readonly body: unknown;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
  readonly principal: Principal | null;
}

const noFields = z.strictObject({});
const noBody = z.undefined();
type NoFields = typeof noFields;
type NoBody = typeof noBody;

/** Response schema of a 204. */
export const noContent = z.undefined();

/** Response schema of an answer that is no JSON. Its handler itself leaves phone numbers out for a viewer. */
export const textOrStream = z.union([z.string(), z.custom<Readable>((value) => value instanceof Readable)]);

export function isJson(schema: z.ZodType): boolean {
  return schema !== noContent && schema !== textOrStream;
}

/** A declared route that still needs its handler. */
interface Declared<Input, Responses extends Schemas> {
  handle(handler: (input: Input, services: Services) => Promise<Answer<Responses>>): RouteDefinition;
}

/**
 * Declares a route for the named roles. A route under `/v1/marinas/:marinaId` answers 404 to a token of another marina.
 * The handler is given separately, so that the compiler knows the declared answers when it reads it.
 *
 * @example
 * const readDock = defineRoute({
 *   method: 'GET', url: '/v1/marinas/:marinaId/docks/:dockId', operationId: 'readDock', summary: 'Read a dock',
 *   tag: 'Inventory', roles: everyRole, params: z.strictObject({ marinaId: id, dockId: id }),
 *   response: { 200: dockSchema },
 * }).handle(async ({ params }, { db }) => {
 *   const dock = await loadDock(db, params);
 *   return { status: 200, body: dock, version: dock.version };
 * });
 */
export function defineRoute<
  Responses extends Schemas,
  Params extends z.ZodType = NoFields,
  Query extends z.ZodType = NoFields,
  Body extends z.ZodType = NoBody,
>(
  route: RouteShape<Params, Query, Body, Responses> & { readonly roles: readonly Role[] },
): Declared<
  HandlerInput<z.output<Params>, z.output<Query>, z.output<Body>> & { readonly principal: Principal },
  Responses
> {
  const holdsContacts = Object.values(route.response).some((schema) => isJson(schema) && mayHoldContacts(schema));
  return {
    handle: (handler) => ({
      ...route,
      answer: async (request, services) => {
        const { principal } = request;
        if (principal === null) throw new Problem('unauthenticated', 'This path needs a token.');
        const answer = await handler({ ...readInput(route, request, services.clock()), principal }, services);
        return holdsContacts && !mayCall(principal.role) ? withoutContacts(answer) : answer;
      },
    }),
  };
}

/** Declares a route that needs no token. */
export function definePublicRoute<
  Responses extends Schemas,
  Params extends z.ZodType = NoFields,
  Query extends z.ZodType = NoFields,
  Body extends z.ZodType = NoBody,
>(
  route: RouteShape<Params, Query, Body, Responses>,
): Declared<HandlerInput<z.output<Params>, z.output<Query>, z.output<Body>>, Responses> {
  return {
    handle: (handler) => ({
      ...route,
      roles: 'public',
      answer: async (request, services) => handler(readInput(route, request, services.clock()), services),
    }),
  };
}

function readInput<
  Params extends z.ZodType,
  Query extends z.ZodType,
  Body extends z.ZodType,
  Responses extends Schemas,
>(
  route: RouteShape<Params, Query, Body, Responses>,
  request: IncomingRequest,
  now: number,
): HandlerInput<z.output<Params>, z.output<Query>, z.output<Body>> {
  const errors: InputError[] = [];
  const stream = request.body instanceof Readable ? request.body : null;
  if (route.streams !== undefined && stream === null) {
    throw new Problem('unsupported-media-type', `Send one of: ${route.streams.join(', ')}.`);
  }
  // Where a schema is left out, its type is that of the default: the assertions say no more than that.
  const params = validatePart(
    { part: 'path', schema: (route.params ?? noFields) as Params, value: request.params },
    errors,
  );
  const query = validatePart(
    { part: 'query', schema: (route.query ?? noFields) as Query, value: request.query },
    errors,
  );
  const body = validatePart(
    {
      part: 'body',
      schema: (route.body ?? noBody) as Body,
      value: stream === null ? (request.body ?? undefined) : undefined,
    },
    errors,
  );
  throwIfInvalid(errors);
  const key = parseIdempotencyKey(headerOf(request, 'idempotency-key'));
  if (key !== null && !route.idempotent && request.method === 'POST') {
    throw new Problem('invalid-input', 'This request does not take an Idempotency-Key. Leave the header out.', {
      errors: [{ in: 'header', pointer: '/idempotency-key', message: 'Not taken here.' }],
    });
  }
  const ifVersion = parseIfMatch(headerOf(request, 'if-match'));
  if (route.ifMatch && ifVersion === null) {
    throw new Problem('version-required', 'Send If-Match with the ETag of the last read.');
  }
  const idempotencyFor = (sent: unknown) =>
    route.idempotent ? idempotencyOf(key, request.method, request.url, sent) : null;
  const type = headerOf(request, 'content-type')?.split(';')[0]?.trim().toLowerCase();
  const streamType = stream === null ? null : (streamTypes.find((each) => each === type) ?? null);
  // throwIfInvalid has thrown where one of them failed to parse.
  return {
    params,
    query,
    body,
    stream,
    streamType,
    ifVersion,
    idempotency: stream === null ? idempotencyFor(body) : null,
    idempotencyOf: idempotencyFor,
    lastEventId: lastEventIdOf(request),
    now,
  } as HandlerInput<z.output<Params>, z.output<Query>, z.output<Body>>;
}

/** Ids of events are numbers of changes; anything else is nobody's id. */
function lastEventIdOf(request: IncomingRequest): number | null {
  const header = headerOf(request, 'last-event-id');
  return header !== undefined && /^\d{1,9}$/.test(header) ? Number(header) : null;
}

function headerOf(request: IncomingRequest, name: string): string | undefined {
  const value = request.headers[name];
  return Array.isArray(value) ? value.join(', ') : value;
}

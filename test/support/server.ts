import type { FastifyInstance } from 'fastify';
import { buildApp } from '../../server/app.ts';
import type { Database } from '../../server/db/client.ts';
import { type Role, roles } from '../../server/http/access.ts';
import { createMarina } from '../../server/marinas/create-marina.ts';
import { createServices, type Services } from '../../server/services.ts';
import { openTestDatabase } from './database.ts';

/** What a request was answered. */
export interface Reply {
  readonly status: number;
  readonly headers: Readonly<Record<string, string | string[] | number | undefined>>;
  /** The parsed JSON; the text where it is none. Tests look into it freely. */
  // biome-ignore lint/suspicious/noExplicitAny: a test reads answers of every shape and asserts on them
  readonly body: any;
}

export interface CallOptions {
  /** Sent as JSON. */
  readonly body?: unknown;
  readonly headers?: Readonly<Record<string, string>>;
}

/**
 * The service in this process on a database of its own, with the marina `north` and another one, `south`. Requests do
 * not pass a socket, everything else is real.
 */
export interface TestServer {
  readonly app: FastifyInstance;
  readonly db: Database;
  readonly services: Services;
  /** Path of the marina: `/v1/marinas/north`. */
  readonly marina: string;
  readonly tokens: Readonly<Record<Role, string>>;
  /** A token of every role of the marina `south`. */
  readonly foreignTokens: Readonly<Record<Role, string>>;
  /** The clock that handlers see; tests may set it. Epoch milliseconds. */
  readonly clock: { now: number };
  /**
   * Sends a request with the token of a role (null: none). A path that does not begin with `/v1`, `/health` or
   * `/problems` is one of the marina.
   * @example await server.call('harbormaster', 'POST', '/stays', { body: call })
   */
  call(role: Role | null, method: string, path: string, options?: CallOptions): Promise<Reply>;
  close(): Promise<void>;
}

/** 2030-06-10T12:00:00Z, a Monday. */
export const testNow = Date.UTC(2030, 5, 10, 12);

export async function startTestServer(): Promise<TestServer> {
  const database = await openTestDatabase();
  const { db } = database;
  const clock = { now: testNow };
  const tokens = await createTestMarina(db, 'north', 'North Quay');
  const foreignTokens = await createTestMarina(db, 'south', 'South Quay');
  const options = { logLevel: 'silent', rateLimitPerMinute: 0, trustProxy: false } as const;
  const services = createServices({ db, clock: () => clock.now });
  const app = await buildApp(services, options);
  const marina = '/v1/marinas/north';
  return {
    app,
    db,
    services,
    marina,
    tokens,
    foreignTokens,
    clock,
    call: (role, method, path, options = {}) => {
      const url = /^\/(v1|health|problems)\b/.test(path) ? path : `${marina}${path}`;
      return call(app, role === null ? null : tokens[role], method, url, options);
    },
    close: async () => {
      await app.close();
      await database.close();
    },
  };
}

/** Sends one request with any token. */
export async function call(
  app: FastifyInstance,
  token: string | null,
  method: string,
  url: string,
  { body, headers }: CallOptions = {},
): Promise<Reply> {
  const answer = await app.inject({
    // Tests also send methods that the service does not know.
    method: method as 'GET',
    url,
    headers: {
      ...(token === null ? {} : { authorization: `Bearer ${token}` }),
      ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      ...headers,
    },
    ...(body === undefined ? {} : { payload: JSON.stringify(body) }),
  });
  const isJson = String(answer.headers['content-type'] ?? '').includes('json');
  return { status: answer.statusCode, headers: answer.headers, body: isJson ? answer.json() : answer.payload };
}

async function createTestMarina(db: Database, id: string, name: string): Promise<Record<Role, string>> {
  const marina = { id, name, timeZone: 'America/Chicago', roles };
  const tokens = await createMarina(db, marina, testNow);
  const of = (role: Role) => tokens.find((token) => token.role === role)?.token ?? '';
  return {
    harbormaster: of('harbormaster'),
    dockhand: of('dockhand'),
    manager: of('manager'),
    viewer: of('viewer'),
  };
}

import type { Inventory } from '../../../core/inventory/inventory.ts';
import type { Role } from '../../../server/http/access.ts';
import { sampleInventory } from '../../support/sample-inventory.ts';
import { type Reply, startTestServer, type TestServer } from '../../support/server.ts';

/** A test server whose marina holds the sample inventory, put there over HTTP. */
export async function startWithSample(): Promise<TestServer> {
  const server = await startTestServer();
  const reply = await putInventory(server, sampleInventory());
  if (reply.status !== 200) throw new Error(JSON.stringify(reply.body));
  return server;
}

/** PUT of a whole document on the present revision. */
export async function putInventory(
  server: TestServer,
  document: Inventory | Readonly<Record<string, unknown>>,
  { role = 'manager', query = '' }: { readonly role?: Role; readonly query?: string } = {},
): Promise<Reply> {
  return write(server, role, 'PUT', `/inventory${query}`, document);
}

/** A write with If-Match of the present revision. */
export async function write(
  server: TestServer,
  role: Role,
  method: string,
  path: string,
  body?: unknown,
): Promise<Reply> {
  const headers = { 'if-match': await etag(server) };
  return server.call(role, method, path, { headers, ...(body === undefined ? {} : { body }) });
}

export async function etag(server: TestServer): Promise<string> {
  const reply = await server.call('viewer', 'GET', '/settings');
  return String(reply.headers.etag);
}

export async function seqOf(server: TestServer): Promise<number> {
  return (await server.call('viewer', 'GET', '')).body.seq;
}

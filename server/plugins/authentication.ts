import { createHash, randomBytes } from 'node:crypto';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { Database } from '../db/client.ts';
import { Problem } from '../errors.ts';
import { type Principal, roles } from '../http/access.ts';
import type { Services } from '../services.ts';
import { principalOfSession, sessionCookie } from '../sign-in/sessions.ts';
import type { CountRefusal } from './rate-limit.ts';

declare module 'fastify' {
  interface FastifyRequest {
    /** Who sent it; null on public routes. */
    principal: Principal | null;
  }
}

/** A new token: shown once, stored only as its hash. */
export function newToken(): { token: string; hash: string } {
  const token = `qw_${randomBytes(32).toString('base64url')}`;
  return { token, hash: hashToken(token) };
}

/** Tokens are long and random, so a plain hash is enough: there is nothing to guess from. */
export function hashToken(token: string): string {
  return createHash('sha256').update(token).digest('hex');
}

/**
 * Answers 401 without a valid bearer token or, on a page, without a session, 404 for another marina's paths (a token must not learn which marinas
 * exist), and 403 when the role is not among the route's.
 */
export function addAuthentication(
  app: FastifyInstance,
  { db, clock }: Pick<Services, 'db' | 'clock'>,
  countRefusal: CountRefusal,
): void {
  app.decorateRequest('principal', null);
  app.addHook('onRequest', async (request) => {
    const { roles: allowed, page, session } = request.routeOptions.config;
    if (request.is404) return;
    if (allowed === undefined) throw new Error(`${request.routeOptions.url} declares no role.`);
    if (page || (session && request.headers.authorization === undefined)) {
      request.principal = await principalOfSession(db, request.cookies[sessionCookie] ?? '', clock());
      if (page && request.principal === null && allowed !== 'public') {
        throw new Problem('unauthenticated', 'Nobody is signed in. Sign in and open the page again.');
      }
    }
    if (allowed === 'public') return;
    const principal = request.principal ?? (await readPrincipal(request, db));
    if (principal instanceof Problem) {
      await countRefusal(request);
      throw principal;
    }
    request.principal = principal;
    requireOwnMarina(request, principal);
    if (!allowed.includes(principal.role)) {
      throw new Problem(
        'forbidden',
        `The role "${principal.role}" may not do this. It takes one of: ${allowed.join(', ')}.`,
      );
    }
  });
}

async function readPrincipal(request: FastifyRequest, db: Database): Promise<Principal | Problem> {
  const token = /^bearer +(qw_[\w-]{20,100})$/i.exec(request.headers.authorization ?? '')?.[1];
  if (token === undefined) {
    return unauthenticated('Send the header "Authorization: Bearer qw_...".', 'Bearer realm="quaywatt"');
  }
  const found = await db.pool.query<{ marina_id: string; id: string; role: string; name: string }>(
    'SELECT marina_id, id, role, name FROM token WHERE hash = $1 AND revoked_at IS NULL',
    [hashToken(token)],
  );
  const row = found.rows[0];
  const role = roles.find((known) => known === row?.role);
  if (row === undefined || role === undefined) {
    return unauthenticated('The token is unknown or revoked.', 'Bearer realm="quaywatt", error="invalid_token"');
  }
  return { id: `token:${row.id}`, marinaId: row.marina_id, role, name: row.name };
}

function unauthenticated(detail: string, challenge: string): Problem {
  return new Problem('unauthenticated', detail, { headers: { 'www-authenticate': challenge } });
}

function requireOwnMarina(request: FastifyRequest, principal: Principal): void {
  const { params } = request;
  if (typeof params !== 'object' || params === null || !('marinaId' in params)) return;
  if (params.marinaId !== principal.marinaId) throw new Problem('not-found', 'There is no such marina.');
}

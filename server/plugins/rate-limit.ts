import rateLimit from '@fastify/rate-limit';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { Problem } from '../errors.ts';

/** Counts a request whose token or password was refused; throws once its address has sent too many. */
export type CountRefusal = (request: FastifyRequest) => Promise<void>;

interface Refusals {
  readonly ofToken: CountRefusal;
  /** Stricter: people choose passwords. */
  readonly ofPassword: CountRefusal;
}

const passwordsPerMinute = 20;

/**
 * Limits requests for each token, and for each address where there is no token. Refused tokens count against the
 * address, or guessing would be free. Counts are kept by each replica for itself. 0: no limit.
 */
export async function addRateLimit(app: FastifyInstance, perMinute: number): Promise<Refusals> {
  if (perMinute === 0) return { ofToken: async () => {}, ofPassword: async () => {} };
  const window = { max: perMinute, timeWindow: 60_000 };
  await app.register(rateLimit, {
    ...window,
    // After authentication, so that the token is known.
    hook: 'preValidation',
    keyGenerator: (request) => request.principal?.id ?? request.ip,
    errorResponseBuilder: (_request, { ttl }) => tooMany(ttl),
  });
  const countIn = (name: string, max: number): CountRefusal => {
    const limitAddress = app.createRateLimit({ ...window, max, keyGenerator: (request) => `${name}:${request.ip}` });
    return async (request) => {
      const count = await limitAddress(request);
      if (!count.isAllowed && count.isExceeded) throw tooMany(count.ttl);
    };
  };
  return {
    ofToken: countIn('token', perMinute),
    ofPassword: countIn('password', Math.min(perMinute, passwordsPerMinute)),
  };
}

function tooMany(ttlMs: number): Problem {
  const seconds = Math.max(1, Math.ceil(ttlMs / 1000));
  return new Problem('too-many-requests', `The limit is reached. Wait ${seconds} s.`, {
    headers: { 'retry-after': String(seconds) },
  });
}

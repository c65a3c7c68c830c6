import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Database } from '../db/client.ts';
import { type Display, displaySchema } from '../marinas/display.ts';
import { closeSession, sessionCookie, sessionDays } from '../sign-in/sessions.ts';

const displayCookie = 'qw_display';

/** What an answer changes in the browser. */
export interface CookieChange {
  /** A new session; null ends the present one. */
  readonly session?: string | null;
  readonly display?: Display;
}

export async function changeCookies(
  { session, display }: CookieChange,
  request: FastifyRequest,
  reply: FastifyReply,
  db: Database,
): Promise<void> {
  // A Secure cookie would never come back over plain HTTP, which a marina's own network may be.
  const cookie = { path: '/', httpOnly: true, sameSite: 'lax', secure: request.protocol === 'https' } as const;
  if (session !== undefined) {
    const before = request.cookies[sessionCookie];
    if (before !== undefined) await closeSession(db, before);
    if (session === null) reply.clearCookie(sessionCookie, cookie);
    else reply.setCookie(sessionCookie, session, { ...cookie, maxAge: sessionDays * 86_400 });
  }
  if (display !== undefined) {
    reply.setCookie(displayCookie, `${display.lengths}.${display.clock}`, { ...cookie, maxAge: 31_536_000 });
  }
}

/** How this browser wants lengths and times shown; else as the marina does. */
export function displayOf(request: FastifyRequest, marinas: unknown): Display {
  const [lengths, clock] = (request.cookies[displayCookie] ?? '').split('.');
  const own = displaySchema.safeParse({ lengths, clock });
  if (lengths !== undefined && clock !== undefined && own.success) return own.data;
  return displaySchema.parse(marinas ?? {});
}

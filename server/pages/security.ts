import type { FastifyReply, FastifyRequest } from 'fastify';
import { Problem } from '../errors.ts';

/** Scripts, styles and requests of this service only; nothing inline, nothing evaluated, in nobody's frame. */
const contentSecurityPolicy = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self'",
  "connect-src 'self'",
  "form-action 'self'",
  "base-uri 'none'",
  "frame-ancestors 'none'",
].join('; ');

export function setPageHeaders(reply: FastifyReply): void {
  reply.header('content-security-policy', contentSecurityPolicy);
  // With `no-referrer` browsers would send `Origin: null` with forms.
  reply.header('referrer-policy', 'same-origin');
  reply.header('cross-origin-opener-policy', 'same-origin');
}

/**
 * Refuses a form that another site sent with this person's cookie. Browsers name the origin of every form that is
 * posted, and no page can forge it; so no token in the form is needed, and it works on plain HTTP.
 * @throws Problem `forbidden`
 */
export function requireSameOrigin(request: FastifyRequest): void {
  const { origin } = request.headers;
  if (origin === undefined || !URL.canParse(origin) || new URL(origin).host !== request.host) {
    throw new Problem(
      'forbidden',
      'The form was not sent from a page of this service. Open the page and send it again.',
    );
  }
}

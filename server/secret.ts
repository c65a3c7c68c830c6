import { randomBytes } from 'node:crypto';
import { hashToken } from './plugins/authentication.ts';

/** The secret of a link: 256 random bits, shown once and stored only as its hash. Its kind tells people what it opens. */
export function newSecret(kind: 'qwsheet' | 'qwcal'): { readonly secret: string; readonly hash: string } {
  const secret = `${kind}_${randomBytes(32).toString('base64url')}`;
  return { secret, hash: hashToken(secret) };
}

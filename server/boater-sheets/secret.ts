import { randomBytes } from 'node:crypto';
import { hashToken } from '../plugins/authentication.ts';

/** The secret of a link: 256 random bits, shown once and stored only as its hash. */
export function newSecret(): { readonly secret: string; readonly hash: string } {
  const secret = `qwsheet_${randomBytes(32).toString('base64url')}`;
  return { secret, hash: hashToken(secret) };
}

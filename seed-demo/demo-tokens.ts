import type { Database } from '../server/db/client.ts';
import { type Principal, type Role, roles } from '../server/http/access.ts';
import { createToken } from '../server/tokens/create-token.ts';
import { revokeToken } from '../server/tokens/revoke-token.ts';

const name = 'Demo';

/** One new token a role. Tokens are stored as hashes, so those of earlier runs cannot be shown again: they are revoked. */
export async function renewDemoTokens(
  db: Database,
  marinaId: string,
  now: number,
): Promise<{ readonly role: Role; readonly token: string }[]> {
  const principal: Principal = { id: 'demo', marinaId, role: 'manager', name };
  const old = await db.prisma.token.findMany({ where: { marinaId, name, revokedAt: null }, select: { id: true } });
  for (const { id } of old) await revokeToken(db, { principal, now, input: { tokenId: id } });
  const tokens: { role: Role; token: string }[] = [];
  for (const role of roles) {
    const { token } = await createToken(db, { principal, now, input: { name, role } });
    tokens.push({ role, token });
  }
  return tokens;
}

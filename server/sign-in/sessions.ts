import { createHash, randomBytes } from 'node:crypto';
import type { Database } from '../db/client.ts';
import { type Principal, roles } from '../http/access.ts';

export const sessionCookie = 'qw_session';
/** A shift's phone stays signed in over a week on the dock; then the password is asked again. */
export const sessionDays = 7;

type Holder = { readonly userId: string } | { readonly tokenId: string };

/** Opens a session and returns what the cookie holds; stored is only its hash. */
export async function openSession(db: Database, marinaId: string, holder: Holder, now: number): Promise<string> {
  const secret = `qws_${randomBytes(32).toString('base64url')}`;
  await db.prisma.session.deleteMany({ where: { expiresAt: { lte: new Date(now) } } });
  await db.prisma.session.create({
    data: {
      marinaId,
      id: hashOf(secret),
      ...holder,
      createdAt: new Date(now),
      expiresAt: new Date(now + sessionDays * 86_400_000),
    },
  });
  return secret;
}

export async function closeSession(db: Database, secret: string): Promise<void> {
  await db.prisma.session.deleteMany({ where: { id: hashOf(secret) } });
}

/** Who is signed in by a cookie; null where the session is over, its user closed or its token revoked. */
export async function principalOfSession(db: Database, secret: string, now: number): Promise<Principal | null> {
  if (!/^qws_[\w-]{20,100}$/.test(secret)) return null;
  const found = await db.pool.query<{ marina_id: string; actor: string; role: string; name: string }>(
    `SELECT s.marina_id, coalesce('user:' || u.id, 'token:' || t.id) AS actor,
            coalesce(u.role, t.role) AS role, coalesce(u.name, t.name) AS name
       FROM session s
       LEFT JOIN user_account u ON u.marina_id = s.marina_id AND u.id = s.user_id AND u.closed_at IS NULL
       LEFT JOIN token t ON t.marina_id = s.marina_id AND t.id = s.token_id AND t.revoked_at IS NULL
      WHERE s.id = $1 AND s.expires_at > $2`,
    [hashOf(secret), new Date(now)],
  );
  const row = found.rows[0];
  const role = roles.find((known) => known === row?.role);
  if (row === undefined || role === undefined) return null;
  return { id: row.actor, marinaId: row.marina_id, role, name: row.name };
}

function hashOf(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}

import { randomInt } from 'node:crypto';
import type { Database } from '../server/db/client.ts';
import { type Role, roles } from '../server/http/access.ts';
import { setPassword } from '../server/users/change-user.ts';
import { createUser } from '../server/users/create-user.ts';

const names: Readonly<Record<Role, string>> = {
  harbormaster: 'Imke Sandoval',
  dockhand: 'Tobias Reyes',
  manager: 'Odette Farrow',
  viewer: 'Wren Achebe',
};

const words =
  'anchor basin cleat davit ebb fender gantry halyard inlet jetty keel lantern mooring pennant quay reef'.split(' ');

/** A user for each role, who signs in by its name; one new password for all of them, for this run. */
export async function renewDemoUsers(
  db: Database,
  marinaId: string,
  now: number,
): Promise<{ readonly logins: readonly Role[]; readonly password: string }> {
  const principal = { id: 'demo', marinaId };
  const password = Array.from({ length: 4 }, () => words[randomInt(words.length)]).join(' ');
  for (const role of roles) {
    const known = await db.prisma.userAccount.findFirst({ where: { marinaId, login: role, closedAt: null } });
    if (known === null) {
      await createUser(db, { principal, now, input: { login: role, name: names[role], role, password } });
    } else {
      await setPassword(db, { principal, now, userId: known.id, password });
    }
  }
  return { logins: roles, password };
}

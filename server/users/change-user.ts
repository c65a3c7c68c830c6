import type { Database, Tx } from '../db/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { hashPassword } from './password.ts';
import { userDocument } from './user-document.ts';

interface ChangeUser {
  readonly principal: Pick<Principal, 'id' | 'marinaId'>;
  readonly now: number;
  readonly userId: string;
}

/** Closes a user: every browser signed in as that person is signed out. Throws a Problem: `not-found`, `wrong-state`. */
export async function closeUser(db: Database, { principal, now, userId }: ChangeUser): Promise<void> {
  const { marinaId, id: actor } = principal;
  await marinaTransaction(db, { marinaId, actor, kind: 'user.closed', now }, async ({ tx, recordChange }) => {
    const before = await readOpenUser(tx, marinaId, userId);
    await tx.session.deleteMany({ where: { marinaId, userId } });
    const after = await tx.userAccount.update({
      where: { marinaId_id: { marinaId, id: userId } },
      data: { closedAt: new Date(now) },
    });
    await recordChange(userDocument(before), userDocument(after));
  });
}

/** Gives a user a new password and signs every browser of that person out. Throws a Problem as above. */
export async function setPassword(
  db: Database,
  { principal, now, userId, password }: ChangeUser & { readonly password: string },
): Promise<void> {
  const { marinaId, id: actor } = principal;
  const passwordHash = await hashPassword(password);
  await marinaTransaction(db, { marinaId, actor, kind: 'user.passwordSet', now }, async ({ tx, recordChange }) => {
    const before = await readOpenUser(tx, marinaId, userId);
    await tx.session.deleteMany({ where: { marinaId, userId } });
    await tx.userAccount.update({ where: { marinaId_id: { marinaId, id: userId } }, data: { passwordHash } });
    await recordChange(userDocument(before), userDocument(before));
  });
}

async function readOpenUser(tx: Tx, marinaId: string, id: string) {
  const user = await tx.userAccount.findUnique({ where: { marinaId_id: { marinaId, id } } });
  if (user === null) throw new Problem('not-found', `There is no user "${id}".`);
  if (user.closedAt !== null) throw new Problem('wrong-state', `The user "${user.login}" is closed already.`);
  return user;
}

import { randomUUID } from 'node:crypto';
import type { z } from 'zod';
import type { Database } from '../db/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { hashPassword } from './password.ts';
import { type newUserSchema, type UserDocument, userDocument } from './user-document.ts';

/** Creates a user of the marina. Throws a Problem: `already-exists` where another one signs in by that name. */
export async function createUser(
  db: Database,
  command: {
    readonly principal: Pick<Principal, 'id' | 'marinaId'>;
    readonly now: number;
    readonly input: z.output<typeof newUserSchema>;
  },
): Promise<UserDocument> {
  const { principal, now, input } = command;
  const { marinaId, id: actor } = principal;
  const { password, ...fields } = input;
  // Before the transaction: hashing is slow on purpose, and the transaction locks the marina.
  const passwordHash = await hashPassword(password);
  return marinaTransaction(db, { marinaId, actor, kind: 'user.created', now }, async ({ tx, recordChange }) => {
    const known = await tx.userAccount.findFirst({ where: { marinaId, login: fields.login, closedAt: null } });
    if (known !== null) {
      throw new Problem('already-exists', `"${fields.login}" signs in already: ${known.name}. Choose another name.`);
    }
    const row = await tx.userAccount.create({
      data: { marinaId, id: randomUUID(), ...fields, passwordHash, createdAt: new Date(now) },
    });
    const user = userDocument(row);
    await recordChange(null, user);
    return user;
  });
}

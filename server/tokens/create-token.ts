import { randomUUID } from 'node:crypto';
import type { Database, Tx } from '../db/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import type { Principal, Role } from '../http/access.ts';
import { newToken } from '../plugins/authentication.ts';
import { type TokenDocument, tokenDocument } from './token-document.ts';

interface NewToken {
  readonly name: string;
  readonly role: Role;
}

/** Makes a token; the answer is the only place where the token itself is ever shown. */
export async function createToken(
  db: Database,
  command: { principal: Principal; now: number; input: NewToken },
): Promise<TokenDocument & { token: string }> {
  const { principal, now, input } = command;
  const { marinaId } = principal;
  return marinaTransaction(
    db,
    { marinaId, actor: principal.id, kind: 'token.created', now },
    async ({ tx, recordChange }) => {
      const created = await insertToken(tx, marinaId, input, now);
      const { token: _, ...document } = created;
      await recordChange(null, document);
      return created;
    },
  );
}

/** Inserts a token of a marina; for the command above and for a marina's first token. */
export async function insertToken(
  tx: Tx,
  marinaId: string,
  { name, role }: NewToken,
  now: number,
): Promise<TokenDocument & { token: string }> {
  const { token, hash } = newToken();
  const row = await tx.token.create({
    data: { marinaId, id: randomUUID(), name, role, hash, createdAt: new Date(now) },
  });
  return { ...tokenDocument(row), token };
}

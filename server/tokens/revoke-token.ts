import type { Database } from '../db/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { tokenDocument } from './token-document.ts';

/** Revokes a token from the next request on. Revoking it again is a `wrong-state`. */
export async function revokeToken(
  db: Database,
  command: { principal: Principal; now: number; input: { tokenId: string } },
): Promise<void> {
  const { principal, now, input } = command;
  const { marinaId } = principal;
  const where = { marinaId_id: { marinaId, id: input.tokenId } };
  await marinaTransaction(
    db,
    { marinaId, actor: principal.id, kind: 'token.revoked', now },
    async ({ tx, recordChange }) => {
      const before = await tx.token.findUnique({ where });
      if (before === null) throw new Problem('not-found', `There is no token "${input.tokenId}".`);
      if (before.revokedAt !== null) throw new Problem('wrong-state', `The token "${before.name}" is revoked already.`);
      const after = await tx.token.update({ where, data: { revokedAt: new Date(now) } });
      await recordChange(tokenDocument(before), tokenDocument(after));
    },
  );
}

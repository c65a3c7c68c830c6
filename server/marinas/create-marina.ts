import type { Database } from '../db/client.ts';
import type { Role } from '../http/access.ts';
import { settingsSchema, timeZone as timeZoneSchema } from '../inventory/schema.ts';
import { OperatorError } from '../operator-error.ts';
import { insertToken } from '../tokens/create-token.ts';

interface NewMarina {
  readonly id: string;
  readonly name: string;
  /** IANA time zone. */
  readonly timeZone: string;
  /** One first token for each. */
  readonly roles: readonly Role[];
}

/** A role with its new token. */
export interface FirstToken {
  readonly role: Role;
  readonly token: string;
}

/**
 * Creates an empty marina with the usual settings and its first tokens, which are shown here and never again. Only
 * whoever runs the service can: no token reaches beyond its own marina.
 */
export async function createMarina(db: Database, marina: NewMarina, now: number): Promise<FirstToken[]> {
  const { id, name, timeZone } = marina;
  const at = new Date(now);
  if (!timeZoneSchema.safeParse(timeZone).success) {
    throw new OperatorError(`"${timeZone}" is no time zone. Use an IANA name, such as America/Chicago.`);
  }
  if ((await db.prisma.marina.findUnique({ where: { id }, select: { id: true } })) !== null) {
    throw new OperatorError(`There is a marina "${id}" already. Choose another id.`);
  }
  return db.prisma.$transaction(async (tx) => {
    await tx.marina.create({ data: { id, name, timeZone, settings: settingsSchema.parse({}), seq: 1, createdAt: at } });
    const after = { id, name, timeZone };
    await tx.change.create({ data: { marinaId: id, seq: 1, kind: 'marina.created', actor: 'operator', at, after } });
    const tokens: FirstToken[] = [];
    for (const role of marina.roles) {
      const { token } = await insertToken(tx, id, { name: `First ${role}`, role }, now);
      tokens.push({ role, token });
    }
    return tokens;
  });
}

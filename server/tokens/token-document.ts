import { z } from 'zod';
import { roles } from '../http/access.ts';
import { id, instant, line } from '../http/fields.ts';

export const tokenFields = {
  name: line(100).describe('Who or what uses it.'),
  role: z.enum(roles),
};

export const tokenSchema = z
  .strictObject({
    id,
    ...tokenFields,
    createdAt: instant,
    revokedAt: instant.nullable(),
  })
  .meta({ id: 'Token' });

export const tokensSchema = z.strictObject({ items: z.array(tokenSchema) });

/** A token just made; nowhere else is the token itself shown. */
export const newTokenSchema = z.strictObject({ ...tokenSchema.shape, token: z.string() });

export type TokenDocument = z.output<typeof tokenSchema>;

/** A stored token as the API shows it: without its hash. */
export function tokenDocument(row: {
  id: string;
  name: string;
  role: string;
  createdAt: Date;
  revokedAt: Date | null;
}): TokenDocument {
  return {
    id: row.id,
    name: row.name,
    role: tokenFields.role.parse(row.role),
    createdAt: row.createdAt.toISOString(),
    revokedAt: row.revokedAt?.toISOString() ?? null,
  };
}

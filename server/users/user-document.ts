import { z } from 'zod';
import { roles } from '../http/access.ts';
import { id, instant, line } from '../http/fields.ts';

export const login = z
  .string()
  .min(2)
  .max(60)
  .regex(/^[a-z0-9][a-z0-9._-]*$/, 'Use small letters, digits and . _ - only.');

export const password = z
  .string()
  .min(10, { error: 'Use at least 10 characters: four words do.', abort: true })
  .max(200);

export const userFields = {
  login: login.describe('What the person types to sign in.'),
  name: line(100),
  role: z.enum(roles),
};

export const userSchema = z
  .strictObject({ id, ...userFields, createdAt: instant, closedAt: instant.nullable() })
  .meta({ id: 'User', description: 'A person who signs in to the pages.' });

export const newUserSchema = z.strictObject({ ...userFields, password });

export const usersSchema = z.strictObject({ items: z.array(userSchema) });

export type UserDocument = z.output<typeof userSchema>;

/** A stored user as the API shows it: without the password's hash. */
export function userDocument(row: {
  readonly id: string;
  readonly login: string;
  readonly name: string;
  readonly role: string;
  readonly createdAt: Date;
  readonly closedAt: Date | null;
}): UserDocument {
  return {
    id: row.id,
    login: row.login,
    name: row.name,
    role: userFields.role.parse(row.role),
    createdAt: row.createdAt.toISOString(),
    closedAt: row.closedAt?.toISOString() ?? null,
  };
}

import type { Prisma } from './generated/client.ts';

/** A value as plain JSON, for a jsonb column or a change row: dates as text, big integers as numbers. */
export function plainJson(value: unknown): Prisma.InputJsonValue {
  const plain: Prisma.InputJsonValue = JSON.parse(
    JSON.stringify(value, (_key, part) => (typeof part === 'bigint' ? Number(part) : part)),
  );
  return plain;
}

import type { z } from 'zod';
import type { Role } from './access.ts';
import { isSchema, type JsonSchema, mapSchema, outputSchema } from './json-schema.ts';

/**
 * Phone numbers are for those who may have to call: harbormaster, dockhand and manager. A viewer (a screen on the wall, a
 * feed to the office) is answered null in their place, in stays, in what was displaced and in the change table alike.
 */
export function mayCall(role: Role): boolean {
  return role !== 'viewer';
}

/** As documents of the API name it, and as rows in the change table do. */
const contactFields: ReadonlySet<string> = new Set(['phone', 'contactPhone', 'contact_phone']);

/** The value without phone numbers; the same object where it holds none. */
export function withoutContacts<T>(value: T): T {
  return strip(value) as T;
}

function strip(value: unknown): unknown {
  if (typeof value !== 'object' || value === null || value instanceof Date) return value;
  if (Array.isArray(value)) {
    const items = value.map(strip);
    return items.some((item, i) => item !== value[i]) ? items : value;
  }
  const entries = Object.entries(value);
  const kept = entries.map(([key, inner]) => [key, contactFields.has(key) ? null : strip(inner)] as const);
  return kept.some(([, inner], i) => inner !== entries[i]?.[1]) ? Object.fromEntries(kept) : value;
}

/** Whether answers of this form may hold phone numbers: by a field of that name, or because anything may stand there. */
export function mayHoldContacts(schema: z.ZodType): boolean {
  let found = false;
  mapSchema(outputSchema(schema), (node) => {
    const fields = isSchema(node.properties) ? node.properties : {};
    if (Object.entries(fields).some(([name, field]) => contactFields.has(name) || isAnything(field))) found = true;
    return node;
  });
  return found;
}

const saying = ['type', 'anyOf', 'oneOf', 'allOf', 'enum', 'const', '$ref'];

function isAnything(field: unknown): boolean {
  return isSchema(field) && !saying.some((keyword) => keyword in (field satisfies JsonSchema));
}

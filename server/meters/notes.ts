import type { z } from 'zod';
import type { LoadNote } from '../db/generated/client.ts';
import { loadNoteSchema } from './schema.ts';

export function loadNoteDocument(row: LoadNote): z.output<typeof loadNoteSchema> {
  const { marinaId: _, createdAt: __, fromAt, untilAt, ...rest } = row;
  return loadNoteSchema.parse({ ...rest, from: fromAt.toISOString(), until: untilAt.toISOString() });
}

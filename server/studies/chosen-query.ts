import { z } from 'zod';
import { Problem } from '../errors.ts';
import { inventoryId } from '../inventory/schema.ts';

export const chosenQuery = z
  .string()
  .max(5000)
  .optional()
  .describe('Ids of changes, separated by commas; left out: all of them. What they require is made with them.');

/** The ids of a query, null for all. Throws `invalid-input` for what is no id. */
export function idsOf(chosen: string | undefined): readonly string[] | null {
  if (chosen === undefined) return null;
  const ids = chosen.split(',').filter((each) => each !== '');
  for (const each of ids)
    if (!inventoryId.safeParse(each).success) throw new Problem('invalid-input', `"${each}" is no id.`);
  return ids;
}

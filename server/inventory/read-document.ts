import { expandPatterns, readInventoryDocument } from '../../core/inventory/expand-patterns.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import type { InventoryDocument } from '../../core/inventory/patterns.ts';
import { type InputError, Problem } from '../errors.ts';
import { plainMessage } from '../http/plain-messages.ts';
import { inputErrors } from '../http/validation.ts';
import { inventorySchema, mostItems } from './schema.ts';

/** More than anybody reads; the count of all is in the detail. */
const mostFaults = 1_000;

/**
 * The plain inventory of a document.
 * @throws Problem `faulty-document` naming every fault where it is written, in a pattern too.
 */
export function readDocument(document: InventoryDocument): Inventory {
  throwFaults(sizeFaults(document));
  const { inventory, faults } = readInventoryDocument(document);
  throwFaults([
    ...faults.map(({ pointer, message }): InputError => ({ in: 'body', pointer, message })),
    ...shapeFaults(document),
  ]);
  return inventory;
}

/** Patterns are short and make much: what they make is counted before it is made. */
function sizeFaults({ patterns = [], ...plain }: InventoryDocument): InputError[] {
  const made = { outlets: plain.outlets.length, berths: plain.berths.length, pedestals: plain.pedestals.length };
  for (const { count, outlets, berths } of patterns) {
    made.pedestals += count;
    made.outlets += count * outlets.reduce((sum, outlet) => sum + outlet.count, 0);
    made.berths += count * berths.length;
  }
  return Object.entries(made)
    .filter(([, count]) => count > mostItems)
    .map(([name, count]) => ({
      in: 'body',
      pointer: '/patterns',
      message: `The document would have ${count} ${name}, more than ${mostItems}: correct the counts.`,
    }));
}

/** What patterns make is held to the same schema as what is written out: ids that a path can carry, among others. */
function shapeFaults(document: InventoryDocument): InputError[] {
  if (document.patterns === undefined || document.patterns.length === 0) return [];
  const { inventory, writtenAt } = expandPatterns(document);
  const parsed = inventorySchema.safeParse(inventory, { error: plainMessage });
  if (parsed.success) return [];
  const told = new Map<string, InputError>();
  for (const error of inputErrors('body', parsed.error)) {
    const pointer = writtenAt(error.pointer);
    if (!told.has(pointer)) told.set(pointer, { ...error, pointer });
  }
  return [...told.values()];
}

function throwFaults(errors: readonly InputError[]): void {
  const [first] = errors;
  if (first === undefined) return;
  const more = errors.length > 1 ? ` (and ${errors.length - 1} more)` : '';
  throw new Problem('faulty-document', `${first.pointer}: ${first.message}${more}`, {
    errors: errors.slice(0, mostFaults),
  });
}

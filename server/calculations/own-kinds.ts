import type { Inventory } from '../../core/inventory/inventory.ts';
import { validateInventory } from '../../core/inventory/validate.ts';
import { type InputError, Problem } from '../errors.ts';
import { settingsSchema } from '../inventory/schema.ts';

/** Throws `faulty-document` for what the same practices and adapter kinds would be refused for in an inventory. */
export function requireSoundKinds(
  { practices = [], adapterKinds = [] }: Partial<Pick<Inventory, 'practices' | 'adapterKinds'>>,
  pointerOf: (pointer: string) => string,
): void {
  const faults = validateInventory({
    name: 'Calculation',
    timeZone: 'Etc/UTC',
    settings: settingsSchema.parse({}),
    practices,
    adapterKinds,
    docks: [],
    equipment: [],
    pedestals: [],
    outlets: [],
    spaceUnits: [],
    berths: [],
    adapterStock: [],
  });
  const [first] = faults;
  if (first === undefined) return;
  const errors = faults.map(({ pointer, message }): InputError => {
    return { in: 'body', pointer: pointerOf(pointer), message };
  });
  throw new Problem('faulty-document', first.message, { errors });
}

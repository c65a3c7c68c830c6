import type { Inventory } from '../../core/inventory/inventory.ts';
import { adapterKind } from '../../core/standards/adapter-kinds.ts';
import { configuration } from '../../core/standards/configurations.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import type { BoatFactsChange, BoatFactsInput } from './schema.ts';

/**
 * Configurations and kinds of adapters must exist. Give the facts as they were sent: the fault is named by its place.
 * @throws Problem `invalid-input` for the first that does not
 */
export function requireKnown(said: BoatFactsChange, { adapterKinds }: Pick<Inventory, 'adapterKinds'>): void {
  said.inlets?.forEach(({ configurationIds }, i) => {
    configurationIds?.value.forEach((id, j) => {
      requireConfiguration(id, `/inlets/${i}/configurationIds/value/${j}`);
    });
  });
  said.cordSets?.value.forEach(({ configurationId }, i) => {
    requireConfiguration(configurationId, `/cordSets/value/${i}/configurationId`);
  });
  said.adapterKindIds?.value.forEach((id, i) => {
    if (adapterKind(id) !== null || adapterKinds.some((kind) => kind.id === id)) return;
    throw invalid(`/adapterKindIds/value/${i}`, `There is no kind of adapter "${id}". Take an id of the inventory.`);
  });
}

/**
 * The facts of one boat must agree: ids are unique on it, and appliances hang on its own inlets.
 * @throws Problem `invalid-input` for the first that does not
 */
export function requireAgreement({ inlets, cordSets, appliances }: BoatFactsInput): void {
  requireUnique(inlets, '/inlets');
  requireUnique(cordSets?.value ?? [], '/cordSets/value');
  appliances?.value.forEach(({ inletId }, i) => {
    if (inletId === null || inlets.some(({ id }) => id === inletId)) return;
    throw invalid(`/appliances/value/${i}/inletId`, `The boat has no inlet "${inletId}".`);
  });
}

function requireConfiguration(id: string, pointer: string): void {
  if (configuration(id) === null) {
    throw invalid(pointer, `There is no configuration "${id}". Write it as the standard does: L5-30, SS2-50.`);
  }
}

function requireUnique(things: readonly { readonly id: string }[], pointer: string): void {
  things.forEach(({ id }, position) => {
    if (things.findIndex((other) => other.id === id) < position) {
      throw invalid(`${pointer}/${position}/id`, `"${id}" is given twice. An id is unique on its boat.`);
    }
  });
}

import type { ContactPair, OutletLoad } from '../../../../core/electrical/network/outlet-loads.ts';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import type { Conductor, Equipment, EquipmentKind, Inventory, Outlet } from '../../../../core/inventory/inventory.ts';
import { validateInventory } from '../../../../core/inventory/validate.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import { sampleInventory } from '../../../support/sample-inventory.ts';

/** Invented marinas, only what a network needs of them: one pedestal `P<part>` for each part that feeds outlets. */
export function marinaOf(equipment: readonly Equipment[], outlets: readonly Outlet[]): Inventory {
  const feeding = [...new Set(outlets.map(({ pedestalId }) => pedestalId))];
  return {
    ...sampleInventory(),
    docks: [{ id: 'dock', label: 'D', kind: 'fixed', lengthM: 400 }],
    equipment,
    pedestals: feeding.map((id) => ({ id, label: id, dockId: 'dock', fedById: id.slice(1), alongDockM: null })),
    outlets,
    spaceUnits: [],
    berths: [],
    adapterStock: [],
  };
}

/** The index of a marina that is legal; fails where it is not, so that no test rests on an impossible marina. */
export function legalIndex(inventory: Inventory) {
  const faults = validateInventory(inventory);
  if (faults.length > 0) throw new Error(faults.map(({ message }) => message).join(' '));
  return indexInventory(inventory);
}

export function part(
  id: string,
  kind: EquipmentKind,
  parentId: string | null,
  given: Partial<Equipment> = {},
): Equipment {
  return {
    id,
    label: id,
    kind,
    parentId,
    systemId: null,
    lines: null,
    breakerA: null,
    conductorAmpacityA: null,
    neutralAmpacityA: null,
    busA: null,
    conductor: null,
    transformer: null,
    groundFault: { device: 'none', settingMa: null, delayMs: null },
    otherLoads: [],
    earthing: null,
    ...given,
  };
}

export function service(systemId: string): Equipment {
  return part('service', 'service', null, { systemId, earthing: 'groundedNeutral' });
}

export function conductor(size: string, lengthM: number | null, given: Partial<Conductor> = {}): Conductor {
  const sizeUnit = Number(size) >= 250 ? 'kcmil' : 'AWG';
  return { material: 'copper', size, sizeUnit, parallelSets: 1, lengthM, ...given };
}

export function feeder(id: string, parentId: string, of: Conductor, given: Partial<Equipment> = {}): Equipment {
  return part(id, 'feeder', parentId, { conductor: of, ...given });
}

export function outlet(id: string, partId: string, configurationId: string, lines: LineName[] | null): Outlet {
  return {
    id,
    label: id,
    pedestalId: `P${partId}`,
    fedById: null,
    configurationId,
    lines,
    breakerA: null,
    groundFault: { device: 'none', settingMa: null, delayMs: null },
    dedicatedBerthId: null,
    subMetered: false,
    heightM: 0.9,
  };
}

/** A load that stays linear. */
export function linear(outletId: string, loadVa: Partial<Record<ContactPair, number>>, powerFactor = 0.9): OutletLoad {
  return { outletId, demand: { basis: 'stated', loadVa }, model: 'constantImpedance', powerFactor };
}

export const centreTapped = (parentId: string, ratedKva: number, lines: LineName[] | null = ['L1', 'L2']): Equipment =>
  part('transformer', 'transformer', parentId, {
    systemId: '120/240-split-phase',
    lines,
    transformer: { ratedKva, connection: 'centreTapped', percentR: 1.2, percentX: 2.5 },
    earthing: 'groundedNeutral',
  });

export const threePhase = (systemId: string, connection: 'deltaWye' | 'wyeWye' | 'highLegBank'): Equipment =>
  part('transformer', 'transformer', 'service', {
    systemId,
    transformer: { ratedKva: 112.5, connection, percentR: 1.5, percentX: 3 },
    earthing: 'groundedNeutral',
  });

/** A pier whose pedestals hang one behind the other, a span of feeder to each: outlets `a<n>` on L1, `b<n>` on both. */
export function longDock(pedestals: number, spanM: number): Inventory {
  const spans = Array.from({ length: pedestals }, (_, at) =>
    feeder(`f${at + 1}`, at === 0 ? 'transformer' : `f${at}`, conductor('500', spanM, { parallelSets: 2 })),
  );
  return marinaOf(
    [service('480Y/277'), centreTapped('service', 300), ...spans],
    spans.flatMap(({ id }) => [
      outlet(`a${id.slice(1)}`, id, 'L5-30', ['L1']),
      outlet(`b${id.slice(1)}`, id, 'SS2-50', ['L1', 'L2']),
    ]),
  );
}

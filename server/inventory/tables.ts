import type {
  AdapterStock,
  Berth,
  Dock,
  Equipment,
  Outlet,
  Pedestal,
  Reach,
  SpaceUnit,
} from '../../core/inventory/inventory.ts';
import type { AdapterKind } from '../../core/standards/adapter-kind.ts';
import type { DemandPractice } from '../../core/standards/demand-practice.ts';

/** SQL type of a column, as `jsonb_to_recordset` reads it. */
type ColumnType = 'text' | 'integer' | 'double precision' | 'boolean' | 'jsonb';

/** How a collection lies in its table: a column for every property, so that none can be forgotten. */
export interface Table<Item> {
  readonly name: string;
  readonly columns: { readonly [Property in keyof Item]-?: ColumnType };
}

/** Any of the tables below, where only names matter. */
export interface AnyTable {
  readonly name: string;
  readonly columns: Readonly<Record<string, ColumnType>>;
}

export type BerthRow = Omit<Berth, 'unitIds' | 'reaches'>;
export type BerthUnitRow = { readonly berthId: string; readonly unitId: string; readonly position: number };
export type BerthReachRow = Reach & { readonly berthId: string; readonly position: number };

const metres = 'double precision';
const amperes = 'double precision';

export const practiceTable: Table<DemandPractice> = {
  name: 'practice',
  columns: {
    id: 'text',
    name: 'text',
    rows: 'jsonb',
    subMeterFactor: 'double precision',
    twoVoltageRule: 'boolean',
    notes: 'jsonb',
    source: 'jsonb',
  },
};

export const adapterKindTable: Table<AdapterKind> = {
  name: 'adapter_kind',
  columns: {
    id: 'text',
    name: 'text',
    plugs: 'jsonb',
    connectors: 'jsonb',
    conductors: 'jsonb',
    interlock: 'boolean',
    source: 'jsonb',
  },
};

export const dockTable: Table<Dock> = {
  name: 'dock',
  columns: { id: 'text', label: 'text', kind: 'text', lengthM: metres },
};

export const equipmentTable: Table<Equipment> = {
  name: 'equipment',
  columns: {
    id: 'text',
    label: 'text',
    kind: 'text',
    parentId: 'text',
    systemId: 'text',
    lines: 'jsonb',
    breakerA: amperes,
    conductorAmpacityA: amperes,
    neutralAmpacityA: amperes,
    busA: amperes,
    conductor: 'jsonb',
    transformer: 'jsonb',
    groundFault: 'jsonb',
    otherLoads: 'jsonb',
    earthing: 'text',
  },
};

export const pedestalTable: Table<Pedestal> = {
  name: 'pedestal',
  columns: { id: 'text', label: 'text', dockId: 'text', fedById: 'text', alongDockM: metres },
};

export const outletTable: Table<Outlet> = {
  name: 'outlet',
  columns: {
    id: 'text',
    label: 'text',
    pedestalId: 'text',
    fedById: 'text',
    configurationId: 'text',
    lines: 'jsonb',
    breakerA: amperes,
    groundFault: 'jsonb',
    dedicatedBerthId: 'text',
    subMetered: 'boolean',
    heightM: metres,
  },
};

export const spaceUnitTable: Table<SpaceUnit> = {
  name: 'space_unit',
  columns: { id: 'text', label: 'text', dockId: 'text', kind: 'text', faceLengthM: metres },
};

export const berthTable: Table<BerthRow> = {
  name: 'berth',
  columns: {
    id: 'text',
    label: 'text',
    faceFromM: metres,
    faceUntilM: metres,
    mooring: 'text',
    fingerOn: 'text',
    lengthM: metres,
    beamM: metres,
    depthM: metres,
    orientations: 'jsonb',
  },
};

export const berthUnitTable: Table<BerthUnitRow> = {
  name: 'berth_unit',
  columns: { berthId: 'text', unitId: 'text', position: 'integer' },
};

export const berthReachTable: Table<BerthReachRow> = {
  name: 'berth_reach',
  columns: {
    berthId: 'text',
    outletId: 'text',
    position: 'integer',
    alongM: metres,
    acrossM: metres,
    detourM: metres,
  },
};

export const adapterStockTable: Table<AdapterStock> = {
  name: 'adapter_stock',
  columns: { id: 'text', label: 'text', adapterKindId: 'text', quantity: 'integer' },
};

/** `breakerA` lies in `breaker_a`. */
export function columnOf(property: string): string {
  return property.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);
}

import type { z } from 'zod';
import type { InventoryCollection } from '../../core/inventory/change.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import type { Role } from '../http/access.ts';
import { collectionSchemas } from './schema.ts';

export type InventoryItem = Inventory[InventoryCollection][number];

/** One list of the inventory as the API offers it. */
export interface CollectionResource {
  readonly collection: InventoryCollection;
  /** Last part of the path. */
  readonly path: string;
  /** For operation ids: `Dock`, `Docks`. */
  readonly singular: string;
  readonly plural: string;
  /** For messages and summaries. */
  readonly noun: string;
  readonly nouns: string;
  readonly schema: z.ZodType<InventoryItem>;
  readonly writers: readonly Role[];
}

const manager = ['manager'] as const;

export const collectionResources: readonly CollectionResource[] = [
  {
    collection: 'docks',
    path: 'docks',
    singular: 'Dock',
    plural: 'Docks',
    noun: 'dock',
    nouns: 'docks',
    schema: collectionSchemas.docks,
    writers: manager,
  },
  {
    collection: 'equipment',
    path: 'equipment',
    singular: 'EquipmentPart',
    plural: 'Equipment',
    noun: 'part of the distribution equipment',
    nouns: 'distribution equipment',
    schema: collectionSchemas.equipment,
    writers: manager,
  },
  {
    collection: 'pedestals',
    path: 'pedestals',
    singular: 'Pedestal',
    plural: 'Pedestals',
    noun: 'pedestal',
    nouns: 'pedestals',
    schema: collectionSchemas.pedestals,
    writers: manager,
  },
  {
    collection: 'outlets',
    path: 'outlets',
    singular: 'Outlet',
    plural: 'Outlets',
    noun: 'outlet',
    nouns: 'outlets',
    schema: collectionSchemas.outlets,
    writers: manager,
  },
  {
    collection: 'spaceUnits',
    path: 'space-units',
    singular: 'SpaceUnit',
    plural: 'SpaceUnits',
    noun: 'space unit',
    nouns: 'space units',
    schema: collectionSchemas.spaceUnits,
    writers: manager,
  },
  {
    collection: 'berths',
    path: 'berths',
    singular: 'Berth',
    plural: 'Berths',
    noun: 'berth',
    nouns: 'berths',
    schema: collectionSchemas.berths,
    writers: manager,
  },
  {
    collection: 'adapterStock',
    path: 'adapter-stock',
    singular: 'AdapterStock',
    plural: 'AdapterStocks',
    noun: 'adapter stock',
    nouns: 'adapters in stock',
    schema: collectionSchemas.adapterStock,
    // Adapters break and are bought on an ordinary day.
    writers: ['manager', 'harbormaster'],
  },
  {
    collection: 'adapterKinds',
    path: 'adapter-kinds',
    singular: 'AdapterKind',
    plural: 'AdapterKinds',
    noun: 'adapter kind',
    nouns: "kinds of adapters of the marina's own",
    schema: collectionSchemas.adapterKinds,
    writers: manager,
  },
  {
    collection: 'practices',
    path: 'practices',
    singular: 'Practice',
    plural: 'Practices',
    noun: 'demand practice',
    nouns: "demand practices of the marina's own",
    schema: collectionSchemas.practices,
    writers: manager,
  },
];

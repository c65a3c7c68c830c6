import type { z } from 'zod';
import type { InventoryCollection } from '../../core/inventory/change.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { isSchema, type JsonSchema } from '../http/json-schema.ts';
import { cellValue } from '../inventory/csv-items.ts';
import { innerField, itemFields, kindsOf } from '../inventory/item-fields.ts';
import { collectionSchemas } from '../inventory/schema.ts';
import type { Fields } from '../pages/fields.ts';
import type { Texts } from '../pages/texts/en.ts';
import type { studyInputSchema } from './schema.ts';

export type StudyInput = z.output<typeof studyInputSchema>;
export type ChangeInput = StudyInput['changes'][number];
export type ItemInput = ChangeInput['items'][number];
type FieldName = keyof Texts['upgrades']['fields'];

interface ThingKind {
  readonly collection: ItemInput['collection'];
  /** In the order of the form; a dot stands before a field within a field. */
  readonly fields: readonly FieldName[];
}

const groundFault = ['groundFault.device', 'groundFault.settingMa', 'groundFault.delayMs'] as const;
const conductor = [
  'conductor.material',
  'conductor.size',
  'conductor.sizeUnit',
  'conductor.parallelSets',
  'conductor.lengthM',
  'conductorAmpacityA',
  'neutralAmpacityA',
] as const;
const supply = ['label', 'kind', 'parentId', 'systemId', 'lines'] as const;

/** What a manager may change in a study, as the trade names it, with the fields that such a change is about. */
export const thingKinds = {
  outlet: {
    collection: 'outlets',
    fields: [
      'label',
      'pedestalId',
      'configurationId',
      'lines',
      'breakerA',
      ...groundFault,
      'fedById',
      'dedicatedBerthId',
      'subMetered',
      'heightM',
    ],
  },
  pedestal: { collection: 'pedestals', fields: ['label', 'dockId', 'fedById', 'alongDockM'] },
  breaker: { collection: 'equipment', fields: ['breakerA', 'busA', ...groundFault] },
  conductor: { collection: 'equipment', fields: conductor },
  feeder: {
    collection: 'equipment',
    fields: [...supply, 'breakerA', 'busA', ...conductor, ...groundFault, 'earthing'],
  },
  transformer: {
    collection: 'equipment',
    fields: [
      ...supply,
      'transformer.ratedKva',
      'transformer.connection',
      'transformer.percentR',
      'transformer.percentX',
      'breakerA',
      'earthing',
    ],
  },
  dock: { collection: 'docks', fields: ['label', 'kind', 'lengthM'] },
  berth: { collection: 'berths', fields: ['label', 'unitIds', 'mooring', 'lengthM', 'beamM', 'depthM'] },
  spaceUnit: { collection: 'spaceUnits', fields: ['label', 'dockId', 'kind', 'faceLengthM'] },
} as const satisfies Readonly<Record<string, ThingKind>>;
export type ThingKindId = keyof typeof thingKinds;
export const thingKindIds = Object.keys(thingKinds) as readonly ThingKindId[];

/** One field of the form of things. */
export interface ThingField {
  readonly name: FieldName;
  /** What all of the things have; empty where they differ or nothing is known. */
  readonly shown: string;
  /** Empty: any text. */
  readonly choices: readonly string[];
}

type Item = Readonly<Record<string, unknown>>;

/** A thing as the change leaves it so far: its own item, else the base's; null where it is new or taken away. */
export function presentItem(base: Inventory, change: ChangeInput | null, collection: InventoryCollection, id: string) {
  const own = change?.items.find((item) => item.collection === collection && item.id === id);
  if (own !== undefined) return own.item as Item | null;
  const items: readonly { readonly id: string }[] = base[collection];
  return (items.find((item) => item.id === id) ?? null) as Item | null;
}

/** The fields of a kind, filled with what the things have in common. */
export function thingFields(kind: ThingKindId, items: readonly (Item | null)[]): ThingField[] {
  const { collection, fields } = thingKinds[kind];
  const schemas = itemFields(collectionSchemas[collection]);
  return fields.map((name) => {
    const schema = schemaOf(schemas, name);
    const kinds = kindsOf(schema);
    const choices = kinds.some(({ type }) => type === 'boolean')
      ? ['true', 'false']
      : kinds.flatMap((each) => (Array.isArray(each.enum) ? each.enum.map(String) : []));
    return { name, choices, shown: common(items, name) };
  });
}

/** The items as the form wants them: each field that differs from what was shown is put in every one. */
export function thingsOf(kind: ThingKindId, ids: readonly string[], items: readonly (Item | null)[], fields: Fields) {
  const { collection } = thingKinds[kind];
  const schemas = itemFields(collectionSchemas[collection]);
  const changed = thingFields(kind, items).filter(({ name, shown }) => (fields.text(name) ?? '') !== shown);
  return ids.map((id, position) => {
    const item: Record<string, unknown> = { ...items[position], id };
    for (const { name } of changed) {
      const value = cellValue(fields.text(name) ?? '', schemaOf(schemas, name));
      const [outer = '', inner] = name.split('.');
      if (inner === undefined) put(item, outer, value);
      else item[outer] = within(item[outer], inner, value);
    }
    return { collection, id, item };
  });
}

function put(item: Record<string, unknown>, name: string, value: unknown): void {
  if (value === undefined) delete item[name];
  else item[name] = value;
}

/** A field within a field; what has none left is not known at all. */
function within(outer: unknown, inner: string, value: unknown): Item | null {
  const next: Record<string, unknown> = { ...(isSchema(outer) ? outer : {}) };
  put(next, inner, value);
  return Object.values(next).every((each) => each === null) ? null : next;
}

function schemaOf(schemas: Readonly<Record<string, JsonSchema>>, name: string): JsonSchema | undefined {
  const [outer = '', inner] = name.split('.');
  return inner === undefined ? schemas[outer] : innerField(schemas[outer], inner);
}

function common(items: readonly (Item | null)[], name: string): string {
  const [first = '', ...others] = new Set(items.map((item) => fieldText(item, name)));
  return others.length === 0 ? first : '';
}

export function fieldText(item: Item | null, name: string): string {
  const [outer = '', inner] = name.split('.');
  const value = item?.[outer];
  const found = inner === undefined ? value : isSchema(value) ? value[inner] : null;
  if (found === null || found === undefined) return '';
  if (Array.isArray(found))
    return found.map((each) => (typeof each === 'object' ? JSON.stringify(each) : each)).join(' ');
  return typeof found === 'object' ? JSON.stringify(found) : String(found);
}

/** What an item does to the base, field by field: name, before and after. A whole new or removed thing has no list. */
export function differences(base: Inventory, { collection, id, item }: ItemInput) {
  const was = presentItem(base, null, collection, id);
  if (was === null || item === null) return [];
  const flat = (of: Item): string[] =>
    Object.entries(of).flatMap(([name, value]) =>
      isSchema(value) ? Object.keys(value).map((inner) => `${name}.${inner}`) : [name],
    );
  const names = [...new Set([...flat(was), ...flat(item as Item)])];
  return names.flatMap((name) => {
    const [before, after] = [fieldText(was, name), fieldText(item as Item, name)];
    return before === after ? [] : [{ name, before, after }];
  });
}

import { z } from 'zod';
import { Problem } from '../errors.ts';
import { id } from '../http/fields.ts';
import { noContent } from '../http/route.ts';
import { definePage, type PageInput, seeOther } from '../pages/define-page.ts';
import type { Fields } from '../pages/fields.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Do, Field, Form, FormProblem, Select } from '../pages/parts/form.tsx';
import type { CollectionResource, InventoryItem } from './collections.ts';
import { cellValue } from './csv-items.ts';
import { inventoryReaders } from './inventory-page.tsx';
import { itemFields, kindsOf } from './item-fields.ts';
import { resourceOf } from './list-page.tsx';

/** Stands for an item that is not there yet; no id of an inventory begins so. */
const newItem = '~new';

type Input = PageInput<{ readonly marinaId: string; readonly list: string; readonly id: string }, unknown, unknown>;

/** One item of the inventory: every field of its schema. */
export const inventoryItemPage = definePage({
  url: '/marinas/:marinaId/inventory/:list/:id',
  roles: inventoryReaders,
  params: z.strictObject({ marinaId: id, list: id, id }),
  show: async (input) => {
    const { api, view, params, form } = input;
    const resource = resourceOf(params.list);
    const { index, version } = await inventoryOf(api);
    const items: readonly InventoryItem[] = index.inventory[resource.collection];
    const item = items.find((known) => known.id === params.id) ?? null;
    if (item === null && params.id !== newItem) {
      throw new Problem('not-found', `There is no ${resource.noun} "${params.id}".`);
    }
    const { manage, common } = view.texts;
    const mayWrite = api.allows(`put${resource.singular}`);
    const title = item === null ? manage.newEntry(resource.noun) : `${resource.noun} ${item.id}`;
    return {
      kind: 'page',
      section: 'inventory',
      title,
      body: (
        <>
          <p>
            <a href={`/marinas/${params.marinaId}/inventory/${resource.path}`}>{resource.nouns}</a>
          </p>
          <h1 class="noun">{title}</h1>
          <FormProblem form={form} view={view} />
          {mayWrite ? (
            <Form form={form} view={view} version={version} label={title}>
              <p class="lead">{manage.editLead}</p>
              <ItemFields input={input} resource={resource} item={item} />
              <Do action="save">{common.save}</Do>
            </Form>
          ) : (
            <pre class="as-written">{JSON.stringify(item, null, 2)}</pre>
          )}
          {mayWrite && item !== null && (
            <Form form={form} view={view} version={version}>
              <p class="lead">{manage.retireLead}</p>
              <Do action="retire" kind="second">
                {manage.retire}
              </Do>
            </Form>
          )}
        </>
      ),
    };
  },
  actions: {
    save: async ({ api, params }, fields) => {
      const resource = resourceOf(params.list);
      const body = itemOf(fields, resource);
      const itemId = params.id === newItem ? String(body.id ?? '') : params.id;
      const asked = { params: { id: itemId }, body, version: Number(fields.text('version')) };
      await api.ask(`put${resource.singular}`, resource.schema, asked);
      return seeOther(`/marinas/${params.marinaId}/inventory/${resource.path}`);
    },
    retire: async ({ api, params }, fields) => {
      const resource = resourceOf(params.list);
      const asked = { params: { id: params.id }, version: Number(fields.text('version')) };
      await api.ask(`retire${resource.singular}`, noContent, asked);
      return seeOther(`/marinas/${params.marinaId}/inventory/${resource.path}`);
    },
  },
});

interface ItemFieldsProps {
  readonly input: Input;
  readonly resource: CollectionResource;
  readonly item: InventoryItem | null;
}

function ItemFields({ input: { form, view }, resource, item }: ItemFieldsProps) {
  const { common } = view.texts;
  const present: Readonly<Record<string, unknown>> = { ...item };
  return (
    <div class="side-by-side">
      {Object.entries(itemFields(resource.schema)).map(([name, schema]) => {
        const kinds = kindsOf(schema);
        const choices = kinds.flatMap((kind) => (Array.isArray(kind.enum) ? kind.enum.map(String) : []));
        const isYesNo = kinds.some(({ type }) => type === 'boolean');
        const isDeep = kinds.some(({ type }) => type === 'object' || type === 'array');
        const value = textOf(present[name], isDeep);
        if (choices.length > 0 || isYesNo) {
          const options = (isYesNo ? ['true', 'false'] : choices).map((each) => [each, each] as const);
          return (
            <Select
              key={name}
              form={form}
              name={name}
              label={name}
              value={value}
              options={[['', common.unknown], ...options]}
            />
          );
        }
        return isDeep ? (
          <Field key={name} form={form} name={name} label={name} value={value} rows={3} />
        ) : (
          <Field key={name} form={form} name={name} label={name} value={value} />
        );
      })}
    </div>
  );
}

/** The item that the form describes; what is left empty is unknown, or its usual value where it cannot be. */
function itemOf(fields: Fields, resource: CollectionResource): Record<string, unknown> {
  const item: Record<string, unknown> = {};
  for (const [name, schema] of Object.entries(itemFields(resource.schema))) {
    const value = cellValue(fields.text(name) ?? '', schema);
    if (value !== undefined) item[name] = value;
  }
  return item;
}

function textOf(value: unknown, isDeep: boolean): string {
  if (value === null || value === undefined) return '';
  return isDeep ? JSON.stringify(value) : String(value);
}

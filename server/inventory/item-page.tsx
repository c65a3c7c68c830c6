import { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { Problem } from '../errors.ts';
import { id } from '../http/fields.ts';
import { noContent } from '../http/route.ts';
import { definePage, seeOther } from '../pages/define-page.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Do, Form, FormProblem } from '../pages/parts/form.tsx';
import type { CollectionResource, InventoryItem } from './collections.ts';
import { inventoryReaders } from './inventory-page.tsx';
import { resourceOf } from './list-page.tsx';
import { fieldLabels, readSchemaFields, SchemaFields } from './schema-fields.tsx';

/** Stands for an item that is not there yet; no id of an inventory begins so. */
const newItem = '~new';

/** One item of the inventory: every field of its schema. */
export const inventoryItemPage = definePage({
  url: '/marinas/:marinaId/inventory/:list/:id',
  roles: inventoryReaders,
  params: z.strictObject({ marinaId: id, list: id, id }),
  show: async (input) => {
    const { api, view, params, form } = input;
    const resource = resourceOf(params.list);
    const { index, version } = await inventoryOf(api);
    const item = itemIn(index, resource, params.id);
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
          <FormProblem form={form} view={view} labels={fieldLabels(view, resource.schema)} />
          {mayWrite ? (
            <Form form={form} view={view} version={version} label={title}>
              <p class="lead">{manage.editLead}</p>
              <SchemaFields
                view={view}
                form={form}
                schema={resource.schema}
                stored={item === null ? null : { ...item }}
              />
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
    save: async ({ api, view, params }, fields) => {
      const resource = resourceOf(params.list);
      const { index } = await inventoryOf(api);
      const stored = itemIn(index, resource, params.id);
      const body = readSchemaFields(fields, view, resource.schema, stored === null ? null : { ...stored });
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

function itemIn(
  { inventory }: InventoryIndex,
  { collection }: CollectionResource,
  itemId: string,
): InventoryItem | null {
  const items: readonly InventoryItem[] = inventory[collection];
  return items.find(({ id: known }) => known === itemId) ?? null;
}

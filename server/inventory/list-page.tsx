import { z } from 'zod';
import { Problem } from '../errors.ts';
import { id } from '../http/fields.ts';
import { definePage } from '../pages/define-page.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Table } from '../pages/parts/table.tsx';
import { type CollectionResource, collectionResources, type InventoryItem } from './collections.ts';
import { inventoryReaders } from './inventory-page.tsx';
import { fieldLabels } from './schema-fields.tsx';

const perPage = 200;

/** One list of the inventory, in its order. */
export const inventoryListPage = definePage({
  url: '/marinas/:marinaId/inventory/:list',
  roles: inventoryReaders,
  params: z.strictObject({ marinaId: id, list: id }),
  query: z.strictObject({ from: z.coerce.number().int().min(0).max(1_000_000).default(0) }),
  show: async ({ api, view, params, query }) => {
    const resource = resourceOf(params.list);
    const { index } = await inventoryOf(api);
    const items: readonly InventoryItem[] = index.inventory[resource.collection];
    const shown = items.slice(query.from, query.from + perPage);
    const { manage } = view.texts;
    const labels = fieldLabels(view, resource.schema);
    const base = `/marinas/${params.marinaId}/inventory/${resource.path}`;
    return {
      kind: 'page',
      section: 'inventory',
      title: resource.nouns,
      body: (
        <>
          <h1 class="noun">{resource.nouns}</h1>
          {api.allows(`put${resource.singular}`) && (
            <p>
              <a class="button second" href={`${base}/~new`}>
                {manage.newEntry(resource.noun)}
              </a>
            </p>
          )}
          <Table
            caption={resource.nouns}
            rows={shown}
            keyOf={(item) => item.id}
            empty={manage.noEntries}
            columns={[
              {
                head: view.texts.inventory.fields.id,
                heads: true,
                cell: (item) => <a href={`${base}/${item.id}`}>{item.id}</a>,
              },
              { head: manage.name, cell: (item) => ('label' in item ? item.label : item.name) },
              { head: manage.facts, cell: (item) => factsText(item, labels) },
            ]}
          />
          {query.from + perPage < items.length && (
            <p>
              <a href={`?from=${query.from + perPage}`}>{manage.next}</a>
            </p>
          )}
        </>
      ),
    };
  },
});

/** @throws Problem `not-found` for what is no list. */
export function resourceOf(path: string): CollectionResource {
  const resource = collectionResources.find((known) => known.path === path);
  if (resource === undefined) throw new Problem('not-found', `The inventory has no list "${path}".`);
  return resource;
}

const mostFacts = 5;

/** The first plain facts of an item, by their names. */
function factsText(item: InventoryItem, labels: Readonly<Record<string, string>>): string {
  return Object.entries(item)
    .filter(([name, value]) => !['id', 'label', 'name'].includes(name) && value !== null && typeof value !== 'object')
    .slice(0, mostFacts)
    .map(([name, value]) => `${labels[name] ?? name}: ${value}`)
    .join('; ');
}

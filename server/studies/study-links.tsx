import type { Inventory } from '../../core/inventory/inventory.ts';
import type { View } from '../pages/view.ts';
import { differences, type ItemInput } from './things.ts';

/** Where a table of the study is had as CSV. */
export function CsvLink({ view, href, table }: { readonly view: View; readonly href: string; readonly table: string }) {
  return (
    <a class="csv" href={href} download>
      {view.texts.upgrades.csv}
      <span class="hidden"> {table}</span>
    </a>
  );
}

const listed = 4;

/** What the items of a change do, in a line each; many of a kind are told by the first of them and their number. */
export function ItemsText({
  view,
  base,
  items,
}: {
  readonly view: View;
  readonly base: Inventory;
  readonly items: readonly ItemInput[];
}) {
  const { upgrades } = view.texts;
  if (items.length === 0) return <span class="small">{upgrades.nothingYet}</span>;
  const byWords = new Map<string, string[]>();
  for (const item of items) {
    const words = itemWords(view, base, item);
    byWords.set(words, [...(byWords.get(words) ?? []), item.id]);
  }
  return (
    <ul class="plain">
      {[...byWords].map(([words, ids]) => (
        <li key={words}>
          {ids.slice(0, listed).join(', ')}
          {ids.length > listed && upgrades.andMore(ids.length - listed)}: {words}
        </li>
      ))}
    </ul>
  );
}

/** `Breaker, A: 200 → 300`. */
export function itemWords(view: View, base: Inventory, item: ItemInput): string {
  const { upgrades, common } = view.texts;
  if (item.item === null) return upgrades.takenAway;
  const isKnown = base[item.collection].some(({ id }) => id === item.id);
  if (!isKnown) return upgrades.isNew;
  const changes = differences(base, item);
  const names: Readonly<Record<string, string>> = upgrades.fields;
  if (changes.length === 0) return upgrades.same;
  return changes
    .map(
      ({ name, before, after }) => `${names[name] ?? name}: ${before || common.unknown} → ${after || common.unknown}`,
    )
    .join('; ');
}

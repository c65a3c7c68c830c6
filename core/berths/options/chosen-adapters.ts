import type { HookUp, PlacedAdapter } from '../../electrical/hook-up/hook-up.ts';
import type { Finding } from '../../findings.ts';
import { freeStock } from './free-stock.ts';
import type { OptionsQuestion } from './options.ts';
import { toldBoat } from './told-boat.ts';

/**
 * A hook-up as a person chose it, with its adapters as they really are to be had: one said to be aboard that nobody has
 * stated is a piece to bring, and one of the dock's stock is refused where all of its kind are out.
 */
export function withOwners(question: OptionsQuestion, hookUp: HookUp): { hookUp: HookUp; findings: Finding[] } {
  const { index, stockUses, period, occupiedUntil } = question;
  const aboard = new Map<string, number>();
  for (const kindId of toldBoat(question.boat).adapterKindIds?.value ?? []) add(aboard, kindId, 1);
  const free = freeStock(index, stockUses, { from: period.from, until: occupiedUntil });
  const left = new Map(free.map(({ stockId, quantity }) => [stockId ?? '', quantity]));
  const findings: Finding[] = [];
  const adapters = hookUp.adapters.map((adapter): PlacedAdapter => {
    if (adapter.from === 'aboard') {
      return add(aboard, adapter.kindId, -1) < 0 ? { ...adapter, from: 'toBring', stockId: null } : adapter;
    }
    if (adapter.from !== 'stock') return adapter;
    const stock = index.adapterStock.get(adapter.stockId ?? '');
    const isOfKind = stock !== undefined && stock.adapterKindId === adapter.kindId;
    if (!isOfKind || add(left, stock.id, -1) < 0) findings.push(noneLeft(adapter, isOfKind ? stock.label : null));
    return adapter;
  });
  return { hookUp: { ...hookUp, adapters }, findings };
}

function add(counts: Map<string, number>, key: string, by: number): number {
  const sum = (counts.get(key) ?? 0) + by;
  counts.set(key, sum);
  return sum;
}

function noneLeft({ kindId, stockId }: PlacedAdapter, label: string | null): Finding {
  return {
    rule: 'stock.none',
    level: 'refuse',
    subject: { kind: 'adapter', id: kindId, label: label ?? kindId },
    actual: 0,
    limit: 1,
    unit: 'piece',
    source: "the dock's adapter stock",
    message:
      label === null
        ? `The dock has no stock "${stockId ?? ''}" of adapter ${kindId}. Choose another adapter.`
        : `Every "${label}" of the dock is lent or reserved for part of the stay.`,
    mend: `a free adapter ${label ?? kindId}`,
  };
}

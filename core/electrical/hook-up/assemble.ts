import type { AvailableAdapter } from './available-adapter.ts';
import type { AdapterPool, Component } from './components.ts';
import type { HookUp, PlacedAdapter, PowerSink, PowerSource } from './hook-up.ts';
import type { LikeOutlets } from './like-outlets.ts';

const ownerOrder: readonly PlacedAdapter['from'][] = ['aboard', 'stock', 'toBring'];

/**
 * One hook-up of several components: adapters numbered through, pieces from aboard taken before the dock's, like
 * outlets in their order.
 */
export function assemble(
  components: readonly Component[],
  groups: readonly LikeOutlets[],
  pools: readonly AdapterPool[],
  available: readonly AvailableAdapter[],
): HookUp {
  const supply = available
    .map((entry) => ({ ...entry }))
    .sort((a, b) => ownerOrder.indexOf(a.from) - ownerOrder.indexOf(b.from));
  const takeOutlet = outletsInTurn(groups);
  const adapters: PlacedAdapter[] = [];
  const joints: HookUp['joints'][number][] = [];
  for (const component of components) {
    const refs = new Map<string, string>();
    for (const { ref, poolIndex } of component.adapters) {
      const kindId = pools[poolIndex]?.kind.id ?? '';
      const entry = supply.find((each) => each.kindId === kindId && each.quantity > 0);
      if (entry !== undefined) entry.quantity--;
      const renamed = `A${adapters.length + 1}`;
      refs.set(ref, renamed);
      adapters.push({ ref: renamed, kindId, from: entry?.from ?? 'aboard', stockId: entry?.stockId ?? null });
    }
    for (const { from, to } of component.joints) {
      const source: PowerSource =
        from.kind === 'outlet' ? { kind: 'outlet', outletId: takeOutlet(from.outletId) } : renumbered(from, refs);
      joints.push({ from: source, to: renumbered(to, refs) });
    }
  }
  return { adapters, joints };
}

/** Every time an outlet of a group is asked for, the next of the group. */
function outletsInTurn(groups: readonly LikeOutlets[]): (outletId: string) => string {
  const groupOf = new Map(groups.flatMap((group) => group.map(({ id }) => [id, group] as const)));
  const taken = new Map<LikeOutlets, number>();
  return (outletId) => {
    const group = groupOf.get(outletId);
    if (group === undefined) return outletId;
    const count = taken.get(group) ?? 0;
    taken.set(group, count + 1);
    return group[count]?.id ?? outletId;
  };
}

function renumbered<T extends PowerSource | PowerSink>(end: T, refs: ReadonlyMap<string, string>): T {
  return 'adapter' in end ? { ...end, adapter: refs.get(end.adapter) ?? end.adapter } : end;
}

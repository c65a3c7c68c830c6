import type { AvailableAdapter } from './available-adapter.ts';
import type { AdapterPool, Component } from './components.ts';
import type { HookUp, PlacedAdapter, PowerSink, PowerSource } from './hook-up.ts';
import type { LikeOutlets } from './like-outlets.ts';

/**
 * One hook-up of several components: adapters numbered through; like outlets, and pieces of a kind, in their order.
 */
export function assemble(
  components: readonly Component[],
  groups: readonly LikeOutlets[],
  pools: readonly AdapterPool[],
  available: readonly AvailableAdapter[],
): HookUp {
  const takeOutlet = outletsInTurn(groups);
  const takeAdapter = adaptersInTurn(available);
  const adapters: PlacedAdapter[] = [];
  const joints: HookUp['joints'][number][] = [];
  for (const component of components) {
    const refs = new Map<string, string>();
    for (const { ref, poolIndex } of component.adapters) {
      const kindId = pools[poolIndex]?.kind.id ?? '';
      const entry = takeAdapter(kindId);
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
  const taken = groups.map(() => 0);
  return (outletId) => {
    const at = groups.findIndex((group) => group.some(({ id }) => id === outletId));
    const count = taken[at] ?? 0;
    taken[at] = count + 1;
    return groups[at]?.[count]?.id ?? outletId;
  };
}

/** Every time a kind is asked for, the next piece of it. */
function adaptersInTurn(available: readonly AvailableAdapter[]): (kindId: string) => AvailableAdapter | undefined {
  const taken = new Map<AvailableAdapter, number>();
  return (kindId) => {
    const entry = available.find((each) => each.kindId === kindId && each.quantity > (taken.get(each) ?? 0));
    if (entry !== undefined) taken.set(entry, (taken.get(entry) ?? 0) + 1);
    return entry;
  };
}

function renumbered<T extends PowerSource | PowerSink>(end: T, refs: ReadonlyMap<string, string>): T {
  return 'adapter' in end ? { ...end, adapter: refs.get(end.adapter) ?? end.adapter } : end;
}

import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { configuration } from '../../standards/configurations.ts';
import type { HookUpBoat, Joint, PowerSink } from './hook-up.ts';
import { powerInlets } from './inlet-rules.ts';
import type { LikeOutlets } from './like-outlets.ts';

/** Adapters of one kind that may be used, whoever owns them. */
export interface AdapterPool {
  readonly kind: AdapterKind;
  readonly quantity: number;
}

/** Joints that hang together: some inlets, the outlets and adapters that feed them. */
export interface Component {
  /** Which of like outlets, and whose adapters, is settled when whole hook-ups are put together. */
  readonly joints: readonly Joint[];
  readonly adapters: readonly { readonly ref: string; readonly poolIndex: number }[];
  /** Bits index the boat's power inlets. */
  readonly inletMask: number;
  /** Outlets taken of each group of like ones. */
  readonly outletUses: readonly number[];
  readonly outletCount: number;
}

/** Adapters allowed in a row on one way from outlet to cord. */
export const mostAdaptersInRow = 2;
/** Inlets that a mask holds: far above any boat. */
export const mostInlets = 31;

interface Spare {
  readonly adapter: string;
  readonly fitting: string;
  readonly configurationId: string;
  /** Adapters in a row up to and including this one. */
  readonly height: number;
  /** Inlets resolved before its adapter was placed. */
  readonly step: number;
}

/**
 * Every way to feed one inlet, or several through shared adapters, with mating configurations only and at most
 * `adaptersInRow`; every plug of an adapter is fed. Like outlets count as one kind with a number of pieces.
 * Stops after `most` components and says so.
 */
export function enumerateComponents(
  boat: HookUpBoat,
  outlets: readonly LikeOutlets[],
  pools: readonly AdapterPool[],
  adaptersInRow: number,
  most: number,
): { readonly components: readonly Component[]; readonly truncated: boolean } {
  const inlets = powerInlets(boat).slice(0, mostInlets);
  const components: Component[] = [];
  const connectorsOf = connectorsByConfiguration(pools);
  const feasible = feasibleConfigurations(outlets, pools, adaptersInRow);
  const used = pools.map(() => 0);
  const joints: Joint[] = [];
  const placed: { ref: string; poolIndex: number }[] = [];
  let spares: readonly Spare[] = [];
  const outletUses = outlets.map(() => 0);
  let outletCount = 0;
  let step = 0;
  let links = 0;
  let truncated = false;
  let full = false;

  /**
   * Finds every source for a sink of this configuration and calls `then` with the adapters in a row before it. Outlets
   * of a `pointless` configuration are left out: they go straight into a sink nearer to the boat.
   */
  function resolve(
    sink: PowerSink,
    configurationId: string,
    depth: number,
    pointless: readonly string[],
    then: (height: number) => void,
  ): void {
    if (full || feasible[depth]?.has(configurationId) !== true) return;
    for (let i = 0; i < outlets.length && !pointless.includes(configurationId); i++) {
      if (outlets[i]?.[0].configurationId !== configurationId) continue;
      const taken = outletUses[i] ?? 0;
      const outlet = outlets[i]?.[taken];
      if (outlet === undefined) continue;
      outletUses[i] = taken + 1;
      outletCount++;
      joints.push({ from: { kind: 'outlet', outletId: outlet.id }, to: sink });
      then(0);
      joints.pop();
      outletCount--;
      outletUses[i] = taken;
    }
    // Taking and giving back replaces the list, so the one walked here stays as it is.
    for (const spare of spares) {
      if (spare.configurationId !== configurationId || spare.height > depth) continue;
      const before = spares;
      spares = spares.filter((each) => each !== spare);
      if (spare.step < step) links++;
      joints.push({ from: { kind: 'connector', adapter: spare.adapter, fitting: spare.fitting }, to: sink });
      then(spare.height);
      joints.pop();
      if (spare.step < step) links--;
      spares = before;
    }
    if (depth === 0) return;
    for (const { poolIndex, pool, fitting } of connectorsOf.get(configurationId) ?? []) {
      if ((used[poolIndex] ?? 0) >= pool.quantity) continue;
      used[poolIndex] = (used[poolIndex] ?? 0) + 1;
      const ref = `A${placed.length + 1}`;
      placed.push({ ref, poolIndex });
      const below = pointlessBelow(pool.kind, configurationId, pointless);
      feedPlugs(ref, pool.kind, 0, 0, depth - 1, below, (tallest) => {
        const before = spares;
        const height = tallest + 1;
        const others = pool.kind.connectors.filter((each) => each.id !== fitting);
        if (others.length > 0)
          spares = [
            ...spares,
            ...others.map(({ id, configurationId: other }) => {
              return { adapter: ref, fitting: id, configurationId: other, height, step };
            }),
          ];
        joints.push({ from: { kind: 'connector', adapter: ref, fitting }, to: sink });
        then(height);
        joints.pop();
        spares = before;
      });
      placed.pop();
      used[poolIndex] = (used[poolIndex] ?? 0) - 1;
    }
  }

  function feedPlugs(
    ref: string,
    kind: AdapterKind,
    next: number,
    tallest: number,
    depth: number,
    pointless: readonly string[],
    then: (height: number) => void,
  ): void {
    const plug = kind.plugs[next];
    if (plug === undefined) then(tallest);
    else
      resolve({ kind: 'plug', adapter: ref, fitting: plug.id }, plug.configurationId, depth, pointless, (height) =>
        feedPlugs(ref, kind, next + 1, Math.max(tallest, height), depth, pointless, then),
      );
  }

  function feedInlet(position: number, then: () => void): void {
    const inlet = inlets[position];
    if (inlet === undefined) return;
    const said = inlet.configurationIds?.value ?? null;
    // An unknown plug is tried on every shore-power pattern of the berth, without adapters: they would be guesses.
    for (const id of said ?? shorePowerPatterns(outlets))
      resolve(
        { kind: 'inlet', inletId: inlet.id, configurationId: id },
        id,
        said === null ? 0 : adaptersInRow,
        [],
        then,
      );
  }

  function emit(inletMask: number): void {
    full = components.length >= most;
    truncated = truncated || full;
    if (!full) {
      components.push({
        joints: [...joints],
        adapters: [...placed],
        inletMask,
        outletUses: [...outletUses],
        outletCount,
      });
    }
  }

  /** Adds later inlets that hang on spare connectors of what is there. */
  function extend(from: number, inletMask: number): void {
    emit(inletMask);
    if (spares.length === 0) return;
    for (let next = from; next < inlets.length; next++) {
      const linksBefore = links;
      step++;
      feedInlet(next, () => {
        if (links > linksBefore) extend(next + 1, inletMask | (1 << next));
      });
      step--;
    }
  }

  for (let first = 0; first < inlets.length; first++) feedInlet(first, () => extend(first + 1, 1 << first));
  return { components, truncated };
}

/** Configurations that can be had with so many adapters in a row; nothing else is tried. */
function feasibleConfigurations(
  outlets: readonly LikeOutlets[],
  pools: readonly AdapterPool[],
  adaptersInRow: number,
): readonly ReadonlySet<string>[] {
  let reached: ReadonlySet<string> = new Set(outlets.map(([outlet]) => outlet.configurationId));
  const byDepth = [reached];
  for (let depth = 1; depth <= adaptersInRow; depth++) {
    const next = new Set(reached);
    for (const { kind } of pools) {
      if (!kind.plugs.every((plug) => reached.has(plug.configurationId))) continue;
      for (const connector of kind.connectors) next.add(connector.configurationId);
    }
    reached = next;
    byDepth.push(reached);
  }
  return byDepth;
}

/**
 * An adapter that ends in the one-line pattern of an outlet behind it only adds to it, unless it feeds something else
 * too or brings a breaker that protects what follows. (With two lines it may drop the one that does not suit.)
 */
function pointlessBelow(kind: AdapterKind, sinkId: string, above: readonly string[]): readonly string[] {
  if (kind.conductors.some(({ breakerA }) => breakerA !== null)) return [];
  const hasOneLine = configuration(sinkId)?.terminals.includes('L2') === false;
  return kind.connectors.length === 1 && hasOneLine ? [...above, sinkId] : above;
}

function shorePowerPatterns(outlets: readonly LikeOutlets[]): readonly string[] {
  const ids = new Set(outlets.map(([outlet]) => outlet.configurationId));
  return [...ids].filter((id) => configuration(id)?.shorePower === true);
}

interface PooledConnector {
  readonly poolIndex: number;
  readonly pool: AdapterPool;
  readonly fitting: string;
}

function connectorsByConfiguration(pools: readonly AdapterPool[]): Map<string, PooledConnector[]> {
  const byConfiguration = new Map<string, PooledConnector[]>();
  pools.forEach((pool, poolIndex) => {
    for (const { id, configurationId } of pool.kind.connectors) {
      const list = byConfiguration.get(configurationId) ?? [];
      list.push({ poolIndex, pool, fitting: id });
      byConfiguration.set(configurationId, list);
    }
  });
  return byConfiguration;
}

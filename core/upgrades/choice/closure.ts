/** Things that may be chosen, in whole numbers; places instead of ids. */
export interface ClosureProblem {
  readonly costs: readonly number[];
  /** For each thing, those that must be chosen with it; nothing requires itself in a circle. */
  readonly requires: readonly (readonly number[])[];
  readonly benefits: readonly { readonly value: number; readonly needs: readonly number[] }[];
}

/** 0: open, 1: in, 2: out. */
export type Fixing = Uint8Array;

export interface Closure {
  /** 1 for what is chosen. */
  readonly chosen: Uint8Array;
  readonly benefit: number;
  readonly cost: number;
  /** No choice with these fixings has more of `benefit - price x cost`. */
  readonly most: number;
}

export type BestClosure = (price: number, fixing: Fixing) => Closure;

/**
 * Makes the function that finds the choice with most `benefit - price x cost` among those that have all they require:
 * a largest closure, found as a smallest cut (Picard 1976, from memory). `most` comes from the flow, so it holds whatever
 * the rounding of the cut.
 */
export function closureFinder(problem: ClosureProblem): BestClosure {
  const { costs, requires, benefits } = problem;
  const things = costs.length;
  const [source, sink] = [things + benefits.length, things + benefits.length + 1];
  const network = emptyNetwork(sink + 1);
  const payArc = costs.map((_, i) => network.arc(i, sink));
  for (const [i, needed] of requires.entries()) for (const r of needed) network.arc(i, r, Number.POSITIVE_INFINITY);
  const gainArc = benefits.map(({ needs }, b) => {
    for (const need of needs) network.arc(things + b, need, Number.POSITIVE_INFINITY);
    return network.arc(source, things + b);
  });
  return (price, fixing) => {
    let total = 0;
    let paid = 0;
    network.reset();
    for (let i = 0; i < things; i++) {
      const cost = costs[i] ?? 0;
      if (fixing[i] === 1) paid += cost;
      network.setCapacity(
        payArc[i] ?? 0,
        fixing[i] === 0 ? price * cost : fixing[i] === 1 ? 0 : Number.POSITIVE_INFINITY,
      );
    }
    for (const [b, { value, needs }] of benefits.entries()) {
      const lost = needs.some((need) => fixing[need] === 2);
      if (!lost) total += value;
      network.setCapacity(gainArc[b] ?? 0, lost ? 0 : value);
    }
    const flow = network.maximise(source, sink);
    const chosen = new Uint8Array(things);
    for (let i = 0; i < things; i++) {
      if (fixing[i] === 1 || (fixing[i] === 0 && network.reached(i))) chosen[i] = 1;
    }
    return { chosen, ...worth(problem, chosen), most: total - flow - price * paid };
  };
}

export function worth({ costs, benefits }: ClosureProblem, chosen: Uint8Array): { benefit: number; cost: number } {
  let cost = 0;
  for (let i = 0; i < costs.length; i++) if (chosen[i] === 1) cost += costs[i] ?? 0;
  let benefit = 0;
  for (const { value, needs } of benefits) if (needs.every((need) => chosen[need] === 1)) benefit += value;
  return { benefit, cost };
}

/** A flow network that is solved again and again with other capacities (Dinic's way: shortest paths, blocking flows). */
function emptyNetwork(nodes: number) {
  const head: number[] = [];
  const base: number[] = [];
  const out: number[][] = Array.from({ length: nodes }, () => []);
  let left = new Float64Array(0);
  const level = new Int32Array(nodes);
  const next = new Int32Array(nodes);
  const queue = new Int32Array(nodes);
  let least = 0;

  const arc = (from: number, to: number, capacity = 0): number => {
    const id = head.length;
    head.push(to, from);
    base.push(capacity, 0);
    out[from]?.push(id);
    out[to]?.push(id + 1);
    return id;
  };
  const search = (source: number, sink: number): boolean => {
    level.fill(-1);
    level[source] = 0;
    queue[0] = source;
    for (let at = 0, end = 1; at < end; at++) {
      const node = queue[at] ?? 0;
      for (const id of out[node] ?? []) {
        const to = head[id] ?? 0;
        if ((level[to] ?? 0) >= 0 || (left[id] ?? 0) <= least) continue;
        level[to] = (level[node] ?? 0) + 1;
        queue[end++] = to;
      }
    }
    return (level[sink] ?? -1) >= 0;
  };
  const push = (node: number, sink: number, most: number): number => {
    if (node === sink) return most;
    const arcs = out[node] ?? [];
    for (; (next[node] ?? 0) < arcs.length; next[node] = (next[node] ?? 0) + 1) {
      const id = arcs[next[node] ?? 0] ?? 0;
      const to = head[id] ?? 0;
      const room = left[id] ?? 0;
      if (room <= least || level[to] !== (level[node] ?? 0) + 1) continue;
      const sent = push(to, sink, Math.min(most, room));
      if (sent <= 0) continue;
      left[id] = room - sent;
      left[id ^ 1] = (left[id ^ 1] ?? 0) + sent;
      return sent;
    }
    return 0;
  };
  return {
    arc,
    reset: () => {
      left = Float64Array.from(base);
      least = 0;
    },
    setCapacity: (id: number, capacity: number) => {
      left[id] = capacity;
      if (Number.isFinite(capacity)) least = Math.max(least, capacity * 1e-12);
    },
    maximise: (source: number, sink: number): number => {
      let flow = 0;
      while (search(source, sink)) {
        next.fill(0);
        for (let sent = push(source, sink, Number.POSITIVE_INFINITY); sent > 0; ) {
          flow += sent;
          sent = push(source, sink, Number.POSITIVE_INFINITY);
        }
      }
      return flow;
    },
    /** After `maximise`: whether the source still reaches the node, which is then on its side of the smallest cut. */
    reached: (node: number) => (level[node] ?? -1) >= 0,
  };
}

/** Which of `size` things are joined, built up pair by pair. */
export interface DisjointSets {
  /** The one that stands for everything joined to `item`. */
  find(item: number): number;
  /** Joins two; false where they were joined already. */
  join(a: number, b: number): boolean;
}

export function disjointSets(size: number): DisjointSets {
  const parent = new Int32Array(size).map((_, item) => item);
  const find = (item: number): number => {
    let root = item;
    while (parent[root] !== root) {
      const above = parent[root] as number;
      // Halving the path as it is walked keeps every later walk short.
      parent[root] = parent[above] as number;
      root = above;
    }
    return root;
  };
  return {
    find,
    join(a, b) {
      const rootA = find(a);
      const rootB = find(b);
      if (rootA === rootB) return false;
      parent[Math.max(rootA, rootB)] = Math.min(rootA, rootB);
      return true;
    },
  };
}

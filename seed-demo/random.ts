/** A seeded source of chance: the same seed gives the same demo on every machine and day. */
export interface Random {
  /** In `[0, 1)`. */
  next(): number;
  /** A whole number from `least` to `most`, both included. */
  whole(least: number, most: number): number;
  /** A number from `least` to `most` in steps of `step`. */
  stepped(least: number, most: number, step: number): number;
  /** True in this share of cases. */
  chance(share: number): boolean;
  pick<T>(items: readonly [T, ...T[]]): T;
  /** One value, each with its weight. */
  weighted<T>(items: readonly [readonly [T, number], ...(readonly [T, number])[]]): T;
  shuffled<T>(items: readonly T[]): T[];
}

/** mulberry32: 32 bits of state, enough for a demo and the same everywhere. */
export function createRandom(seed: number): Random {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  const whole = (least: number, most: number) => least + Math.floor(next() * (most - least + 1));
  return {
    next,
    whole,
    stepped: (least, most, step) => {
      const value = least + whole(0, Math.round((most - least) / step)) * step;
      return Math.round(value * 1000) / 1000;
    },
    chance: (share) => next() < share,
    pick: (items) => items[whole(0, items.length - 1)] ?? items[0],
    weighted: (items) => {
      let left = next() * items.reduce((sum, [, weight]) => sum + weight, 0);
      for (const [item, weight] of items) {
        left -= weight;
        if (left < 0) return item;
      }
      return items[0][0];
    },
    shuffled: (items) => {
      const mixed = [...items];
      for (let i = mixed.length - 1; i > 0; i--) {
        const j = whole(0, i);
        const [a, b] = [mixed[i], mixed[j]];
        if (a !== undefined && b !== undefined) {
          mixed[i] = b;
          mixed[j] = a;
        }
      }
      return mixed;
    },
  };
}

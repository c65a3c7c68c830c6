/** A seeded source of chance, in `[0, 1)`: the same seed gives the same study on every machine. */
export type Chance = () => number;

/** mulberry32: 32 bits of state. Good for some millions of draws, not for secrets. */
export function seededChance(seed: number): Chance {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

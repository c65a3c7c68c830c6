import type { Source } from './source.ts';

export const standardBreakerSource: Source = { title: 'NEC 240.6(A), standard ampere ratings', fromMemory: true };

/** Which breaker a conductor may have: the next standard rating up to 800 A (seen), its own ampacity above. */
export const breakerForConductorSource: Source = { title: 'NEC 240.4(B) and (C)', fromMemory: false };

/** Standard ampere ratings of inverse-time circuit breakers, ascending, without the ratings for fuses alone. */
export const standardBreakersA: readonly number[] = [
  15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500, 600,
  700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000, 6000,
];

/** The smallest standard rating that is not below the ampacity, or null where none is. */
export function nextStandardBreakerA(ampacityA: number): number | null {
  return standardBreakersA.find((ratedA) => ratedA >= ampacityA) ?? null;
}

/** The largest breaker that a conductor may have: the next standard rating where that is at most 800 A, else its ampacity. */
export function largestBreakerA(ampacityA: number): number {
  const nextA = nextStandardBreakerA(ampacityA);
  return nextA !== null && nextA <= 800 ? nextA : ampacityA;
}

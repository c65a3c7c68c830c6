import { performance } from 'node:perf_hooks';

export interface Figures {
  readonly name: string;
  readonly [figure: string]: number | string;
}

export interface Times {
  readonly medianMs: number;
  readonly percentile95Ms: number;
}

/** Runs several things in turn, A B C A B C ..., so that a change of the machine's speed meets all of them alike. */
export async function interleaved<Name extends string>(
  times: number,
  works: Readonly<Record<Name, (turn: number) => Promise<void>>>,
): Promise<Record<Name, Times>> {
  const names = Object.keys(works) as Name[];
  const taken = new Map<Name, number[]>(names.map((name) => [name, []]));
  const warmUp = Math.ceil(times / 5);
  for (let turn = -warmUp; turn < times; turn++) {
    for (const name of names) {
      const start = performance.now();
      await works[name](turn + warmUp);
      if (turn >= 0) taken.get(name)?.push(performance.now() - start);
    }
  }
  return Object.fromEntries(names.map((name) => [name, timesOf(taken.get(name) ?? [])])) as Record<Name, Times>;
}

function timesOf(taken: readonly number[]): Times {
  const sorted = [...taken].sort((a, b) => a - b);
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? 0;
  return { medianMs: rounded(at(0.5)), percentile95Ms: rounded(at(0.95)) };
}

export function rounded(value: number): number {
  return Math.round(value * 1_000) / 1_000;
}

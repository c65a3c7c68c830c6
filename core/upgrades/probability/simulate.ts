import type { LineName } from '../../standards/configuration.ts';
import type { Chance } from '../random.ts';
import { type LineLimit, type RandomLoad, requireSound } from './random-load.ts';

/** A share counted in draws, with its standard error: about two in three such runs come within one of them. */
export interface SimulatedChance {
  readonly chance: number;
  readonly standardError: number;
}

export interface Simulated {
  readonly draws: number;
  readonly limits: readonly (LineLimit & {
    readonly byLine: Partial<Record<LineName, SimulatedChance>>;
    /** On any line at once: what trips a breaker of several poles. */
    readonly anyLine: SimulatedChance;
  })[];
}

/**
 * The same demand by drawing moments. It knows what line-by-line convolution does not: loads on two lines load both at
 * once, so the chance that *any* line is over is no sum of the lines' chances.
 * @throws RangeError for figures that are none, or no draws.
 */
export function simulateChances(
  loads: readonly RandomLoad[],
  lines: readonly LineName[],
  limits: readonly LineLimit[],
  draws: number,
  chance: Chance,
): Simulated {
  requireSound(loads);
  if (!Number.isInteger(draws) || draws < 1) throw new RangeError(`${draws} draws say nothing. Ask for at least 1.`);
  const currents = loads.map(({ lineA }) => lines.map((line) => lineA[line] ?? 0));
  const over = limits.map(() => new Float64Array(lines.length + 1));
  const amperes = new Float64Array(lines.length);
  for (let draw = 0; draw < draws; draw++) {
    amperes.fill(0);
    for (const [i, load] of loads.entries()) {
      let on = 0;
      for (let one = 0; one < load.count; one++) if (chance() < load.chance) on++;
      if (on === 0) continue;
      const each = currents[i] ?? [];
      for (let line = 0; line < lines.length; line++) amperes[line] = (amperes[line] ?? 0) + on * (each[line] ?? 0);
    }
    for (const [i, { limitA }] of limits.entries()) count(over[i], amperes, limitA * (1 + 1e-12));
  }
  const share = (times: number): SimulatedChance => standardError(times, draws);
  return {
    draws,
    limits: limits.map((limit, i) => ({
      ...limit,
      byLine: Object.fromEntries(lines.map((line, l) => [line, share(over[i]?.[l] ?? 0)])),
      anyLine: share(over[i]?.[lines.length] ?? 0),
    })),
  };
}

function count(over: Float64Array | undefined, amperes: Float64Array, limitA: number): void {
  if (over === undefined) return;
  let any = 0;
  for (let line = 0; line < amperes.length; line++) {
    if ((amperes[line] ?? 0) <= limitA) continue;
    over[line] = (over[line] ?? 0) + 1;
    any = 1;
  }
  over[amperes.length] = (over[amperes.length] ?? 0) + any;
}

/**
 * The counted share with its standard error. Where a thing never (or always) happened the plain formula gives 0, which
 * claims too much: there the error is that of one happening more (or less).
 */
function standardError(times: number, draws: number): SimulatedChance {
  const chance = times / draws;
  const inside = Math.min(Math.max(times, 1), Math.max(draws - 1, 1)) / draws;
  return { chance, standardError: Math.sqrt((inside * (1 - inside)) / draws) };
}

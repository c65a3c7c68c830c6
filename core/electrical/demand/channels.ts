import type { LineName } from '../../standards/configuration.ts';
import type { SupplySystem } from '../../standards/supply-system.ts';

/** Where load hangs on a supply: line to neutral on each line, line to line on each pair. */
export const channelNames = ['L1', 'L2', 'L3', 'L1-L2', 'L2-L3', 'L3-L1'] as const;
export type ChannelName = (typeof channelNames)[number];

/**
 * Load on one part's own supply, VA, never negative: the six channels, then at `wholeIndex` the load as a whole. The
 * whole is kept apart because a load on an unknown line stands in several channels but is one load.
 */
export type LoadVa = ArrayLike<number>;
export const channelCount = 6;
export const wholeIndex = 6;
export const loadLength = 7;

export const lineNames: readonly LineName[] = ['L1', 'L2', 'L3'];

/** Channel between two different lines; lines count from 0, and a line's own channel has its number. */
export function pairChannel(a: number, b: number): number {
  return 3 + (a + b === 1 ? 0 : a + b === 3 ? 1 : 2);
}

/** Whether the channel loads this line. */
export function touches(channel: number, line: number): boolean {
  if (channel < 3) return channel === line;
  return channel - 3 === line || (channel - 3 + 1) % 3 === line;
}

export function noLoad(): Float64Array {
  return new Float64Array(loadLength);
}

export function addLoad(into: Float64Array, load: LoadVa, share = 1): void {
  for (let i = 0; i < loadLength; i++) into[i] = (into[i] ?? 0) + share * (load[i] ?? 0);
}

/** A supply's phasors, ready to turn channel loads at unity power factor into line amperes. */
export interface Phasors {
  readonly system: SupplySystem;
  /** Index (0 to 2) of each line the system has. */
  readonly lines: readonly number[];
  /** Volts line to neutral by line and line to line by pair; 0 where the system has no such line. */
  readonly channelV: ArrayLike<number>;
  /** Unit phasor of each line's voltage. */
  readonly lineRe: ArrayLike<number>;
  readonly lineIm: ArrayLike<number>;
  /** Whether no two lines are less than 120 degrees apart, as in split-phase and wye: then no two add up in the neutral. */
  readonly linesOppose: boolean;
  /** Amperes in a line for 1 VA in a channel, at `line * 6 + channel`. */
  readonly ampereRe: ArrayLike<number>;
  readonly ampereIm: ArrayLike<number>;
}

export function phasorsOf(system: SupplySystem): Phasors {
  const re = new Float64Array(3);
  const im = new Float64Array(3);
  const channelV = new Float64Array(channelCount);
  const lineRe = new Float64Array(3);
  const lineIm = new Float64Array(3);
  const lines: number[] = [];
  for (const { name, voltageV, angleDeg } of system.lines) {
    const line = lineNames.indexOf(name);
    const angle = (angleDeg * Math.PI) / 180;
    lines.push(line);
    lineRe[line] = Math.cos(angle);
    lineIm[line] = Math.sin(angle);
    re[line] = voltageV * Math.cos(angle);
    im[line] = voltageV * Math.sin(angle);
    channelV[line] = voltageV;
  }
  lines.sort((a, b) => a - b);

  const ampereRe = new Float64Array(3 * channelCount);
  const ampereIm = new Float64Array(3 * channelCount);
  let linesOppose = true;
  const put = (line: number, channel: number, vRe: number, vIm: number) => {
    // At unity power factor the current of S volt-amperes at V volts is S / |V| along V.
    const squared = vRe * vRe + vIm * vIm;
    ampereRe[line * channelCount + channel] = vRe / squared;
    ampereIm[line * channelCount + channel] = vIm / squared;
  };
  for (const a of lines) {
    put(a, a, re[a] ?? 0, im[a] ?? 0);
    for (const b of lines) {
      if (a === b) continue;
      const cosine = (lineRe[a] ?? 0) * (lineRe[b] ?? 0) + (lineIm[a] ?? 0) * (lineIm[b] ?? 0);
      if (cosine > -0.5 + 1e-9) linesOppose = false;
      const vRe = (re[a] ?? 0) - (re[b] ?? 0);
      const vIm = (im[a] ?? 0) - (im[b] ?? 0);
      channelV[pairChannel(a, b)] = Math.hypot(vRe, vIm);
      put(a, pairChannel(a, b), vRe, vIm);
    }
  }
  return { system, lines, channelV, lineRe, lineIm, linesOppose, ampereRe, ampereIm };
}

/**
 * Amperes in one line: magnitude of the phasor sum of its channels. No two of a line's currents are more than 60 degrees
 * apart, so more load in any channel never gives less.
 */
export function lineAmperes(phasors: Phasors, load: LoadVa, line: number): number {
  let re = 0;
  let im = 0;
  for (let channel = 0; channel < channelCount; channel++) {
    const va = load[channel] ?? 0;
    re += va * (phasors.ampereRe[line * channelCount + channel] ?? 0);
    im += va * (phasors.ampereIm[line * channelCount + channel] ?? 0);
  }
  return Math.sqrt(re * re + im * im);
}

/**
 * Maximum unbalanced amperes in the neutral: the worst that any choice of the line-to-neutral loads, each on or off,
 * can leave in it. On split-phase and wye supplies that is the most loaded line alone; on a high-leg supply two lines
 * 90 degrees apart add up to more.
 */
export function neutralAmperes(phasors: Phasors, load: LoadVa): number {
  let worst = 0;
  if (phasors.linesOppose) {
    for (const line of phasors.lines) worst = Math.max(worst, (load[line] ?? 0) / (phasors.channelV[line] ?? 1));
    return worst;
  }
  for (let chosen = 1; chosen < 8; chosen++) {
    let re = 0;
    let im = 0;
    for (const line of phasors.lines) {
      const volts = phasors.channelV[line] ?? 0;
      if ((chosen & (1 << line)) === 0 || volts === 0) continue;
      const amperes = (load[line] ?? 0) / volts;
      re += amperes * (phasors.lineRe[line] ?? 0);
      im += amperes * (phasors.lineIm[line] ?? 0);
    }
    worst = Math.max(worst, re * re + im * im);
  }
  return Math.sqrt(worst);
}

import type { DemandPractice } from '../../standards/demand-practice.ts';
import { type ChannelName, channelCount, channelNames, type LoadVa, noLoad, wholeIndex } from './channels.ts';
import { type AdmittedDemand, admittedDemand } from './practice-factor.ts';

/** Where one channel's demand comes from: `countedVa` x `factor`, and the other loads. */
export interface ChannelDemand {
  readonly channel: ChannelName;
  /** Receptacles that load the channel. */
  readonly receptacles: number;
  /** Their ratings on it summed, or the boats' stated loads, VA. */
  readonly connectedVa: number;
  /** How many were counted, and the factor of that count; null on the stated basis. */
  readonly count: number | null;
  readonly factor: number | null;
  /** The `count` largest of the ratings summed; on the stated basis all of the loads, VA. */
  readonly countedVa: number;
  /** Loads outside the factor, VA. */
  readonly otherLoadVa: number;
  readonly demandVa: number;
}

interface AdmittedLoad {
  readonly load: LoadVa;
  readonly whole: AdmittedDemand;
  readonly connectedVa: number;
  readonly channels: readonly ChannelDemand[];
}

/**
 * Receptacles in use by the admission formula: each channel, and the whole, by the count of its own that gives most. The
 * amperes of a line come from the channels that touch it, so their counts differ from that of the whole.
 */
export function admittedLoad(practice: DemandPractice, loads: readonly LoadVa[], other: LoadVa): AdmittedLoad {
  const load = noLoad();
  const channels: ChannelDemand[] = [];
  for (let channel = 0; channel < channelCount; channel++) {
    const ratings = loads.map((of) => of[channel] ?? 0).filter((va) => va > 0);
    const { demandVa, ...counted } = admittedDemand(practice, ratings, loads.length);
    load[channel] = demandVa;
    addChannel(channels, channel, ratings, counted, demandVa, other);
  }
  const ratings = loads.map((of) => of[wholeIndex] ?? 0);
  const whole = admittedDemand(practice, ratings);
  load[wholeIndex] = whole.demandVa;
  return { load, whole, connectedVa: sumOf(ratings), channels };
}

/** The boats' own loads, channel by channel, no factor on top. */
export function statedChannels(loads: readonly LoadVa[], other: LoadVa): ChannelDemand[] {
  const channels: ChannelDemand[] = [];
  for (let channel = 0; channel < channelCount; channel++) {
    const stated = loads.map((of) => of[channel] ?? 0).filter((va) => va > 0);
    const sum = sumOf(stated);
    addChannel(channels, channel, stated, { count: null, factor: null, countedVa: sum }, sum, other);
  }
  return channels;
}

/** A channel that carries nothing is left out. */
function addChannel(
  channels: ChannelDemand[],
  channel: number,
  ratings: readonly number[],
  counted: Pick<ChannelDemand, 'count' | 'factor' | 'countedVa'>,
  demandVa: number,
  other: LoadVa,
): void {
  const name = channelNames[channel];
  const otherLoadVa = other[channel] ?? 0;
  if (name === undefined || (ratings.length === 0 && otherLoadVa === 0)) return;
  channels.push({
    channel: name,
    receptacles: ratings.length,
    connectedVa: sumOf(ratings),
    ...counted,
    otherLoadVa,
    demandVa: demandVa + otherLoadVa,
  });
}

function sumOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0);
}

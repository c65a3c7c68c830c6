import type { Outlet } from '../../inventory/inventory.ts';
import type { Configuration, LineName } from '../../standards/configuration.ts';
import type { SupplySystem } from '../../standards/supply-system.ts';
import {
  type ChannelName,
  channelCount,
  channelNames,
  type LoadVa,
  lineNames,
  noLoad,
  type Phasors,
  pairChannel,
  phasorsOf,
  touches,
  wholeIndex,
} from './channels.ts';
import { nominalVolts } from './nominal-volts.ts';

/** What one receptacle counts for on its own supply. */
export interface ReceptacleRating {
  readonly ratedA: number;
  /** Nominal volts that the practice's sum takes: line to neutral for one line, line to line for more. */
  readonly nominalV: number;
  /** Rated amperes x nominal volts (x sqrt(3) for three lines): 3,600 for 30 A 120 V. */
  readonly connectedVa: number;
  /** The same at the lowest volts it could be on: a stated load is a share of this one, so that no line gets too little. */
  readonly leastVa: number;
  /** Whether its lines are known; otherwise it stands on every line and in every channel it could be on. */
  readonly linesKnown: boolean;
  readonly lineA: Partial<Record<LineName, number>>;
  readonly channelVa: Partial<Record<ChannelName, number>>;
  /** The same channels as numbers, `connectedVa` last. */
  readonly load: LoadVa;
}

/**
 * Rating of a receptacle on the supply that feeds it, or null where that supply cannot feed the pattern at all (a line
 * or the neutral is missing). `carried` are the lines that reach it; null means all of the system's.
 */
export function receptacleRating(
  outlet: Pick<Outlet, 'lines'>,
  configuration: Pick<Configuration, 'ratedA' | 'terminals'>,
  system: SupplySystem,
  carried: readonly LineName[] | null = null,
): ReceptacleRating | null {
  return ratingOn(outlet, configuration, phasorsOf(system), carried);
}

/** As `receptacleRating`, for callers that keep the phasors. */
export function ratingOn(
  outlet: Pick<Outlet, 'lines'>,
  configuration: Pick<Configuration, 'ratedA' | 'terminals'>,
  phasors: Phasors,
  carried: readonly LineName[] | null,
): ReceptacleRating | null {
  const contacts = configuration.terminals.filter((terminal) => terminal !== 'N' && terminal !== 'G').length;
  const toNeutral = configuration.terminals.includes('N');
  if (toNeutral && !phasors.system.hasNeutral) return null;
  if (contacts === 0 || (contacts === 1 && !toNeutral)) return null;

  const reaching = phasors.lines.filter((line) => carried === null || carried.includes(nameOf(line)));
  const stated = statedLines(outlet.lines, contacts, phasors.lines);
  const candidates = stated ?? reaching;
  if (candidates.length < contacts) return null;

  const { ratedA } = configuration;
  const channels = channelsFor(candidates, contacts, toNeutral);
  const load = noLoad();
  for (const channel of channels) {
    // Three lines without neutral: each pair carries the line's amperes divided by sqrt(3).
    const amperes = contacts === 3 && !toNeutral ? ratedA / Math.sqrt(3) : ratedA;
    load[channel] = amperes * (phasors.channelV[channel] ?? 0);
  }
  const volts = contacts === 1 ? candidates.map((line) => phasors.channelV[line] ?? 0) : pairVolts(candidates, phasors);
  const nominalV = nominalVolts(Math.max(...volts));
  const phases = contacts === 3 ? Math.sqrt(3) : 1;
  const connectedVa = ratedA * nominalV * phases;
  const leastVa = ratedA * nominalVolts(Math.min(...volts)) * phases;
  load[wholeIndex] = connectedVa;

  const lineA: Partial<Record<LineName, number>> = {};
  for (const line of candidates) if (channels.some((channel) => touches(channel, line))) lineA[nameOf(line)] = ratedA;
  const channelVa: Partial<Record<ChannelName, number>> = {};
  for (const channel of channels) {
    const name = channelNames[channel];
    if (name !== undefined) channelVa[name] = load[channel] ?? 0;
  }
  const linesKnown = candidates.length === contacts;
  return { ratedA, nominalV, connectedVa, leastVa, linesKnown, lineA, channelVa, load };
}

function nameOf(line: number): LineName {
  return lineNames[line] ?? 'L1';
}

/** The stated lines as indexes, or null where they are unknown or cannot be this receptacle's. */
function statedLines(
  lines: readonly LineName[] | null,
  contacts: number,
  ofSystem: readonly number[],
): readonly number[] | null {
  if (lines === null || new Set(lines).size !== contacts) return null;
  const indexes = lines.map((name) => lineNames.indexOf(name));
  return indexes.every((line) => ofSystem.includes(line)) ? indexes : null;
}

function channelsFor(candidates: readonly number[], contacts: number, toNeutral: boolean): number[] {
  if (toNeutral) return [...candidates];
  const channels = new Set<number>();
  for (const a of candidates) for (const b of candidates) if (a !== b) channels.add(pairChannel(a, b));
  return [...channels].filter((channel) => channel < channelCount && contacts > 1);
}

function pairVolts(candidates: readonly number[], { channelV }: Phasors): number[] {
  return candidates.flatMap((a) => candidates.filter((b) => b !== a).map((b) => channelV[pairChannel(a, b)] ?? 0));
}

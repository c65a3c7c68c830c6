import type { Replay } from './replay.ts';

export interface ReplayDifference {
  readonly nightsServed: number;
  readonly nightsTurnedAway: number;
  readonly adapterNights: number;
  readonly nightsUnconfirmed: number;
  readonly incomeMinor: bigint | null;
  readonly nightsByService: Readonly<Record<string, number>>;
  readonly nightsTurnedAwayByRule: Readonly<Record<string, number>>;
  /** Requests that are served in the one and not in the other. */
  readonly newlyServed: readonly string[];
  readonly newlyTurnedAway: readonly string[];
  /** Rated peak, VA, of parts in both. */
  readonly peaks: readonly { readonly equipmentId: string; readonly beforeVa: number; readonly afterVa: number }[];
}

/** What is different in `after`; replay is compared with replay, never with what the desk did in the season itself. */
export function compareReplays(before: Replay, after: Replay): ReplayDifference {
  const served = (replay: Replay) =>
    new Set(replay.placements.flatMap(({ requestId, berthId }) => (berthId === null ? [] : [requestId])));
  const was = served(before);
  const is = served(after);
  const peakOf = new Map(before.peaks.map(({ equipmentId, ratedVa }) => [equipmentId, ratedVa]));
  return {
    nightsServed: after.nightsServed - before.nightsServed,
    nightsTurnedAway: after.nightsTurnedAway - before.nightsTurnedAway,
    adapterNights: after.adapterNights - before.adapterNights,
    nightsUnconfirmed: after.nightsUnconfirmed - before.nightsUnconfirmed,
    incomeMinor:
      before.incomeMinor === null || after.incomeMinor === null ? null : after.incomeMinor - before.incomeMinor,
    nightsByService: differences(before.nightsByService, after.nightsByService),
    nightsTurnedAwayByRule: differences(before.nightsTurnedAwayByRule, after.nightsTurnedAwayByRule),
    newlyServed: [...is].filter((id) => !was.has(id)),
    newlyTurnedAway: [...was].filter((id) => !is.has(id)),
    peaks: after.peaks.flatMap(({ equipmentId, ratedVa }) => {
      const beforeVa = peakOf.get(equipmentId);
      return beforeVa === undefined || beforeVa === ratedVa ? [] : [{ equipmentId, beforeVa, afterVa: ratedVa }];
    }),
  };
}

function differences(
  before: Readonly<Record<string, number>>,
  after: Readonly<Record<string, number>>,
): Record<string, number> {
  const names = [...new Set([...Object.keys(before), ...Object.keys(after)])].sort();
  return Object.fromEntries(
    names.map((name) => [name, (after[name] ?? 0) - (before[name] ?? 0)] as const).filter(([, value]) => value !== 0),
  );
}

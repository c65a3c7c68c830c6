import type { OutletUse, SpaceUse, StockUse } from '../../berths/occupancy.ts';
import type { BerthOption } from '../../berths/options/options.ts';
import { prepare } from '../../berths/options/prepare.ts';
import { rankBerths } from '../../berths/options/rank-berths.ts';
import { toldValue } from '../../berths/told-value.ts';
import { statedVaOf } from '../../electrical/boat-load/load-of-boat.ts';
import { peakDemand } from '../../electrical/demand/peak-demand.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Period } from '../../periods.ts';
import { configuration } from '../../standards/configurations.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { priceStay } from '../money/price-stay.ts';
import type { Tariff } from '../money/tariff.ts';
import type { ReplayRequest } from './request.ts';

/** A season taken in booking order on one inventory. */
export interface SeasonOnMarina {
  readonly index: InventoryIndex;
  readonly practice: DemandPractice;
  readonly season: Period;
  readonly requests: readonly ReplayRequest[];
  /** What holders have and what is closed, construction included. */
  readonly spaceUses: readonly SpaceUse[];
  readonly outletUses: readonly OutletUse[];
  /** Null: income is not counted. */
  readonly tariff: Tariff | null;
}

export interface Replay {
  readonly requests: number;
  readonly served: number;
  readonly turnedAway: number;
  readonly nightsServed: number;
  /** Nights by what the boat was plugged into: `SS2-50`, `2 x L5-30`, `none`. */
  readonly nightsByService: Readonly<Record<string, number>>;
  readonly nightsTurnedAway: number;
  /** Nights by the rules that refused the least refused berth; a night counts once for each of them. */
  readonly nightsTurnedAwayByRule: Readonly<Record<string, number>>;
  /** Nights held with something about them unconfirmed. */
  readonly nightsUnconfirmed: number;
  /** Nights with an adapter, one for each piece. */
  readonly adapterNights: number;
  readonly peaks: readonly {
    readonly equipmentId: string;
    readonly label: string;
    readonly ratedVa: number;
    readonly largestShare: number | null;
  }[];
  /** Minor units; null without a tariff. */
  readonly incomeMinor: bigint | null;
  /** Stays of which something could not be charged. */
  readonly staysNotWhollyCharged: number;
  readonly placements: readonly {
    readonly requestId: string;
    readonly berthId: string | null;
    readonly rules: readonly string[];
  }[];
}

/**
 * Takes every request in booking order and gives it the first berth of core's own ranking that the rules do not refuse,
 * as the desk would; a request without one is turned away with the rules that spoke. Nothing is moved later. It pauses
 * before each request, so that whoever runs it can do other things.
 */
export function* replaySteps({
  index,
  practice,
  season,
  requests,
  spaceUses,
  outletUses,
  tariff,
}: SeasonOnMarina): Generator<void, Replay> {
  const turnoverMs = index.inventory.settings.turnoverMinutes * 60_000;
  const space: SpaceUse[] = [...spaceUses];
  const outlets: OutletUse[] = [...outletUses];
  const stock: StockUse[] = [];
  const nightsByService: Record<string, number> = {};
  const nightsTurnedAwayByRule: Record<string, number> = {};
  const placements: { requestId: string; berthId: string | null; rules: readonly string[] }[] = [];
  let [served, nightsServed, nightsTurnedAway, nightsUnconfirmed, adapterNights, notWhollyCharged] = [0, 0, 0, 0, 0, 0];
  let incomeMinor = 0n;
  const inOrder = [...requests].sort((a, b) => a.bookedAt - b.bookedAt || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0));
  for (const request of inOrder) {
    yield;
    const { boat, period, localDays, wishes } = request;
    const nights = request.nights.length;
    const occupiedUntil = period.until + turnoverMs;
    const isDuring = (use: Period) => use.from < occupiedUntil && period.from < use.until;
    const [best] = rankBerths(
      prepare({
        index,
        practice,
        boat,
        period,
        occupiedUntil,
        localDays,
        wishes,
        spaceUses: space.filter(isDuring),
        outletUses: outlets.filter(isDuring),
        stockUses: stock.filter(isDuring),
      }),
    );
    const option = best?.describe();
    if (best === undefined || option === undefined || best.verdict === 'refused') {
      const rules = [
        ...new Set(option?.findings.filter(({ level }) => level === 'refuse').map(({ rule }) => rule)),
      ].sort();
      placements.push({ requestId: request.id, berthId: null, rules });
      nightsTurnedAway += nights;
      for (const rule of rules) nightsTurnedAwayByRule[rule] = (nightsTurnedAwayByRule[rule] ?? 0) + nights;
      continue;
    }
    served++;
    nightsServed += nights;
    if (best.verdict === 'unconfirmed') nightsUnconfirmed += nights;
    const service = serviceOf(index, option);
    nightsByService[service] = (nightsByService[service] ?? 0) + nights;
    adapterNights += nights * (option.hookUp?.hookUp.adapters.length ?? 0);
    placements.push({ requestId: request.id, berthId: option.berthId, rules: [] });
    take(request, option, occupiedUntil, index, { space, outlets, stock });
    if (tariff !== null) {
      const price = priceStay(tariff, {
        nights: request.nights,
        lengthM: toldValue(boat.lengthOverallM),
        outlets: option.outletIds.map((id) => ({ ratedA: ratedA(index, id) })),
        energyKwh: request.energyKwh,
      });
      incomeMinor += price.beforeTaxMinor;
      if (price.notCharged.length > 0) notWhollyCharged++;
    }
  }
  return {
    requests: requests.length,
    served,
    turnedAway: requests.length - served,
    nightsServed,
    nightsByService,
    nightsTurnedAway,
    nightsTurnedAwayByRule,
    nightsUnconfirmed,
    adapterNights,
    peaks: peakDemand(index, practice, outlets, season).map(({ rated }) => ({
      equipmentId: rated.equipmentId,
      label: rated.label,
      ratedVa: rated.demandVa.value,
      largestShare: rated.limits.reduce<number | null>(
        (most, { actual, limit }) => (limit === null || limit === 0 ? most : Math.max(most ?? 0, actual / limit)),
        null,
      ),
    })),
    incomeMinor: tariff === null ? null : incomeMinor,
    staysNotWhollyCharged: notWhollyCharged,
    placements,
  };
}

/** The whole replay at once. */
export function replaySeason(season: SeasonOnMarina): Replay {
  const steps = replaySteps(season);
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}

function take(
  { id, boat, period }: ReplayRequest,
  option: BerthOption,
  until: number,
  index: InventoryIndex,
  into: { readonly space: SpaceUse[]; readonly outlets: OutletUse[]; readonly stock: StockUse[] },
): void {
  const by = { kind: 'assignment' as const, id, label: boat.name };
  for (const unitId of index.berths.get(option.berthId)?.unitIds ?? []) {
    const { fromM, untilM } = option.place ?? { fromM: 0, untilM: 1 };
    into.space.push({ unitId, fromM, untilM, by, from: period.from, until });
  }
  const stated = statedVaOf(boat);
  const share = option.outletIds.length === 0 ? null : stated === null ? null : stated / option.outletIds.length;
  for (const outletId of option.outletIds)
    into.outlets.push({ outletId, by, statedVa: share, from: period.from, until });
  for (const { stockId } of option.hookUp?.hookUp.adapters ?? []) {
    if (stockId !== null) into.stock.push({ stockId, quantity: 1, assignmentId: id, from: period.from, until });
  }
}

function serviceOf(index: InventoryIndex, option: BerthOption): string {
  const counts = new Map<string, number>();
  for (const id of option.outletIds) {
    const pattern = index.outlets.get(id)?.configurationId ?? '?';
    counts.set(pattern, (counts.get(pattern) ?? 0) + 1);
  }
  const words = [...counts]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([pattern, count]) => (count === 1 ? pattern : `${count} x ${pattern}`));
  return words.length === 0 ? 'none' : words.join(' + ');
}

function ratedA(index: InventoryIndex, outletId: string): number {
  return configuration(index.outlets.get(outletId)?.configurationId ?? '')?.ratedA ?? 0;
}

import type { z } from 'zod';
import { peakDemand } from '../../core/electrical/demand/peak-demand.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { overlaps, type Period } from '../../core/periods.ts';
import { practiceOf } from '../berth-options/question.ts';
import type { Tx } from '../db/client.ts';
import { localDayOf, localDayPeriod, localDaysOf } from '../local-time.ts';
import { loadPresent } from '../occupancy/overstays.ts';
import { requirePart } from './read-demand.ts';
import type { demandSeriesSchema } from './schema.ts';

type DemandOfDay = z.output<typeof demandSeriesSchema>['days'][number];

interface AskedSeries {
  readonly index: InventoryIndex;
  readonly period: Period;
  readonly equipmentId: string;
  readonly now: number;
}

/**
 * Demand of one part day by day at the marina: the peak of each day on both bases, each limit with its own.
 * @throws Problem `not-found` where the inventory has no such part.
 */
export async function readSeries(db: Tx, marinaId: string, { index, period, equipmentId, now }: AskedSeries) {
  const { timeZone } = index.inventory;
  const part = requirePart(index, equipmentId);
  const practice = practiceOf(index);
  const { outletUses } = await loadPresent(db, marinaId, index, { now, period });
  const last = localDaysOf(period, timeZone).until;
  const days: DemandOfDay[] = [];
  for (let from = localDayPeriod(localDayOf(period.from, timeZone), timeZone).from; ; ) {
    const day = localDayOf(from, timeZone);
    if (day >= last) break;
    const whole = localDayPeriod(day, timeZone);
    const uses = outletUses.filter((use) => overlaps(use, whole));
    const peak = peakDemand(index, practice, uses, whole, equipmentId)[0];
    if (peak !== undefined) {
      const on = ({ demandVa, limits, assessment }: (typeof peak)['rated']) => ({
        demandVa: demandVa.value,
        limits: limits.map(({ at: _, ...check }) => check),
        assessment,
      });
      days.push({ day, rated: on(peak.rated), stated: on(peak.stated) });
    }
    from = whole.until;
  }
  return { part, days };
}

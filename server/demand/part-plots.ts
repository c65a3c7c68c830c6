import type { z } from 'zod';
import type { demandSeriesSchema } from './schema.ts';

type Series = z.output<typeof demandSeriesSchema>;
type Limit = Series['days'][number]['rated']['limits'][number];

/** Demand day by day in one unit, with the limits in it. */
export interface PlotOfUnit {
  readonly unit: 'A' | 'kVA';
  readonly limits: readonly Pick<Limit, 'kind' | 'winding' | 'limit'>[];
  /** The highest of what the limits of this unit are held against; null where nothing is. */
  readonly days: readonly { readonly day: string; readonly rated: number | null; readonly stated: number | null }[];
}

/** One plot for each unit that a limit has; a part without limits is shown by its demand in kVA. */
export function plotsOf({ days }: Series): PlotOfUnit[] {
  const limits = days[0]?.rated.limits ?? [];
  const units = [...new Set(limits.map(({ unit }) => unit))];
  if (units.length === 0) {
    const kva = days.map(({ day, rated, stated }) => ({
      day,
      rated: rated.demandVa / 1000,
      stated: stated.demandVa / 1000,
    }));
    return [{ unit: 'kVA', limits: [], days: kva }];
  }
  return units.map((unit) => ({
    unit,
    limits: limits.filter((limit) => limit.unit === unit).map(({ kind, winding, limit }) => ({ kind, winding, limit })),
    days: days.map(({ day, rated, stated }) => ({
      day,
      rated: highest(rated.limits, unit),
      stated: highest(stated.limits, unit),
    })),
  }));
}

/** The neutral carries only what the lines do not balance: it is never the highest, and has its own limit. */
function highest(limits: readonly Limit[], unit: Limit['unit']): number | null {
  const actual = limits.filter((limit) => limit.unit === unit).map((limit) => limit.actual);
  return actual.length === 0 ? null : Math.max(...actual);
}

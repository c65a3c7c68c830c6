import type { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { SpaceUnit } from '../../core/inventory/inventory.ts';
import { groupBy } from '../group-by.ts';
import type { HoldingDocument } from '../holdings/schema.ts';
import type { occupancySchema } from './occupancy-schema.ts';

type Space = z.output<typeof occupancySchema>['spaces'][number];

/** A night at the marina: from its evening to the next morning, epoch milliseconds. */
export interface Night {
  readonly from: number;
  readonly until: number;
}

/** One or more nights of a unit of space with the same people on it. */
export interface Stretch {
  readonly nights: number;
  /** Nobody: free. Several: on a face, or after one another in one night. */
  readonly spaces: readonly Space[];
  /** Holders whose right runs and who are away: the space is let to others. */
  readonly away: readonly HoldingDocument[];
}

export interface CalendarRow {
  readonly unit: SpaceUnit;
  readonly stretches: readonly Stretch[];
}

/** Each of some units over some nights, alike neighbours in one stretch. */
export function calendarRows(
  { berths }: InventoryIndex,
  units: readonly SpaceUnit[],
  nights: readonly Night[],
  { spaces, holdings }: { readonly spaces: readonly Space[]; readonly holdings: readonly HoldingDocument[] },
): CalendarRow[] {
  const byUnit = groupBy(spaces, ({ unitId }) => unitId);
  const holdingsOfUnit = new Map<string, HoldingDocument[]>();
  for (const holding of holdings) {
    for (const unitId of berths.get(holding.berthId)?.unitIds ?? []) {
      holdingsOfUnit.set(unitId, [...(holdingsOfUnit.get(unitId) ?? []), holding]);
    }
  }
  return units.map((unit) => {
    const stretches: { nights: number; spaces: Space[]; away: HoldingDocument[] }[] = [];
    let last = '';
    for (const night of nights) {
      const all = (byUnit.get(unit.id) ?? []).filter((space) => touches(space, night));
      const overdue = new Set(all.filter(({ overdueSince }) => overdueSince !== null).map(({ by }) => by.id));
      const here = all.filter(({ by, overdueSince }) => overdueSince !== null || !overdue.has(by.id));
      const present = new Set(here.map(({ by }) => by.id));
      const away = (holdingsOfUnit.get(unit.id) ?? []).filter(
        (holding) => touches(holding, night) && !present.has(holding.id),
      );
      const key = [
        ...here.map(({ by, overdueSince }) => `${by.id} ${overdueSince}`),
        '/',
        ...away.map(({ id }) => id),
      ].join(' ');
      const stretch = stretches.at(-1);
      if (stretch !== undefined && key === last) stretch.nights += 1;
      else stretches.push({ nights: 1, spaces: here, away });
      last = key;
    }
    return { unit, stretches };
  });
}

function touches({ from, until }: { readonly from: string; readonly until: string | null }, night: Night): boolean {
  return Date.parse(from) < night.until && (until === null || Date.parse(until) > night.from);
}

import { Temporal } from 'temporal-polyfill';
import type { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { PartOfDay } from '../../core/upgrades/probability/duty-cycles.ts';
import type { BoatOnOutlets } from '../../core/upgrades/probability/loads-on-part.ts';
import {
  chancesOfPart,
  fullMarinaAssumption,
  withBoatOnEveryOutlet,
} from '../../core/upgrades/probability/part-chances.ts';
import { practiceOf } from '../berth-options/question.ts';
import type { Tx } from '../db/client.ts';
import { Problem } from '../errors.ts';
import { boatsAt } from './boats-at.ts';
import { type partChancesSchema, partChancesToApi, type probabilityQuery } from './schema.ts';

export interface AskedHour {
  readonly query: z.output<typeof probabilityQuery>;
  readonly at: number;
  readonly partOfDay: PartOfDay;
  readonly boats: readonly BoatOnOutlets[];
}

/** The chosen hour, and who is plugged in then. */
export async function readHour(
  db: Tx,
  marinaId: string,
  index: InventoryIndex,
  query: z.output<typeof probabilityQuery>,
  now: number,
): Promise<AskedHour> {
  const at = query.at === undefined ? now : Date.parse(query.at);
  const boats = await boatsAt(db, marinaId, index, { at, now, season: query.season });
  return { query, at, boats, partOfDay: query.partOfDay ?? partOfDayAt(at, index.inventory.timeZone) };
}

/**
 * The chances of one part in that hour on one inventory. Outlets that it does not have take no boat, which is said.
 * @throws Problem `not-found`, or `invalid-input` for a step that is too fine.
 */
export function chancesIn(
  index: InventoryIndex,
  { query, boats, partOfDay }: AskedHour,
): z.output<typeof partChancesSchema> {
  const { equipmentId, season, stepA = null, draws, seed } = query;
  if (!index.equipment.has(equipmentId))
    throw new Problem('not-found', `There is no distribution equipment "${equipmentId}".`);
  const known = boats.flatMap((boat) => {
    const outletIds = boat.outletIds.filter((id) => index.outlets.has(id));
    return outletIds.length === 0 ? [] : [{ ...boat, outletIds }];
  });
  const counted = query.boats === 'everyOutlet' ? withBoatOnEveryOutlet(index, known) : known;
  const gone = boats.flatMap(({ outletIds }) => outletIds.filter((id) => !index.outlets.has(id)));
  try {
    const found = chancesOfPart(
      index,
      practiceOf(index),
      equipmentId,
      counted,
      { season, partOfDay },
      { stepA, draws, seed },
    );
    const { assumptions, ...rest } = partChancesToApi(found, counted.length);
    return {
      ...rest,
      assumptions: [
        ...(query.boats === 'everyOutlet' ? [fullMarinaAssumption] : []),
        ...(gone.length > 0 ? [`Boats on outlets that are not there are left out: ${gone.join(', ')}.`] : []),
        ...assumptions,
      ],
    };
  } catch (error) {
    if (error instanceof RangeError)
      throw new Problem('invalid-input', error.message, {
        errors: [{ in: 'query', pointer: '/stepA', message: error.message }],
      });
    throw error;
  }
}

function partOfDayAt(at: number, timeZone: string): PartOfDay {
  const { hour } = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(timeZone);
  if (hour < 6 || hour >= 23) return 'night';
  if (hour < 12) return 'morning';
  return hour < 18 ? 'afternoon' : 'evening';
}

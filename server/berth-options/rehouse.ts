import { z } from 'zod';
import type { Period } from '../../core/periods.ts';
import { assignmentsFrom, periodToPlace } from '../assignments/place-stay.ts';
import { displacedSchema } from '../occupancy/displaced-schema.ts';
import type { Services } from '../services.ts';
import { loadStay } from '../stays/stored-stay.ts';
import { bestAlternatives } from './alternatives.ts';
import { placeSchema, verdictSchema } from './schema.ts';

/** A displaced stay with the best berths that are left for it. */
export const rehousedSchema = z
  .strictObject({
    ...displacedSchema.shape,
    alternatives: z
      .array(
        z.strictObject({
          berthId: z.string(),
          label: z.string(),
          place: placeSchema.nullable(),
          verdict: verdictSchema,
        }),
      )
      .describe('The best berths left for it from then on, at most three; for the first ten stays of the answer.'),
  })
  .meta({ id: 'Rehoused' });

type Displaced = z.output<typeof displacedSchema>;
type Rehoused = z.output<typeof rehousedSchema>;

const mostStays = 10;

/**
 * Finds what is left for stays that lost their berth, in their order, each judged alone: two of them may be offered the
 * same berth, and assigning judges again. Call it after the transaction that displaced them.
 */
export async function rehouse(
  services: Services,
  marinaId: string,
  displaced: readonly Displaced[],
  now: number,
): Promise<Rehoused[]> {
  const rehoused: Rehoused[] = [];
  for (const [position, lost] of displaced.entries()) {
    rehoused.push({
      ...lost,
      alternatives: position < mostStays ? await alternativesFor(services, marinaId, lost, now) : [],
    });
  }
  return rehoused;
}

async function alternativesFor(services: Services, marinaId: string, { stayId, from }: Displaced, now: number) {
  const stay = await loadStay(services.db.prisma, marinaId, stayId);
  if (stay === null || stay.row.departureAt.getTime() <= Date.parse(from)) return [];
  const { index } = await services.inventories.inventoryOf(services.db.prisma, marinaId);
  const period: Period = periodToPlace(stay, Date.parse(from), index.inventory.timeZone);
  const options = await bestAlternatives(services, marinaId, {
    boat: stay.boat,
    wishes: stay.wishes,
    groupId: stay.row.groupId,
    period,
    withoutAssignmentIds: new Set(assignmentsFrom(stay, period.from).map(({ id }) => id)),
    now,
  });
  return options.map(({ berthId, label, place, verdict }) => ({ berthId, label, place, verdict }));
}

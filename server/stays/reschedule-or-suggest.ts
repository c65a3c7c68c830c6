import { bestAlternatives } from '../berth-options/alternatives.ts';
import { Problem } from '../errors.ts';
import type { Services } from '../services.ts';
import { newPeriod, type Rescheduled, type RescheduleStay, rescheduleStay } from './reschedule-stay.ts';
import { readStay } from './stored-stay.ts';

/** A refusal, or a race lost, is answered with the best berths for all that is still to come of the new dates. */
export async function rescheduleOrSuggest(services: Services, command: RescheduleStay): Promise<Rescheduled> {
  try {
    return await rescheduleStay(services, command);
  } catch (error) {
    if (!(error instanceof Problem) || (error.problem !== 'refused' && error.problem !== 'double-use')) throw error;
    const { marinaId } = command.principal;
    const { prisma } = services.db;
    const stay = await readStay(prisma, marinaId, command.stayId);
    const { index } = await services.inventories.inventoryOf(prisma, marinaId);
    const { from, until } = newPeriod(stay, command, index.inventory);
    const alternatives = await bestAlternatives(services, marinaId, {
      boat: stay.boat,
      wishes: stay.wishes,
      groupId: stay.row.groupId,
      period: { from: Math.max(from, command.now), until },
      withoutAssignmentIds: new Set(stay.assignments.map(({ id }) => id)),
      now: command.now,
    });
    throw new Problem(error.problem, error.message, { ...error.parts, alternatives });
  }
}

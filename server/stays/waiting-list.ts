import { z } from 'zod';
import { judgeChoice } from '../../core/berths/options/judge-choice.ts';
import { prepare } from '../../core/berths/options/prepare.ts';
import { compareScores } from '../../core/berths/options/score.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Berth } from '../../core/inventory/inventory.ts';
import { openEnd, type Period } from '../../core/periods.ts';
import { assignmentsFrom, periodToPlace, startOf } from '../assignments/place-stay.ts';
import { assignmentSchema } from '../assignments/schema.ts';
import { loadQuestion } from '../berth-options/question.ts';
import { placeSchema, verdictSchema } from '../berth-options/schema.ts';
import { Prisma } from '../db/generated/client.ts';
import { instant } from '../http/fields.ts';
import type { Services } from '../services.ts';
import { rescheduledSchema, stayDocument, staySchema } from './schema.ts';
import { readStay, type StoredStay } from './stored-stay.ts';

const fitSchema = z.strictObject({
  berthId: z.string(),
  label: z.string(),
  place: placeSchema.nullable(),
  verdict: verdictSchema,
});

export const waitingStaySchema = z
  .strictObject({
    stay: staySchema,
    from: instant.describe('From when on it needs a berth.'),
    fits: z
      .array(fitSchema)
      .describe('Berths that it fits now, best first; each stay judged alone. Offer one of them.'),
  })
  .meta({ id: 'WaitingStay' });

export const waitingListSchema = z.strictObject({ items: z.array(waitingStaySchema) }).meta({ id: 'WaitingList' });

/** What a command that frees a berth adds to its answer. */
export const nowFitsSchema = z
  .array(waitingStaySchema)
  .describe('Waiting stays that fit what has fallen free, those served first at the top; at most ten.');

/** A stay that has ended, and who may have its berth now. */
export const endedStaySchema = z
  .strictObject({ ...staySchema.shape, nowFits: nowFitsSchema })
  .meta({ id: 'EndedStay' });

export const rescheduledWithFits = z.strictObject({ ...rescheduledSchema.shape, nowFits: nowFitsSchema });

/** What is left of a released assignment, null where it had not begun, and who may have the berth now. */
export const releasedSchema = z.strictObject({ assignment: assignmentSchema.nullable(), nowFits: nowFitsSchema });

export type WaitingStay = z.output<typeof waitingStaySchema>;

const mostFits = 3;
const mostTold = 10;
// Judging costs milliseconds a stay: a list is judged so far, and the rest can be asked for one by one.
const mostJudged = 50;

interface Asked {
  readonly marinaId: string;
  readonly now: number;
}

/** Stays without a berth that are still to be served, larger priority first, then who called first. */
export async function listWaiting(services: Services, { marinaId, now }: Asked): Promise<WaitingStay[]> {
  const { index } = await services.inventories.inventoryOf(services.db.prisma, marinaId);
  return judgeWaiting(services, { marinaId, now }, index, index.inventory.berths, { from: now, until: openEnd });
}

/** Berths, and the time over which something on them fell free. */
interface Freed extends Period {
  readonly berthIds: readonly string[];
}

/**
 * Of those, the ones of that time that fit any of these berths, or a berth that shares its space. Call it after the
 * command.
 */
export async function whoFits(
  services: Services,
  { marinaId, now }: Asked,
  { berthIds, ...period }: Freed,
): Promise<WaitingStay[]> {
  if (berthIds.length === 0) return [];
  const { index } = await services.inventories.inventoryOf(services.db.prisma, marinaId);
  const unitIds = new Set(berthIds.flatMap((id) => index.berths.get(id)?.unitIds ?? []));
  const berths = index.inventory.berths.filter((berth) => berth.unitIds.some((id) => unitIds.has(id)));
  const waiting = await judgeWaiting(services, { marinaId, now }, index, berths, period);
  return waiting.filter(({ fits }) => fits.length > 0).slice(0, mostTold);
}

/** Runs a command that gives up berths of a stay, and adds who fits them now. */
export async function withFits<Answer extends object>(
  services: Services,
  { marinaId, now, ...of }: Asked & ({ readonly stayId: string } | { readonly assignmentId: string }),
  command: () => Promise<Answer>,
): Promise<Answer & { readonly nowFits: WaitingStay[] }> {
  const { prisma } = services.db;
  const where = 'stayId' in of ? { marinaId, stayId: of.stayId } : { marinaId, id: of.assignmentId };
  const given = await prisma.assignment.findMany({ where });
  const answer = await command();
  const freed = {
    berthIds: given.map(({ berthId }) => berthId),
    from: Math.min(...given.map(({ fromAt }) => fromAt.getTime())),
    until: Math.max(...given.map(({ occupiedUntil }) => occupiedUntil.getTime())),
  };
  return { ...answer, nowFits: await whoFits(services, { marinaId, now }, freed) };
}

async function judgeWaiting(
  services: Services,
  { marinaId, now }: Asked,
  index: InventoryIndex,
  berths: readonly Berth[],
  { from: freeFrom, until: freeUntil }: Period,
): Promise<WaitingStay[]> {
  const { prisma } = services.db;
  const rows = await prisma.stay.findMany({
    where: {
      marinaId,
      arrivalAt: { lt: new Date(freeUntil) },
      departureAt: { gt: new Date(Math.max(now, freeFrom)) },
      OR: [
        { state: 'requested', assignments: { none: {} } },
        { state: { in: ['requested', 'offered', 'promised', 'arrived'] }, needsBerth: { not: Prisma.DbNull } },
      ],
    },
    select: { id: true },
    orderBy: [{ priority: 'desc' }, { createdAt: 'asc' }, { id: 'asc' }],
    take: mostJudged,
  });
  const waiting: WaitingStay[] = [];
  for (const { id } of rows) {
    const stay = await readStay(prisma, marinaId, id);
    const from = startOf(stay, { kind: 'assign', from: null, now }) ?? Math.max(stay.row.arrivalAt.getTime(), now);
    const fits = await fitsOf(services, { marinaId, now }, stay, from, index, berths);
    waiting.push({ stay: stayDocument(stay.row, stay.boat), from: new Date(from).toISOString(), fits });
  }
  return waiting;
}

async function fitsOf(
  services: Services,
  { marinaId, now }: Asked,
  stay: StoredStay,
  from: number,
  index: InventoryIndex,
  berths: readonly Berth[],
): Promise<WaitingStay['fits']> {
  const period = periodToPlace(stay, from, index.inventory.timeZone);
  const { question } = await loadQuestion(services.db.prisma, services, marinaId, {
    boat: stay.boat,
    wishes: stay.wishes,
    groupId: stay.row.groupId,
    period,
    withoutAssignmentIds: new Set(assignmentsFrom(stay, period.from).map(({ id }) => id)),
    now,
  });
  const prepared = prepare(question);
  const open = { orientation: null, place: null, hookUp: null };
  return berths
    .map((berth) => judgeChoice(prepared, berth, open))
    .filter(({ verdict }) => verdict !== 'refused')
    .sort((a, b) => compareScores(a.score, b.score))
    .slice(0, mostFits)
    .map((ranked) => {
      const { berthId, label, place, verdict } = ranked.describe();
      return { berthId, label, place, verdict };
    });
}

import type { Period } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment } from '../db/generated/client.ts';
import type { Principal } from '../http/access.ts';
import { cutAssignments } from '../occupancy/cut-assignments.ts';
import type { Touched } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import type { StoredStay } from '../stays/stored-stay.ts';
import { insertAssignment, judgementData } from './insert-assignment.ts';
import { type JudgedPlacement, judgePlacement } from './judge-placement.ts';
import { assignmentDocument, type Placement } from './schema.ts';
import { setPeriod } from './set-period.ts';

interface Stretch {
  readonly stay: StoredStay;
  readonly assignment: Assignment;
  /** What the assignment is to cover. */
  readonly period: Period;
  readonly now: number;
  readonly overrides: Placement['overrides'];
}

/**
 * Keeps an assignment for a longer or another time, on its berth and its outlets: what is still to come of it is judged
 * again, inside the marina transaction. Where the boat's facts now ask for other outlets, the assignment ends and one
 * with those follows it. Returns what it touched, for `rewriteDerivedUses`, which the caller must call.
 * @throws Problem `refused` with the findings
 */
export async function stretchAssignment(
  tx: Tx,
  services: Services,
  principal: Principal,
  { stay, assignment, period, now, overrides }: Stretch,
): Promise<Touched> {
  const { marinaId } = principal;
  const judgedPeriod = { from: Math.max(period.from, Math.min(now, period.until - 1)), until: period.until };
  const { keptIds, placement, standing } = await standingOf(tx, assignment);
  const judged = await judgePlacement(tx, services, principal, {
    boat: stay.boat,
    wishes: stay.wishes,
    groupId: stay.row.groupId,
    period: judgedPeriod,
    placement: { ...placement, overrides },
    withoutAssignmentIds: new Set(stay.assignments.map(({ id }) => id)),
    now,
    standing,
  });
  const isUnjudged = assignment.hookUp === null;
  if (isUnjudged || isSame(judged, keptIds)) {
    const touched = await setPeriod(tx, assignment, { ...period, occupiedUntil: judged.occupiedUntil });
    // A boat that was found is hooked up in a way that nobody has judged: a longer stay does not confirm it.
    if (!isUnjudged) {
      const where = { marinaId_id: { marinaId, id: assignment.id } };
      await tx.assignment.update({ where, data: judgementData(judged) });
    }
    return touched;
  }
  const { from: at } = judgedPeriod;
  const freed = await cutAssignments(tx, marinaId, [{ assignmentId: assignment.id, at, occupiedUntil: at }]);
  const begins = assignment.fromAt.getTime();
  if (period.from < begins && begins < at) {
    const { id } = assignment;
    const first = await tx.assignment.findUniqueOrThrow({ where: { marinaId_id: { marinaId, id } } });
    await setPeriod(tx, first, { from: period.from, until: at, occupiedUntil: at });
  }
  await insertAssignment(tx, marinaId, stay.row.id, judgedPeriod, judged);
  return {
    unitIds: freed.unitIds,
    outletIds: [...freed.outletIds, ...judged.option.outletIds],
    since: Math.min(freed.since, period.from, at, assignment.untilAt.getTime()),
  };
}

/** How an assignment stands: where and how the boat lies, and the outlets that it still has. */
export async function standingOf(tx: Tx, assignment: Assignment) {
  const { marinaId, id: assignmentId, untilAt } = assignment;
  const uses = await tx.outletUse.findMany({ where: { marinaId, assignmentId, untilAt: { gte: untilAt } } });
  const keptIds = new Set(uses.map(({ outletId }) => outletId));
  const { berthId, orientation, place, power, overrides } = assignmentDocument(assignment);
  const placement: Placement = {
    berthId,
    orientation,
    place,
    hookUp: power?.connection?.hookUp ?? null,
    overrides: [],
  };
  return { keptIds, placement, standing: { outletIds: keptIds, overrides } };
}

function isSame({ option }: JudgedPlacement, keptIds: ReadonlySet<string>): boolean {
  return option.outletIds.length === keptIds.size && option.outletIds.every((id) => keptIds.has(id));
}

import { type GroupAnswer, placeGroup } from '../../core/berths/groups/place-group.ts';
import type { PlanStay } from '../../core/berths/plan/question.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { insertAssignment } from '../assignments/insert-assignment.ts';
import { judgePlacement } from '../assignments/judge-placement.ts';
import { periodToPlace } from '../assignments/place-stay.ts';
import { type AssignmentDocument, assignmentDocument } from '../assignments/schema.ts';
import { practiceOf } from '../berth-options/question.ts';
import type { Tx } from '../db/client.ts';
import { Prisma, type StayGroup } from '../db/generated/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { localDaysOf } from '../local-time.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { loadOccupancy } from '../occupancy/load.ts';
import { withOverstays } from '../occupancy/overstays.ts';
import type { Services } from '../services.ts';
import { requireStep } from '../stays/require-step.ts';
import { readStay, type StoredStay } from '../stays/stored-stay.ts';
import { type GroupDocument, type GroupPlacement, groupDocument, type PlacedGroup } from './schema.ts';
import { berthIdsOf, readGroup } from './stored-group.ts';

interface PlaceMembers {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly groupId: string;
  readonly input: GroupPlacement;
}

/**
 * Gives every member without a berth one, in one marina transaction, or none of them: berths of the block while it is
 * kept, else any. They are promised.
 * @throws Problem `refused` with who could not be placed and why; `wrong-state` where nobody waits for a berth;
 * `stale-version`, `not-found`
 */
export async function placeMembers(services: Services, command: PlaceMembers): Promise<PlacedGroup> {
  const { principal, ifVersion, idempotency, now, groupId, input } = command;
  const { marinaId, id: actor } = principal;
  if (input.dryRun) {
    const { prisma } = services.db;
    const group = await readGroup(prisma, marinaId, groupId);
    return answerOf(groupDocument(group), [], await choose(prisma, services, group, command));
  }
  const options = { marinaId, actor, kind: 'group.placed', now, idempotency };
  return marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    const group = await readGroup(tx, marinaId, groupId);
    requireVersion(ifVersion, group.version, `Group ${group.name}`);
    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    const chosen = await choose(tx, services, group, command);
    const assignments: AssignmentDocument[] = [];
    for (const { stay, berth, orientation, place, outletIds } of chosen.placed) {
      const member = await readStay(tx, marinaId, stay.id);
      const state = requireStep('assign', member, index.inventory, now);
      const judged = await judgePlacement(tx, services, principal, {
        boat: member.boat,
        wishes: member.wishes,
        groupId,
        period: stay.period,
        placement: { berthId: berth.id, orientation, place, hookUp: null, overrides: [], outletIds },
        withoutAssignmentIds: new Set(),
        now,
      });
      const row = await insertAssignment(tx, marinaId, stay.id, stay.period, judged);
      await rewriteDerivedUses(tx, marinaId, {
        unitIds: berth.unitIds,
        outletIds: judged.option.outletIds,
        since: stay.period.from,
      });
      await tx.stay.update({
        where: { marinaId_id: { marinaId, id: stay.id } },
        data: { state, needsBerth: Prisma.DbNull, offerExpiresAt: null, version: { increment: 1 } },
      });
      assignments.push(assignmentDocument(row));
    }
    const answer = answerOf(groupDocument(group), assignments, chosen);
    await recordChange(plainJson({ group: groupDocument(group) }), { groupId, assignments });
    return answer;
  });
}

function answerOf(group: GroupDocument, assignments: AssignmentDocument[], answer: GroupAnswer): PlacedGroup {
  const { placed, runs, isProven } = answer;
  const places = placed.map(({ stay, berth, outletIds }) => ({
    stayId: stay.id,
    berthId: berth.id,
    outletIds: [...outletIds],
  }));
  return { group, assignments, places, runs, isProven };
}

/** @throws Problem `refused` with the findings of core; `wrong-state` where nobody waits for a berth */
async function choose(
  tx: Tx,
  services: Services,
  group: StayGroup,
  { input: { adjacency }, now }: Pick<PlaceMembers, 'input' | 'now'>,
): Promise<GroupAnswer> {
  const { marinaId, id: groupId } = group;
  const { index } = await services.inventories.inventoryOf(tx, marinaId);
  const ids = await tx.stay.findMany({
    where: { marinaId, groupId, state: { in: ['requested', 'offered', 'promised'] } },
    select: { id: true },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
  });
  const members: StoredStay[] = [];
  for (const { id } of ids) members.push(await readStay(tx, marinaId, id));
  const waiting = members.filter(({ assignments }) => assignments.length === 0);
  if (waiting.length === 0) {
    throw new Problem('wrong-state', `No member of "${group.name}" waits for a berth. Make stays its members first.`);
  }
  const stays = waiting.map((member) => memberOf(member, index));
  const span = {
    from: Math.min(...stays.map(({ period }) => period.from)),
    until: Math.max(...stays.map(({ occupiedUntil }) => occupiedUntil)),
  };
  const stored = await loadOccupancy(tx, marinaId, span);
  const spaceUses = stored.spaceUses.filter(({ by }) => by.kind !== 'group' || by.id !== groupId);
  const occupancy = await withOverstays(tx, marinaId, index, { ...stored, spaceUses }, { now, period: span });
  const block = group.releasedAt === null ? berthIdsOf(group) : [];
  const answer = placeGroup({
    plan: {
      index,
      practice: practiceOf(index),
      stays,
      settings: { serve: 'boats', movePromised: false, moveInside: false },
      ...occupancy,
    },
    berthIds: new Set(block.length > 0 ? block : index.inventory.berths.map(({ id }) => id)),
    adjacency: adjacency ?? groupDocument(group).adjacency,
    besideBerthIds: new Set(members.flatMap(({ assignments }) => assignments.map(({ berthId }) => berthId))),
  });
  if (answer.findings.length > 0) {
    const missing = answer.findings.length;
    throw new Problem(
      'refused',
      `"${group.name}" was not placed: ${missing === 1 ? answer.findings[0]?.message : `${missing} boats find no berth.`}`,
      { findings: answer.findings },
    );
  }
  return answer;
}

function memberOf(member: StoredStay, index: InventoryIndex): PlanStay {
  const { row, boat, wishes } = member;
  const { settings, timeZone } = index.inventory;
  const period = periodToPlace(member, null, timeZone);
  return {
    id: row.id,
    label: boat.name,
    boat,
    wishes,
    period,
    occupiedUntil: period.until + settings.turnoverMinutes * 60_000,
    localDays: localDaysOf(period, timeZone),
    nights: 1,
    priority: row.priority,
    promised: false,
    present: null,
    movesAt: [],
    part: null,
  };
}

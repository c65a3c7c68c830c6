import { isOpen } from '../../core/stays/lifecycle.ts';
import type { Tx } from '../db/client.ts';
import type { StayGroup } from '../db/generated/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { readStay, type StoredStay } from '../stays/stored-stay.ts';
import { type GroupDocument, groupDocument } from './schema.ts';
import { berthIdsOf, readGroup, touchedByGroups } from './stored-group.ts';

interface SetMembers {
  readonly principal: Principal;
  readonly ifVersion: VersionCondition | null;
  readonly now: number;
  readonly groupId: string;
  readonly stayIds: readonly string[];
}

/**
 * Says which stays belong to a group. Its berths are open to them and to no other.
 * @throws Problem `wrong-state` for a stay that is over, that another group has, or that would leave while it has a
 * berth of the block; `invalid-input` for one that does not exist; `stale-version`, `not-found`
 */
export async function setMembers(
  { db }: Services,
  { principal, ifVersion, now, groupId, stayIds }: SetMembers,
): Promise<GroupDocument> {
  const { marinaId, id: actor } = principal;
  return marinaTransaction(db, { marinaId, actor, kind: 'group.membersSet', now }, async ({ tx, recordChange }) => {
    const group = await readGroup(tx, marinaId, groupId);
    requireVersion(ifVersion, group.version, `Group ${group.name}`);
    const before = await tx.stay.findMany({
      where: { marinaId, groupId },
      select: { id: true },
      orderBy: { id: 'asc' },
    });
    const beforeIds = before.map(({ id }) => id);
    const added = stayIds.filter((id) => !beforeIds.includes(id));
    const removed = beforeIds.filter((id) => !stayIds.includes(id));
    for (const id of added) await requireMayJoin(tx, group, id, stayIds.indexOf(id));
    for (const id of removed) requireMayLeave(await readStay(tx, marinaId, id), group, now);
    const version = { increment: 1 };
    await tx.stay.updateMany({ where: { marinaId, id: { in: added } }, data: { groupId, version } });
    await tx.stay.updateMany({ where: { marinaId, id: { in: removed } }, data: { groupId: null, version } });
    const row = await tx.stayGroup.update({ where: { marinaId_id: { marinaId, id: groupId } }, data: { version } });
    await rewriteDerivedUses(tx, marinaId, await touchedByGroups(tx, [group]));
    const document = groupDocument(row);
    await recordChange(plainJson({ group: groupDocument(group), stayIds: beforeIds }), {
      group: document,
      stayIds: [...stayIds],
    });
    return document;
  });
}

async function requireMayJoin(tx: Tx, { marinaId }: StayGroup, stayId: string, position: number): Promise<void> {
  const stay = await tx.stay.findUnique({
    where: { marinaId_id: { marinaId, id: stayId } },
    include: { boat: true, group: true },
  });
  if (stay === null) throw invalid(`/stayIds/${position}`, `There is no stay "${stayId}". Enter the call first.`);
  if (!isOpen(stay.state)) {
    throw new Problem('wrong-state', `The stay of "${stay.boat.name}" is ${stay.state}. Only one to come can join.`);
  }
  if (stay.group !== null) {
    const message = `"${stay.boat.name}" belongs to the group "${stay.group.name}". Take it out of that one first.`;
    throw new Problem('wrong-state', message);
  }
}

function requireMayLeave({ boat, assignments }: StoredStay, group: StayGroup, now: number): void {
  if (group.releasedAt !== null) return;
  const block = berthIdsOf(group);
  const inBlock = assignments.find(({ berthId, untilAt }) => block.includes(berthId) && untilAt.getTime() > now);
  if (inBlock === undefined) return;
  throw new Problem(
    'wrong-state',
    `"${boat.name}" has berth ${inBlock.berthId} of the block of "${group.name}". Move it, or release that berth first.`,
  );
}

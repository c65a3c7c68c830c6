import { randomUUID } from 'node:crypto';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { localTime } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { requireFreeBlock } from './block.ts';
import { type GroupChange, type GroupDocument, groupDocument, type NewGroup } from './schema.ts';
import { readGroup, touchedByGroups } from './stored-group.ts';

interface Command {
  readonly principal: Principal;
  readonly now: number;
}

/** Enters a group and keeps its berths. Throws a Problem: `invalid-input`, `double-use` with who has a berth of it. */
export async function createGroup(
  { db, inventories }: Services,
  { principal, idempotency, now, input }: Command & { idempotency: Idempotency | null; input: NewGroup },
): Promise<GroupDocument> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'group.created', now, idempotency };
  return marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const times = timesOf({ ...input, cutOff: input.cutOff ?? input.from });
    requireTimes(times, now, index.inventory.timeZone);
    const groupId = randomUUID();
    const { from, until } = times;
    await requireFreeBlock(tx, marinaId, index, {
      groupId,
      berthIds: input.berthIds,
      from: Math.max(from, now),
      until,
    });
    const row = await tx.stayGroup.create({
      data: {
        marinaId,
        id: groupId,
        name: input.name,
        contactName: input.contactName,
        contactPhone: input.phone,
        note: input.note,
        fromAt: new Date(from),
        untilAt: new Date(until),
        berthIds: input.berthIds,
        adjacency: input.adjacency,
        cutOffAt: new Date(times.cutOff),
        createdAt: new Date(now),
      },
    });
    await rewriteDerivedUses(tx, marinaId, await touchedByGroups(tx, [row]));
    const document = groupDocument(row);
    await recordChange(null, { group: document });
    return document;
  });
}

/**
 * Changes a group; its berths follow, all of them or none.
 * @throws Problem `double-use` with who has a berth that would be kept; `wrong-state` where its berths are released;
 * `stale-version`, `not-found`, `invalid-input`
 */
export async function changeGroup(
  { db, inventories }: Services,
  {
    principal,
    ifVersion,
    now,
    groupId,
    change,
  }: Command & { ifVersion: VersionCondition | null; groupId: string; change: GroupChange },
): Promise<GroupDocument> {
  const { marinaId, id: actor } = principal;
  return marinaTransaction(db, { marinaId, actor, kind: 'group.changed', now }, async ({ tx, recordChange }) => {
    const before = await readGroup(tx, marinaId, groupId);
    requireVersion(ifVersion, before.version, `Group ${before.name}`);
    const { name, contactName, phone, note, from, until, berthIds, adjacency, cutOff } = change;
    const isOfBlock = [from, until, berthIds, cutOff].some((field) => field !== undefined);
    if (isOfBlock && before.releasedAt !== null) {
      throw new Problem(
        'wrong-state',
        `The berths of "${before.name}" are released. Enter a new group to keep others.`,
      );
    }
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const next = { ...groupDocument(before), ...change };
    const times = timesOf(next);
    if (isOfBlock) {
      requireTimes(times, now, index.inventory.timeZone);
      const block = { groupId, berthIds: next.berthIds, from: Math.max(times.from, now), until: times.until };
      await requireFreeBlock(tx, marinaId, index, block);
    }
    const row = await tx.stayGroup.update({
      where: { marinaId_id: { marinaId, id: groupId } },
      data: {
        version: { increment: 1 },
        ...(name === undefined ? {} : { name }),
        ...(contactName === undefined ? {} : { contactName }),
        ...(phone === undefined ? {} : { contactPhone: phone }),
        ...(note === undefined ? {} : { note }),
        ...(adjacency === undefined ? {} : { adjacency }),
        ...(isOfBlock
          ? {
              fromAt: new Date(times.from),
              untilAt: new Date(times.until),
              cutOffAt: new Date(times.cutOff),
              berthIds: next.berthIds,
            }
          : {}),
      },
    });
    if (isOfBlock) await rewriteDerivedUses(tx, marinaId, await touchedByGroups(tx, [before, row]));
    const document = groupDocument(row);
    await recordChange({ group: groupDocument(before) }, { group: document });
    return document;
  });
}

/** Frees what no member has of a group's berths. Throws a Problem: `wrong-state`, `stale-version`, `not-found`. */
export async function releaseGroup(
  { db }: Services,
  {
    principal,
    ifVersion,
    idempotency,
    now,
    groupId,
  }: Command & { ifVersion: VersionCondition | null; idempotency: Idempotency | null; groupId: string },
): Promise<GroupDocument> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'group.released', now, idempotency };
  return marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const before = await readGroup(tx, marinaId, groupId);
    requireVersion(ifVersion, before.version, `Group ${before.name}`);
    if (before.releasedAt !== null)
      throw new Problem('wrong-state', `The berths of "${before.name}" are released already.`);
    const row = await tx.stayGroup.update({
      where: { marinaId_id: { marinaId, id: groupId } },
      data: { releasedAt: new Date(now), version: { increment: 1 } },
    });
    await rewriteDerivedUses(tx, marinaId, await touchedByGroups(tx, [before]));
    const document = groupDocument(row);
    await recordChange({ group: groupDocument(before) }, { group: document });
    return document;
  });
}

// Every replica looks once a minute for what is due.
const leastKeptMs = 60_000;

interface Times {
  readonly from: number;
  readonly until: number;
  readonly cutOff: number;
}

function timesOf({ from, until, cutOff }: Pick<GroupDocument, 'from' | 'until' | 'cutOff'>): Times {
  return { from: Date.parse(from), until: Date.parse(until), cutOff: Date.parse(cutOff) };
}

function requireTimes({ from, until, cutOff }: Times, now: number, timeZone: string): void {
  if (from >= until) throw invalid('/until', 'The time of the group ends before it begins. Give an end after "from".');
  if (cutOff > until) {
    throw invalid('/cutOff', `The group ends ${localTime(until, timeZone)}. Give a cut-off at that time or before.`);
  }
  if (cutOff < now + leastKeptMs) {
    throw invalid('/cutOff', 'The berths would be free at once. Give a cut-off at least a minute ahead.');
  }
}

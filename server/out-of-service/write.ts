import { randomUUID } from 'node:crypto';
import type { Tx } from '../db/client.ts';
import type { OutOfService } from '../db/generated/client.ts';
import { type Idempotency, type MarinaWrite, marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import { localTime } from '../local-time.ts';
import { invalid, partOfUnit } from '../occupancy/berth-parts.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { displacedDocument } from '../occupancy/displaced-schema.ts';
import { untilFromApi } from '../occupancy/open-period.ts';
import { requireRecent } from '../occupancy/require-recent.ts';
import type { Services } from '../services.ts';
import { type ClosedFor, closeFor } from './close.ts';
import {
  type Closed,
  type NewOutOfService,
  type OutOfServiceChange,
  type OutOfServiceDocument,
  outOfServiceDocument,
} from './schema.ts';

interface Command<Input> {
  readonly principal: Principal;
  readonly now: number;
  readonly input: Input;
}

/** Takes an outlet or space out of service. Throws a Problem: `invalid-input`. */
export async function startOutOfService(
  services: Services,
  { principal, now, idempotency, input }: Command<NewOutOfService> & { readonly idempotency: Idempotency | null },
): Promise<Closed> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'outOfService.started', now, idempotency };
  return marinaTransaction(services.db, options, (write) => enterClosing(services, write, { marinaId, now, input }));
}

/** The same inside a marina transaction of the caller, who takes what the change was from `recordChange`. */
export async function enterClosing(
  { inventories }: Pick<Services, 'inventories'>,
  { tx, recordChange }: Pick<MarinaWrite, 'tx' | 'recordChange'>,
  { marinaId, now, input }: { readonly marinaId: string; readonly now: number; readonly input: NewOutOfService },
): Promise<Closed> {
  const { index } = await inventories.inventoryOf(tx, marinaId);
  const { outletId, unitId, reason } = input;
  if (outletId !== null && !index.outlets.has(outletId)) {
    throw invalid('/outletId', `There is no outlet "${outletId}". Take an id of the inventory.`);
  }
  const part = unitId === null ? null : partOfUnit(index, unitId, input);
  const period = { from: Date.parse(input.from), until: untilFromApi(input.until) };
  requireAfter(period.until, period.from, index.inventory.timeZone);
  requireRecent(period.from, now, '/from');
  const row = await tx.outOfService.create({
    data: {
      marinaId,
      id: randomUUID(),
      outletId,
      unitId,
      fromM: part?.isFace ? part.fromM : null,
      untilM: part?.isFace ? part.untilM : null,
      fromAt: new Date(period.from),
      untilAt: new Date(period.until),
      reason,
    },
  });
  const closed = await closeFor(tx, marinaId, index, row, period, now);
  const answer = answerOf(row, closed);
  await recordChange({ assignments: closed.displaced.map(({ assignment }) => assignment) }, answer);
  return answer;
}

/** Changes reason or end. Throws a Problem: `not-found`, `stale-version`, `invalid-input`. */
export async function changeOutOfService(
  { db, inventories }: Services,
  {
    principal,
    now,
    ifVersion,
    input,
  }: Command<{ readonly outOfServiceId: string; readonly change: OutOfServiceChange }> & {
    readonly ifVersion: VersionCondition | null;
  },
): Promise<Closed> {
  const { marinaId, id: actor } = principal;
  const { outOfServiceId, change } = input;
  return marinaTransaction(db, { marinaId, actor, kind: 'outOfService.changed', now }, async ({ tx, recordChange }) => {
    const before = await readOutOfService(tx, marinaId, outOfServiceId);
    requireVersion(ifVersion, before.version, `The out-of-service period "${before.reason}"`);
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const from = before.fromAt.getTime();
    const oldUntil = before.untilAt.getTime();
    const until = change.until === undefined ? oldUntil : untilFromApi(change.until);
    requireAfter(until, from, index.inventory.timeZone);
    const row = await tx.outOfService.update({
      where: { marinaId_id: { marinaId, id: outOfServiceId } },
      data: {
        untilAt: new Date(until),
        version: { increment: 1 },
        ...(change.reason === undefined ? {} : { reason: change.reason }),
      },
    });
    let closed: ClosedFor = { displaced: [], findings: [] };
    if (until > oldUntil) {
      closed = await closeFor(tx, marinaId, index, row, { from: oldUntil, until }, now);
    } else {
      await rewriteDerivedUses(tx, marinaId, touchedBy(row, until));
    }
    const answer = answerOf(row, closed);
    const assignments = closed.displaced.map(({ assignment }) => assignment);
    await recordChange({ outOfService: outOfServiceDocument(before), assignments }, answer);
    return answer;
  });
}

/** Puts an outlet or space back into service from `at` on. Throws a Problem: `not-found`, `stale-version`, `invalid-input`. */
export async function endOutOfService(
  { db, inventories }: Services,
  {
    principal,
    now,
    ifVersion,
    input,
  }: Command<{ readonly outOfServiceId: string; readonly at: string }> & {
    readonly ifVersion: VersionCondition | null;
  },
): Promise<OutOfServiceDocument> {
  const { marinaId, id: actor } = principal;
  const { outOfServiceId } = input;
  return marinaTransaction(db, { marinaId, actor, kind: 'outOfService.ended', now }, async ({ tx, recordChange }) => {
    const before = await readOutOfService(tx, marinaId, outOfServiceId);
    requireVersion(ifVersion, before.version, `The out-of-service period "${before.reason}"`);
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const { timeZone } = index.inventory;
    const at = new Date(input.at);
    requireAfter(at.getTime(), before.fromAt.getTime(), timeZone, '/at');
    if (before.untilAt < at) throw invalid('/at', `It ends ${localTime(before.untilAt.getTime(), timeZone)} already.`);
    const row = await tx.outOfService.update({
      where: { marinaId_id: { marinaId, id: outOfServiceId } },
      data: { untilAt: at, version: { increment: 1 } },
    });
    await rewriteDerivedUses(tx, marinaId, touchedBy(row, at.getTime()));
    const document = outOfServiceDocument(row);
    await recordChange(outOfServiceDocument(before), document);
    return document;
  });
}

/** Takes back a period that has not begun. Throws a Problem: `not-found`, `wrong-state`. */
export async function withdrawOutOfService(
  { db }: Services,
  { principal, now, input }: Command<{ readonly outOfServiceId: string }>,
): Promise<void> {
  const { marinaId, id: actor } = principal;
  const { outOfServiceId } = input;
  const options = { marinaId, actor, kind: 'outOfService.withdrawn', now };
  await marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const before = await readOutOfService(tx, marinaId, outOfServiceId);
    if (before.fromAt.getTime() <= now) {
      throw new Problem('wrong-state', `The out-of-service period "${before.reason}" has begun. End it instead.`);
    }
    await tx.spaceUse.deleteMany({ where: { marinaId, outOfServiceId } });
    await tx.outletUse.deleteMany({ where: { marinaId, outOfServiceId } });
    await tx.outOfService.delete({ where: { marinaId_id: { marinaId, id: outOfServiceId } } });
    await rewriteDerivedUses(tx, marinaId, touchedBy(before, before.fromAt.getTime()));
    await recordChange(outOfServiceDocument(before), null);
  });
}

/** @throws Problem `not-found`. */
export async function readOutOfService(tx: Tx, marinaId: string, outOfServiceId: string): Promise<OutOfService> {
  const row = await tx.outOfService.findUnique({ where: { marinaId_id: { marinaId, id: outOfServiceId } } });
  if (row === null) throw new Problem('not-found', `There is no out-of-service period "${outOfServiceId}".`);
  return row;
}

function requireAfter(until: number, from: number, timeZone: string, pointer = '/until'): void {
  if (until > from) return;
  throw invalid(pointer, `The period would end before it begins (${localTime(from, timeZone)}). Give a later end.`);
}

function touchedBy({ unitId, outletId }: OutOfService, since: number) {
  return { unitIds: unitId === null ? [] : [unitId], outletIds: outletId === null ? [] : [outletId], since };
}

function answerOf(row: OutOfService, { displaced, findings }: ClosedFor): Closed {
  return { outOfService: outOfServiceDocument(row), findings, displaced: displaced.map(displacedDocument) };
}

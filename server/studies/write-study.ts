import { randomUUID } from 'node:crypto';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import type { Principal } from '../http/access.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import type { Services } from '../services.ts';
import { readStudy, requireSoundChanges, type StoredStudy, type StudyInput, studyOf } from './stored-study.ts';

interface Asked {
  readonly principal: Principal;
  readonly now: number;
}

/** Begins a study on a copy of the present inventory. */
export async function createStudy(
  { db, inventories }: Services,
  {
    principal,
    now,
    idempotency,
    input,
  }: Asked & { readonly idempotency: Idempotency | null; readonly input: StudyInput },
): Promise<StoredStudy> {
  const { marinaId } = principal;
  const { index, revision } = await inventories.inventoryOf(db.prisma, marinaId);
  requireSoundChanges(input);
  const { name, changes, ...settings } = input;
  const change = { marinaId, actor: principal.id, kind: 'study.created', now, idempotency };
  const id = await marinaTransaction(db, change, async ({ tx, recordChange }) => {
    const row = await tx.upgradeStudy.create({
      data: {
        marinaId,
        id: randomUUID(),
        name,
        base: plainJson(index.inventory),
        baseRevision: revision,
        changes: plainJson(changes),
        settings: plainJson(settings),
        createdAt: new Date(now),
      },
    });
    await recordChange(null, { id: row.id, name });
    return row.id;
  });
  return readStudy(db.prisma, marinaId, id);
}

/** Replaces a study's name, settings and changes; its copy of the inventory stays. */
export async function changeStudy(
  { db }: Services,
  asked: Asked & { readonly studyId: string; readonly ifVersion: VersionCondition | null; readonly input: StudyInput },
): Promise<StoredStudy> {
  const { principal, now, studyId, ifVersion, input } = asked;
  const { marinaId } = principal;
  const { name, changes, ...settings } = input;
  return marinaTransaction(
    db,
    { marinaId, actor: principal.id, kind: 'study.changed', now },
    async ({ tx, recordChange }) => {
      const before = await readStudy(tx, marinaId, studyId);
      requireVersion(ifVersion, before.row.version, `Study "${before.row.name}"`);
      requireSoundChanges(input);
      const row = await tx.upgradeStudy.update({
        where: { marinaId_id: { marinaId, id: studyId } },
        data: { name, changes: plainJson(changes), settings: plainJson(settings), version: { increment: 1 } },
      });
      await recordChange(
        { id: studyId, name: before.row.name, changes: before.row.changes, settings: before.row.settings },
        { id: studyId, name, changes: row.changes, settings: row.settings },
      );
      return studyOf(row);
    },
  );
}

/** Puts the present inventory in the place of the study's copy. The changes stay as they are. */
export async function rebaseStudy(
  { db, inventories }: Services,
  { principal, now, studyId }: Asked & { readonly studyId: string },
): Promise<StoredStudy> {
  const { marinaId } = principal;
  const { index, revision } = await inventories.inventoryOf(db.prisma, marinaId);
  return marinaTransaction(
    db,
    { marinaId, actor: principal.id, kind: 'study.rebased', now },
    async ({ tx, recordChange }) => {
      const before = await readStudy(tx, marinaId, studyId);
      const row = await tx.upgradeStudy.update({
        where: { marinaId_id: { marinaId, id: studyId } },
        data: { base: plainJson(index.inventory), baseRevision: revision, version: { increment: 1 } },
      });
      await recordChange(
        { id: studyId, baseRevision: Number(before.row.baseRevision) },
        { id: studyId, baseRevision: revision },
      );
      return studyOf(row);
    },
  );
}

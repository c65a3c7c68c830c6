import { isDeepStrictEqual } from 'node:util';
import { z } from 'zod';
import { readCheckInSettings } from '../check-ins/settings.ts';
import type { Tx } from '../db/client.ts';
import type { BoaterSheet } from '../db/generated/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { hashToken } from '../plugins/authentication.ts';
import { newSecret } from '../secret.ts';
import type { Services } from '../services.ts';
import { readStay, type StoredStay } from '../stays/stored-stay.ts';
import { sheetContent } from './content.ts';
import { type Sheet, type SheetContent, sheetContentSchema } from './schema.ts';
import { changesOf, sheetOf } from './words.ts';

interface OfStay {
  readonly principal: Principal;
  readonly now: number;
  readonly stayId: string;
}

/** Makes a new link for a stay's sheet; an older link ends. Throws a Problem: `not-found`. */
export async function makeLink(
  services: Services,
  { principal, now, stayId }: OfStay,
): Promise<{ readonly path: string; readonly sheet: Sheet }> {
  const { marinaId, id: actor } = principal;
  const { secret, hash } = newSecret('qwsheet');
  const options = { marinaId, actor, kind: 'sheet.issued', now };
  const sheet = await marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    const content = await contentNow(services, tx, marinaId, await readStay(tx, marinaId, stayId), now);
    const before = await tx.boaterSheet.findUnique({ where: { marinaId_stayId: { marinaId, stayId } } });
    const next = nextIssue(before, content, now);
    const data = { hash, ...next, document: plainJson(content), changes: plainJson(next.changes) };
    await tx.boaterSheet.upsert({
      where: { marinaId_stayId: { marinaId, stayId } },
      create: { marinaId, stayId, ...data },
      update: data,
    });
    await recordChange(null, { stayId, issue: next.issue });
    return sheetOf(content, next);
  });
  return { path: `/sheets/${secret}`, sheet };
}

/** Ends the link of a stay's sheet. Throws a Problem: `not-found`. */
export async function endLink({ db }: Services, { principal, now, stayId }: OfStay): Promise<void> {
  const { marinaId, id: actor } = principal;
  await marinaTransaction(db, { marinaId, actor, kind: 'sheet.ended', now }, async ({ tx, recordChange }) => {
    const { count } = await tx.boaterSheet.deleteMany({ where: { marinaId, stayId } });
    if (count === 0) throw new Problem('not-found', `The stay "${stayId}" has no sheet with a link.`);
    await recordChange({ stayId }, null);
  });
}

/** The row behind a link's secret; the marina follows from it. Throws a Problem: `not-found`. */
export async function behindLink({ db }: Services, secret: string): Promise<BoaterSheet> {
  const row = await db.prisma.boaterSheet.findUnique({ where: { hash: hashToken(secret) } });
  if (row === null) throw new Problem('not-found', 'There is no such sheet. Ask the marina for a new link.');
  return row;
}

/**
 * The sheet as it is now. Where the plan has changed since the last issue, it is issued anew and says what changed: a
 * sheet is issued when it is looked at, so that no change of a plan can forget it. Throws a Problem: `not-found`.
 */
export async function readSheet(services: Services, { secret, now }: { secret: string; now: number }): Promise<Sheet> {
  const { marinaId, stayId } = await behindLink(services, secret);
  return sheetNow(services, marinaId, stayId, now);
}

export async function sheetNow(services: Services, marinaId: string, stayId: string, now: number): Promise<Sheet> {
  const { prisma } = services.db;
  const stay = await readStay(prisma, marinaId, stayId);
  const content = await contentNow(services, prisma, marinaId, stay, now);
  const where = { marinaId_stayId: { marinaId, stayId } };
  const row = await prisma.boaterSheet.findUnique({ where });
  if (row === null) return sheetOf(content, { issue: 0, issuedAt: new Date(now), changes: [] });
  if (isDeepStrictEqual(row.document, plainJson(content))) return sheetOf(content, issueOf(row));
  const options = { marinaId, actor: `sheet:${stayId}`, kind: 'sheet.reissued', now };
  return marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    const before = await tx.boaterSheet.findUnique({ where });
    const present = await contentNow(services, tx, marinaId, await readStay(tx, marinaId, stayId), now);
    const next = nextIssue(before, present, now);
    await tx.boaterSheet.update({
      where,
      data: { ...next, document: plainJson(present), changes: plainJson(next.changes) },
    });
    await recordChange({ issue: before?.issue ?? 0 }, { stayId, issue: next.issue, changes: [...next.changes] });
    return sheetOf(present, next);
  });
}

export async function contentNow(
  { inventories }: Services,
  tx: Tx,
  marinaId: string,
  stay: StoredStay,
  now: number,
): Promise<SheetContent> {
  const { index } = await inventories.inventoryOf(tx, marinaId);
  const { settings } = await readCheckInSettings(tx, marinaId);
  return sheetContent(index, settings, stay, now);
}

function nextIssue(before: BoaterSheet | null, content: SheetContent, now: number) {
  if (before === null) return { issue: 1, issuedAt: new Date(now), changes: [] as string[] };
  const changes = changesOf(sheetContentSchema.parse(before.document), content);
  if (changes.length === 0) return issueOf(before);
  return { issue: before.issue + 1, issuedAt: new Date(now), changes };
}

const storedChanges = z.array(z.string());

function issueOf(row: BoaterSheet) {
  return { issue: row.issue, issuedAt: row.issuedAt, changes: storedChanges.parse(row.changes) };
}

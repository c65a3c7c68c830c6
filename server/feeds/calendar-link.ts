import type { Tx } from '../db/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { hashToken } from '../plugins/authentication.ts';
import { newSecret } from '../secret.ts';
import type { Services } from '../services.ts';
import { calendarOf, type Subject } from './calendar.ts';

interface OfSubject {
  readonly principal: Principal;
  readonly now: number;
  readonly subject: Subject;
}

/** Makes a link to a calendar; an older link to the same ends. Throws a Problem: `not-found`. */
export async function makeCalendarLink(
  services: Services,
  { principal, now, subject }: OfSubject,
): Promise<{ readonly path: string }> {
  const { marinaId, id: actor } = principal;
  const { secret, hash } = newSecret('qwcal');
  const options = { marinaId, actor, kind: 'calendarLink.made', now };
  await marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    await nameOf(services, tx, marinaId, subject);
    const key = keyOf(subject);
    const data = { hash, createdAt: new Date(now) };
    await tx.calendarLink.upsert({
      where: { marinaId_subjectKind_subjectId: { marinaId, ...key } },
      create: { marinaId, ...key, ...data },
      update: data,
    });
    await recordChange(null, key);
  });
  return { path: `/v1/calendars/${secret}` };
}

/** Ends the link to a calendar. Throws a Problem: `not-found`. */
export async function endCalendarLink({ db }: Services, { principal, now, subject }: OfSubject): Promise<void> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'calendarLink.ended', now };
  await marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const key = keyOf(subject);
    const { count } = await tx.calendarLink.deleteMany({ where: { marinaId, ...key } });
    if (count === 0)
      throw new Problem('not-found', `The calendar of ${key.subjectKind} "${key.subjectId}" has no link.`);
    await recordChange(key, null);
  });
}

/** The calendar behind a link's secret. Throws a Problem: `not-found`. */
export async function calendarBehind(services: Services, secret: string, now: number): Promise<string> {
  const row = await services.db.prisma.calendarLink.findUnique({ where: { hash: hashToken(secret) } });
  if (row === null) throw new Problem('not-found', 'There is no such calendar. Ask the marina for a new link.');
  const { marinaId, subjectKind, subjectId } = row;
  await services.due.catchUp(marinaId, now);
  return readCalendar(services, marinaId, subjectKind === 'dock' ? { dockId: subjectId } : { boatId: subjectId }, now);
}

/** The calendar of a dock, without saying whose its berths are, or of a boat. Throws a Problem: `not-found`. */
export async function readCalendar(services: Services, marinaId: string, subject: Subject, now: number) {
  const { db, inventories } = services;
  const { index } = await inventories.inventoryOf(db.prisma, marinaId);
  const name = await nameOf(services, db.prisma, marinaId, subject);
  return calendarOf(db, marinaId, index, { name, subject, now });
}

async function nameOf({ inventories }: Services, tx: Tx, marinaId: string, subject: Subject): Promise<string> {
  const { index } = await inventories.inventoryOf(tx, marinaId);
  if ('dockId' in subject) {
    const dock = index.docks.get(subject.dockId);
    if (dock === undefined) throw new Problem('not-found', `There is no dock "${subject.dockId}".`);
    return `${index.inventory.name}, dock ${dock.label}`;
  }
  const boat = await tx.boat.findUnique({ where: { marinaId_id: { marinaId, id: subject.boatId } } });
  if (boat === null) throw new Problem('not-found', `There is no boat "${subject.boatId}".`);
  return `${boat.name} at ${index.inventory.name}`;
}

function keyOf(subject: Subject) {
  return 'dockId' in subject
    ? { subjectKind: 'dock', subjectId: subject.dockId }
    : { subjectKind: 'boat', subjectId: subject.boatId };
}

import type { Tx } from '../../server/db/client.ts';
import { Prisma } from '../../server/db/generated/client.ts';
import type { Role } from '../../server/http/access.ts';
import { allPages } from '../../server/pages/all-pages.ts';
import { studyInputSchema } from '../../server/studies/schema.ts';

/** One page to look at, as whom. */
export interface PagePath {
  /** Of its picture. */
  readonly name: string;
  readonly url: string;
  readonly path: string;
  readonly role: Role | 'public';
}

/** Pages that only lead on to others. */
const leadOn = ['/', '/marinas/:marinaId', '/sign-out'];
/** Files to keep. */
const files = [
  '/marinas/:marinaId/studies/:studyId/tables/:table',
  '/marinas/:marinaId/studies/:studyId/runs/:runId/tables/:table',
];
/** Looked at in its own story: it needs the secret of a link. */
const behindLinks = ['/sheets/:secret'];

/**
 * A path for every page of a marina that has boats, at least one for each. Throws where a page has none: a new page is
 * added here, or nobody would look at it.
 */
export async function pathsOfPages(db: Tx, marinaId: string, now: number): Promise<readonly PagePath[]> {
  const held = await db.assignment.findFirst({
    where: { marinaId, untilAt: { gt: new Date(now) }, stay: { state: { in: ['promised', 'arrived'] } } },
    orderBy: { fromAt: 'desc' },
  });
  const open = await db.stay.findFirst({
    where: { marinaId, state: 'requested', departureAt: { gt: new Date(now) } },
    orderBy: { arrivalAt: 'asc' },
  });
  const paths: PagePath[] = [];
  const add = (name: string, role: PagePath['role'], url: string, params: Record<string, string> = {}, query = '') => {
    const path = url.replaceAll(/:(\w+)/g, (_, field: string) => ({ marinaId, ...params })[field] ?? '');
    paths.push({ name, url, role, path: `${path}${query}` });
  };
  add('sign-in', 'public', '/sign-in');
  add('display', 'manager', '/display');
  add('day', 'harbormaster', '/marinas/:marinaId/day');
  add('call', 'harbormaster', '/marinas/:marinaId/call');
  if (open !== null) add('stay-open', 'harbormaster', '/marinas/:marinaId/stays/:stayId', { stayId: open.id });
  if (held !== null) add('stay-held', 'harbormaster', '/marinas/:marinaId/stays/:stayId', { stayId: held.stayId });
  const dock = await db.dock.findMany({ where: { marinaId }, orderBy: { position: 'asc' } });
  add('docks', 'harbormaster', '/marinas/:marinaId/docks');
  const last = dock.at(-1);
  if (last !== undefined) add('dock', 'dockhand', '/marinas/:marinaId/docks/:dockId', { dockId: last.id });
  if (last !== undefined) add('volts', 'manager', '/marinas/:marinaId/docks/:dockId/volts', { dockId: last.id });
  add('calendar', 'harbormaster', '/marinas/:marinaId/calendar', {}, last === undefined ? '' : `?dock=${last.id}`);
  const plan = await db.plan.findFirst({
    where: { marinaId, result: { not: Prisma.DbNull } },
    orderBy: { createdAt: 'desc' },
  });
  add('plans', 'harbormaster', '/marinas/:marinaId/plans');
  if (plan !== null) add('plan', 'harbormaster', '/marinas/:marinaId/plans/:planId', { planId: plan.id });
  const part = await db.equipment.findFirst({ where: { marinaId, kind: 'feeder', breakerA: { not: null } } });
  add('load', 'manager', '/marinas/:marinaId/load');
  if (part !== null) add('part', 'manager', '/marinas/:marinaId/load/:equipmentId', { equipmentId: part.id });
  if (held !== null) {
    add('stay-sheet', 'harbormaster', '/marinas/:marinaId/stays/:stayId/sheet', { stayId: held.stayId });
  }
  add('check-in', 'dockhand', '/marinas/:marinaId/check-in');
  add('waiting', 'harbormaster', '/marinas/:marinaId/waiting');
  add('turned-away', 'harbormaster', '/marinas/:marinaId/turned-away');
  add('inventory', 'manager', '/marinas/:marinaId/inventory');
  add('inventory-document', 'manager', '/marinas/:marinaId/inventory/document');
  add('inventory-list', 'manager', '/marinas/:marinaId/inventory/:list', { list: 'equipment' });
  if (part !== null)
    add('inventory-item', 'manager', '/marinas/:marinaId/inventory/:list/:id', { list: 'equipment', id: part.id });
  add('meters', 'manager', '/marinas/:marinaId/meters');
  add('tariff', 'manager', '/marinas/:marinaId/tariff');
  add('tariff-read', 'viewer', '/marinas/:marinaId/tariff');
  add('studies', 'manager', '/marinas/:marinaId/studies');
  const study = await db.upgradeStudy.findFirst({ where: { marinaId } });
  if (study !== null) {
    const [change] = studyInputSchema.shape.changes.parse(study.changes);
    const of = { studyId: study.id, changeId: change?.id ?? '~new' };
    const url = '/marinas/:marinaId/studies/:studyId';
    const thing = change?.items[0]?.id ?? '';
    add('study', 'manager', url, of);
    add('study-replay', 'manager', `${url}/replay`, of);
    add('study-choice', 'manager', `${url}/choice`, of);
    add('study-report', 'manager', `${url}/report`, of);
    add('study-change', 'manager', `${url}/changes/:changeId`, of);
    add('study-new-change', 'manager', `${url}/changes/:changeId`, { ...of, changeId: '~new' });
    add('study-thing', 'manager', `${url}/changes/:changeId`, of, `?kind=feeder&ids=${thing}`);
  }
  add('settings', 'manager', '/marinas/:marinaId/settings');
  add('people', 'manager', '/marinas/:marinaId/people');
  const missing = allPages.filter(
    ({ url }) => ![...leadOn, ...files, ...behindLinks].includes(url) && !paths.some((path) => path.url === url),
  );
  if (missing.length > 0) throw new Error(`No path to look at: ${missing.map(({ url }) => url).join(', ')}.`);
  return paths;
}

import { createHash } from 'node:crypto';
import { z } from 'zod';
import type { SpaceUse } from '../../core/berths/occupancy.ts';
import type { PlanQuestion } from '../../core/berths/plan/question.ts';
import type { Period } from '../../core/periods.ts';
import { practiceOf } from '../berth-options/question.ts';
import type { Tx } from '../db/client.ts';
import { loadOccupancy, type Occupancy } from '../occupancy/load.ts';
import { withOverstays } from '../occupancy/overstays.ts';
import type { Services } from '../services.ts';
import type { NewPlan } from './schema.ts';
import { staysToPlace } from './stays-to-place.ts';
import { changedIndex, changedOccupancy, extraStays } from './what-if.ts';

/** What a plan stands on, as its row stores it: what must still be so when it is accepted. */
export const standsOnSchema = z.strictObject({
  inventoryRevision: z.int(),
  /** Version of each stay of the plan. */
  stays: z.record(z.string(), z.int()),
  /** By kind and id of who has space or outlets beside them: label, and a fingerprint of what they have. */
  others: z.record(z.string(), z.tuple([z.string(), z.string()])),
});

type StandsOn = z.output<typeof standsOnSchema>;

export interface LoadedQuestion {
  readonly question: PlanQuestion;
  readonly standsOn: StandsOn;
}

/**
 * The question of a plan as the marina is now: see `staysToPlace` for whom it places. All others keep what they have.
 * @throws Problem `invalid-input` where a change names what is not there, `faulty-document` where it makes no sense
 */
export async function loadPlanQuestion(
  db: Tx,
  { inventories }: Pick<Services, 'inventories'>,
  marinaId: string,
  asked: NewPlan,
  now: number,
): Promise<LoadedQuestion> {
  const { index: present, revision } = await inventories.inventoryOf(db, marinaId);
  const index = changedIndex(present, asked);
  const period = { from: Date.parse(asked.period.from), until: Date.parse(asked.period.until) };
  const { pinnedStayIds } = asked;
  const places = await staysToPlace(db, index, { marinaId, period, pinnedStayIds, now });
  const stays = places.map(({ stay }) => stay);
  const span: Period = {
    from: stays.reduce((least, stay) => Math.min(least, stay.period.from), period.from),
    until: stays.reduce((most, stay) => Math.max(most, stay.occupiedUntil), period.until),
  };
  const own = new Set(places.flatMap(({ gives }) => [...gives]));
  const occupancy = withoutOwn(await loadOccupancy(db, marinaId, span), own);
  const lying = await withOverstays(db, marinaId, index, occupancy, {
    now,
    period: span,
    besidesStayIds: new Set(stays.map(({ id }) => id)),
  });
  const { spaceUses, outletUses, stockUses } = await changedOccupancy(db, marinaId, lying, index, asked, span);
  return {
    question: {
      index,
      practice: practiceOf(index),
      stays: [...stays, ...extraStays(stays, asked)],
      settings: asked.settings,
      spaceUses,
      outletUses,
      stockUses,
    },
    standsOn: {
      inventoryRevision: revision,
      stays: Object.fromEntries(places.map(({ stay, version }) => [stay.id, version])),
      others: fingerprints(occupancy),
    },
  };
}

/** What has changed of what a plan stands on, in words; empty: nothing has. `boatNames` are by stay. */
export function whatChanged(before: StandsOn, after: StandsOn, boatNames: ReadonlyMap<string, string>): string[] {
  const changed: string[] = [];
  const named = (id: string) => `${boatNames.get(id) ?? 'a boat that is gone'} (stay ${id})`;
  if (before.inventoryRevision !== after.inventoryRevision) changed.push('the inventory');
  for (const [id, version] of Object.entries(after.stays)) {
    if (before.stays[id] === undefined) changed.push(`${named(id)} is new`);
    else if (before.stays[id] !== version) changed.push(named(id));
  }
  for (const id of Object.keys(before.stays))
    if (after.stays[id] === undefined) changed.push(`${named(id)} is to be placed no more`);
  for (const key of new Set([...Object.keys(before.others), ...Object.keys(after.others)])) {
    const [was, is] = [before.others[key], after.others[key]];
    if (was?.[1] !== is?.[1]) changed.push(`${(is ?? was)?.[0] ?? key} (${key})`);
  }
  return changed;
}

function withoutOwn({ spaceUses, outletUses, stockUses }: Occupancy, own: ReadonlySet<string>): Occupancy {
  const isOthers = ({ by }: { readonly by: SpaceUse['by'] }) => by.kind !== 'assignment' || !own.has(by.id);
  return {
    spaceUses: spaceUses.filter(isOthers),
    outletUses: outletUses.filter(isOthers),
    stockUses: stockUses.filter(({ assignmentId }) => !own.has(assignmentId)),
  };
}

function fingerprints({ spaceUses, outletUses }: Occupancy): StandsOn['others'] {
  const parts = new Map<string, { label: string; uses: string[] }>();
  const add = ({ kind, id, label }: SpaceUse['by'], use: unknown) => {
    const part = parts.get(`${kind} ${id}`) ?? { label, uses: [] };
    part.uses.push(JSON.stringify(use));
    parts.set(`${kind} ${id}`, part);
  };
  for (const { by, ...use } of spaceUses) add(by, use);
  for (const { by, ...use } of outletUses) add(by, use);
  return Object.fromEntries(
    [...parts].map(([key, { label, uses }]) => [
      key,
      [label, createHash('sha256').update(uses.sort().join('\n')).digest('hex').slice(0, 16)] as const,
    ]),
  );
}

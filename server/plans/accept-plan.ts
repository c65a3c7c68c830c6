import { insertAssignment } from '../assignments/insert-assignment.ts';
import { judgePlacement } from '../assignments/judge-placement.ts';
import { type AssignmentDocument, assignmentDocument } from '../assignments/schema.ts';
import { Prisma } from '../db/generated/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { cutAssignments, leave } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { loadStay } from '../stays/stored-stay.ts';
import { loadPlanQuestion, type StandsOn, whatChanged } from './load-question.ts';
import { newPlanSchema, type PlanDocument, planDocument, planResultSchema } from './schema.ts';

export interface AcceptPlan {
  readonly principal: Principal;
  readonly planId: string;
  readonly now: number;
  readonly idempotency: Idempotency | null;
}

const mostNamed = 10;

/**
 * Makes a plan today's plan, all of it or nothing, in one marina transaction. Every place is judged again there.
 * @throws Problem `stale-version` naming what has changed since the plan was made; `wrong-state` for a plan that is a
 * what-if, has no places or is not done; `refused` where a rule now refuses a place
 */
export async function acceptPlan(services: Services, command: AcceptPlan): Promise<PlanDocument> {
  const { principal, planId, now, idempotency } = command;
  const { marinaId, id: actor } = principal;
  return marinaTransaction(services.db, { marinaId, actor, kind: 'plan.accepted', now, idempotency }, async (write) => {
    const { tx, recordChange } = write;
    const row = await tx.plan.findUnique({ where: { marinaId_id: { marinaId, id: planId } } });
    if (row === null) throw new Problem('not-found', `There is no plan "${planId}".`);
    if (row.isWhatIf)
      throw new Problem('wrong-state', 'The plan stands on what is only supposed. Ask for one without changes.');
    if (row.state !== 'done' && row.state !== 'stopped')
      throw new Problem('wrong-state', `The plan is ${row.state}. Only one that is done can be accepted.`);
    const result = row.result === null ? null : planResultSchema.parse(row.result);
    if (result === null || (result.status !== 'optimal' && result.status !== 'feasible')) {
      throw new Problem('wrong-state', 'The plan has no places to accept. Ask for another.');
    }
    // Written by the worker, in this shape.
    const standsOn = row.standsOn as unknown as StandsOn;
    const asked = newPlanSchema.parse(row.asked);
    const present = await loadPlanQuestion(tx, services, marinaId, asked, now);
    const changed = whatChanged(standsOn, present.standsOn);
    if (changed.length > 0) {
      const named = changed.slice(0, mostNamed).join('; ');
      const more = changed.length > mostNamed ? ` and ${changed.length - mostNamed} more` : '';
      throw new Problem(
        'stale-version',
        `Since the plan was made this has changed: ${named}${more}. Ask for a new plan.`,
      );
    }

    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    const places = result.placements.filter(({ kind }) => kind !== 'kept');
    const stays = new Map<string, NonNullable<Awaited<ReturnType<typeof loadStay>>>>();
    for (const { stayId } of places) {
      const stay = await loadStay(tx, marinaId, stayId);
      if (stay !== null) stays.set(stayId, stay);
    }
    // First all who move leave, so that they may change places.
    const cuts = places.flatMap(({ stayId, berthId }) =>
      (stays.get(stayId)?.assignments ?? []).map((each) => leave(index, each, each.fromAt.getTime(), berthId)),
    );
    await rewriteDerivedUses(tx, marinaId, await cutAssignments(tx, marinaId, cuts));
    const before: unknown[] = [];
    const placed: AssignmentDocument[] = [];
    for (const { stayId, berthId, orientation, place, outletIds, from, until } of places) {
      const stay = stays.get(stayId);
      if (stay === undefined) continue;
      const period = { from: Date.parse(from), until: Date.parse(until) };
      const placement = { berthId, orientation, place, hookUp: null, overrides: [], outletIds };
      const judged = await judgePlacement(tx, services, principal, {
        boat: stay.boat,
        wishes: stay.wishes,
        period,
        placement,
        withoutAssignmentIds: new Set(),
      });
      placed.push(assignmentDocument(await insertAssignment(tx, marinaId, stayId, period, judged)));
      await rewriteDerivedUses(tx, marinaId, {
        unitIds: [...(index.berths.get(berthId)?.unitIds ?? [])],
        outletIds: [...judged.option.outletIds],
        since: period.from,
      });
      await tx.stay.update({
        where: { marinaId_id: { marinaId, id: stayId } },
        data: {
          ...(stay.row.state === 'requested' ? { state: 'promised' } : {}),
          needsBerth: Prisma.DbNull,
          version: { increment: 1 },
        },
      });
      before.push({ stay: stay.row, assignments: stay.assignments });
    }
    const accepted = await tx.plan.update({
      where: { marinaId_id: { marinaId, id: planId } },
      data: { state: 'accepted' },
    });
    await recordChange(plainJson({ stays: before }), { planId, assignments: placed });
    return planDocument(accepted);
  });
}

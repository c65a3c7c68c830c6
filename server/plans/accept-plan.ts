import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import type { Services } from '../services.ts';
import { loadPlanQuestion, standsOnSchema, whatChanged } from './load-question.ts';
import { placePlanned } from './place-planned.ts';
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
  return marinaTransaction(
    services.db,
    { marinaId, actor, kind: 'plan.accepted', now, idempotency },
    async ({ tx, recordChange }) => {
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
      const standsOn = standsOnSchema.parse(row.standsOn);
      const asked = newPlanSchema.parse(row.asked);
      const present = await loadPlanQuestion(tx, services, marinaId, asked, now);
      const stayIds = [...new Set([standsOn, present.standsOn].flatMap(({ stays }) => Object.keys(stays)))];
      const concerned = await tx.stay.findMany({
        where: { marinaId, id: { in: stayIds } },
        select: { id: true, boat: { select: { name: true } } },
      });
      const boatNames = new Map(concerned.map(({ id, boat }) => [id, boat.name]));
      const changed = whatChanged(standsOn, present.standsOn, boatNames);
      if (changed.length > 0) {
        const named = changed.slice(0, mostNamed).join('; ');
        const more = changed.length > mostNamed ? ` and ${changed.length - mostNamed} more` : '';
        throw new Problem(
          'stale-version',
          `Since the plan was made this has changed: ${named}${more}. Ask for a new plan.`,
        );
      }

      const places = result.placements.filter(({ kind }) => kind !== 'kept');
      const { placed, before } = await placePlanned(tx, services, principal, places, now);
      const accepted = await tx.plan.update({
        where: { marinaId_id: { marinaId, id: planId } },
        data: { state: 'accepted' },
      });
      await recordChange(plainJson(before), { planId, assignments: placed });
      return planDocument(accepted);
    },
  );
}

import { z } from 'zod';
import { id } from '../http/fields.ts';
import { occupancySchema } from '../occupancy/occupancy-schema.ts';
import type { Api } from '../pages/api-door.ts';
import { definePage, type PageInput, seeOther } from '../pages/define-page.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { Do, Form, FormProblem } from '../pages/parts/form.tsx';
import { allStays } from '../stays/all-stays.ts';
import { Outcome } from './plan-outcome.tsx';
import { aimText, periodText } from './plan-words.ts';
import { newPlanSchema, type PlanDocument, planSchema } from './schema.ts';

type Input = PageInput<
  { readonly marinaId: string; readonly planId: string },
  { readonly watched?: '1' | undefined },
  unknown
>;

/** One plan: watched while it is made, compared with today, stopped, accepted. */
export const planPage = definePage({
  url: '/marinas/:marinaId/plans/:planId',
  roles: ['harbormaster', 'manager', 'viewer'],
  params: z.strictObject({ marinaId: id, planId: id }),
  /** `watched`: asked by the page itself, which watches the progress. */
  query: z.strictObject({ watched: z.literal('1').optional() }),
  show: async (input) => {
    const { api, view, params, form } = input;
    const { body } = await api.ask('readPlan', planSchema, { params: { planId: params.planId } });
    const { plan } = view.texts;
    return {
      kind: 'page',
      section: 'plan',
      title: periodText(view, body),
      scripts: isOpen(body) ? ['partial'] : [],
      body: (
        <div id="plan">
          <h1>
            {periodText(view, body)} <span class="tag">{plan.states[body.state]}</span>
          </h1>
          <p class="lead">{askedText(input, body)}</p>
          <FormProblem form={form} view={view} />
          <Progress input={input} plan={body} />
          {isOpen(body) && api.allows('stopPlan') && (
            <Form form={form} view={view}>
              <Do action="stop" kind="second">
                {plan.stop}
              </Do>
            </Form>
          )}
          {body.result !== null && <Outcome {...(await comparison(input, body, body.result))} />}
          <Cautions view={view} />
        </div>
      ),
    };
  },
  actions: {
    stop: async ({ api, params }) => {
      await api.ask('stopPlan', planSchema, { params: { planId: params.planId } });
      return seeOther(planPath(params.marinaId, params.planId));
    },
    accept: async ({ api, params }) => {
      await api.ask('acceptPlan', planSchema, { params: { planId: params.planId } });
      return seeOther(planPath(params.marinaId, params.planId));
    },
    again: async ({ api, params }, fields) => {
      const { body } = await api.ask('readPlan', planSchema, { params: { planId: params.planId } });
      const asked = newPlanSchema.parse(body.asked);
      const pinnedStayIds = [...new Set([...asked.pinnedStayIds, ...fields.all('pinned')])];
      const made = await api.ask('requestPlan', planSchema, { body: { ...asked, pinnedStayIds } });
      return seeOther(planPath(params.marinaId, made.body.id));
    },
  },
});

function isOpen({ state }: PlanDocument): boolean {
  return state === 'queued' || state === 'running';
}

function planPath(marinaId: string, planId: string): string {
  return `/marinas/${marinaId}/plans/${planId}`;
}

function askedText({ view }: Input, { asked, isWhatIf }: PlanDocument): string {
  const { plan } = view.texts;
  const { settings, timeLimitS } = newPlanSchema.parse(asked);
  return [
    `${plan.serve} ${plan.serves[settings.serve]}.`,
    `${plan.promised} ${plan.promises[settings.movePromised ? 'yes' : 'no']}.`,
    ...(settings.moveInside ? [`${plan.inside} ${plan.insides.yes}.`] : []),
    plan.limitedTo(timeLimitS),
    ...(isWhatIf ? [plan.onlySupposed] : []),
  ].join(' ');
}

/**
 * How far it is. Where scripts run it is looked at every second, alone, so that nothing else of the page moves under a
 * finger; what is watched to its end then brings the whole plan.
 */
function Progress({ input, plan: document }: { readonly input: Input; readonly plan: PlanDocument }) {
  const { view, params, query } = input;
  const { plan } = view.texts;
  const { progress, failure, state } = document;
  const path = planPath(params.marinaId, document.id);
  const watching = { 'hx-get': `${path}?watched=1`, 'hx-select': '#progress', 'hx-swap': 'outerHTML' };
  const bringing = { 'hx-get': path, 'hx-select': '#plan', 'hx-target': '#plan', 'hx-swap': 'outerHTML' };
  const live = isOpen(document)
    ? { ...watching, 'hx-trigger': 'every 1s' }
    : query.watched !== undefined
      ? { ...bringing, 'hx-trigger': 'load' }
      : {};
  const figure = (value: number | null) => (value === null ? plan.notYet : `${Number(value.toFixed(2))}`);
  return (
    <div id="progress" {...live}>
      {isOpen(document) && (
        <p>
          {plan.states[state]}.{' '}
          {progress !== null && (
            <>
              {plan.progress(progress.afterS.toFixed(0), aimText(view, progress.aim))}{' '}
              {plan.soFar(figure(progress.best), figure(progress.bound))}
            </>
          )}{' '}
          <a href={path}>{plan.refresh}</a>
        </p>
      )}
      {failure !== null && <p class="problem">{failure}</p>}
    </div>
  );
}

/** Everything that the outcome is told with: names of the boats, where they are today. */
async function comparison(input: Input, plan: PlanDocument, result: NonNullable<PlanDocument['result']>) {
  const { api, view, form, params } = input;
  const { period } = newPlanSchema.parse(plan.asked);
  const { index } = await inventoryOf(api);
  const stays = new Map((await allStays(api, period)).map((stay) => [stay.id, stay]));
  const moves = result.placements.some(({ kind }) => kind === 'moved') && plan.state !== 'accepted';
  const today = moves ? await placesToday(api, period) : new Map<string, string>();
  return {
    view,
    form,
    index,
    base: `/marinas/${params.marinaId}`,
    plan,
    result,
    stays,
    today,
    mayAccept: api.allows('acceptPlan'),
    mayAskAgain: api.allows('requestPlan'),
  };
}

/** Units that each stay has, in words. */
async function placesToday(api: Api, period: { readonly from: string; readonly until: string }) {
  const { body } = await api.ask('listOccupancy', occupancySchema, { query: period });
  const labels = new Map<string, Set<string>>();
  for (const { by, unitLabel } of body.spaces) {
    if (by.stayId !== null) labels.set(by.stayId, (labels.get(by.stayId) ?? new Set()).add(unitLabel));
  }
  return new Map([...labels].map(([stayId, units]) => [stayId, [...units].join(', ')]));
}

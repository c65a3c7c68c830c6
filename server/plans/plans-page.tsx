import { z } from 'zod';
import { localDayOf } from '../local-time.ts';
import { definePage, type PageInput, seeOther } from '../pages/define-page.ts';
import { Choice, Do, Field, Form, FormProblem } from '../pages/parts/form.tsx';
import { Table } from '../pages/parts/table.tsx';
import { momentText } from '../pages/view.ts';
import { askedPlan, usualNights } from './plan-form.ts';
import { countsText, periodText } from './plan-words.ts';
import { planSchema, plansSchema } from './schema.ts';

const shown = 20;
const usualSeconds = 30;

/** Plans of a week: asking for one, and those that were made. */
export const plansPage = definePage({
  url: '/marinas/:marinaId/plans',
  roles: ['harbormaster', 'manager', 'viewer'],
  query: z.strictObject({ cursor: z.string().max(500).optional() }),
  show: async (input) => {
    const { api, view, form, query, params } = input;
    const asked = { query: { limit: String(shown), cursor: query.cursor } };
    const { body, nextCursor } = await api.ask('listPlans', plansSchema, asked);
    const { plan } = view.texts;
    const base = `/marinas/${params.marinaId}/plans`;
    return {
      kind: 'page',
      section: 'plan',
      title: plan.title,
      body: (
        <>
          <h1>{plan.title}</h1>
          <p class="lead">{plan.lead}</p>
          <FormProblem form={form} view={view} />
          {api.allows('requestPlan') && <NewPlanForm {...input} />}
          <h2>{plan.plans}</h2>
          <Table
            caption={plan.plans}
            rows={body.items}
            keyOf={({ id }) => id}
            empty={plan.noPlans}
            columns={[
              {
                head: plan.period,
                heads: true,
                cell: (each) => <a href={`${base}/${each.id}`}>{periodText(view, each)}</a>,
              },
              { head: plan.made, cell: ({ createdAt }) => momentText(view, createdAt) },
              {
                head: plan.state,
                cell: ({ state, isWhatIf }) => `${plan.states[state]}${isWhatIf ? `, ${plan.whatIf}` : ''}`,
              },
              { head: plan.outcome, cell: ({ difference }) => countsText(view, difference) },
            ]}
          />
          {nextCursor !== null && (
            <p>
              <a href={`?cursor=${encodeURIComponent(nextCursor)}`}>{plan.older}</a>
            </p>
          )}
        </>
      ),
    };
  },
  actions: {
    run: async ({ api, view, params }, fields) => {
      const { body } = await api.ask('requestPlan', planSchema, { body: askedPlan(fields, view) });
      return seeOther(`/marinas/${params.marinaId}/plans/${body.id}`);
    },
  },
});

function NewPlanForm({ view, form, now }: Pick<PageInput<unknown, unknown, unknown>, 'view' | 'form' | 'now'>) {
  const { plan } = view.texts;
  return (
    <Form form={form} view={view} label={plan.newPlan}>
      <div class="side-by-side">
        <Field form={form} name="firstDay" label={plan.firstDay} type="date" value={localDayOf(now, view.timeZone)} />
        <Field form={form} name="nights" label={plan.nights} inputMode="numeric" value={String(usualNights)} />
        <Field
          form={form}
          name="timeLimitS"
          label={plan.timeLimit}
          hint={plan.timeLimitHint}
          inputMode="numeric"
          value={String(usualSeconds)}
        />
      </div>
      <div class="side-by-side">
        <Choice form={form} name="serve" label={plan.serve} value="boats" options={Object.entries(plan.serves)} />
        <Choice
          form={form}
          name="movePromised"
          label={plan.promised}
          value="yes"
          options={Object.entries(plan.promises)}
        />
        <Choice form={form} name="moveInside" label={plan.inside} value="no" options={Object.entries(plan.insides)} />
      </div>
      <Do action="run">{plan.run}</Do>
    </Form>
  );
}

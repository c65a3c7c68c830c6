import { z } from 'zod';
import { Problem } from '../errors.ts';
import type { Role } from '../http/access.ts';
import type { Api } from '../pages/api-door.ts';
import { definePage, seeOther } from '../pages/define-page.ts';
import { moneyText } from '../pages/money-text.ts';
import { Do, Form, FormProblem } from '../pages/parts/form.tsx';
import { Table } from '../pages/parts/table.tsx';
import type { View } from '../pages/view.ts';
import { studiesSchema } from './routes.ts';
import { studySchema, tariffSchema } from './schema.ts';
import { StudyFields, studyFieldsOf } from './study-form.tsx';

export const studyReaders: readonly Role[] = ['manager', 'viewer'];

/** The upgrade studies of a marina, and what speaks for one. */
export const studiesPage = definePage({
  url: '/marinas/:marinaId/studies',
  roles: studyReaders,
  query: z.strictObject({ cursor: z.string().max(500).optional() }),
  show: async ({ api, view, params, query, form }) => {
    const { upgrades, manage } = view.texts;
    const { body, nextCursor } = await api.ask('listStudies', studiesSchema, { query });
    const base = `/marinas/${params.marinaId}`;
    return {
      kind: 'page',
      section: 'studies',
      title: upgrades.studies,
      body: (
        <>
          <h1>{upgrades.studies}</h1>
          <p class="lead">{upgrades.lead}</p>
          <Table
            caption={upgrades.studies}
            rows={body.items}
            keyOf={({ id }) => id}
            empty={upgrades.none}
            columns={[
              {
                head: upgrades.study,
                heads: true,
                cell: ({ id, name }) => <a href={`${base}/studies/${id}`}>{name}</a>,
              },
              { head: upgrades.changes, figures: true, cell: ({ changes }) => changes.length },
              { head: upgrades.cost, figures: true, cell: ({ cost, currency }) => moneyText(cost, currency) },
              {
                head: upgrades.perYear,
                figures: true,
                cell: ({ yearlyPayment, currency }) =>
                  yearlyPayment === null ? upgrades.noLoan : moneyText(yearlyPayment, currency),
              },
              {
                head: upgrades.base,
                cell: ({ movedOn }) => (movedOn ? <strong>{upgrades.movedOnShort}</strong> : upgrades.current),
              },
            ]}
          />
          {nextCursor !== null && (
            <p>
              <a href={`?cursor=${encodeURIComponent(nextCursor)}`}>{manage.next}</a>
            </p>
          )}
          {api.allows('createStudy') && (
            <>
              <h2>{upgrades.begin}</h2>
              <FormProblem form={form} view={view} />
              <Form form={form} view={view} label={upgrades.begin}>
                <StudyFields form={form} view={view} study={null} currency={await usualCurrency(api)} />
                <Do action="begin">{upgrades.begin}</Do>
              </Form>
            </>
          )}
          <StandsOn view={view} base={base} />
        </>
      ),
    };
  },
  actions: {
    begin: async ({ api, params }, fields) => {
      const body = { ...studyFieldsOf(fields), changes: [] };
      const { body: study } = await api.ask('createStudy', studySchema, { body });
      return seeOther(`/marinas/${params.marinaId}/studies/${study.id}`);
    },
  },
});

/** That of the tariff; a marina without one writes its own. */
async function usualCurrency(api: Api): Promise<string> {
  try {
    return (await api.ask('readTariff', tariffSchema)).body.currency;
  } catch (error) {
    if (error instanceof Problem && error.problem === 'not-found') return '';
    throw error;
  }
}

function StandsOn({ view, base }: { readonly view: View; readonly base: string }) {
  const { upgrades } = view.texts;
  return (
    <>
      <h2>{upgrades.standsOn}</h2>
      <ul>
        <li>
          <a href={`${base}/load`}>{upgrades.seeLoad}</a>
        </li>
        <li>
          <a href={`${base}/meters`}>{upgrades.seeMeters}</a>
        </li>
        <li>
          <a href={`${base}/tariff`}>{upgrades.seeTariff}</a>
        </li>
        <li>
          <a href={`${base}/turned-away`}>{upgrades.seeTurnedAway}</a>
        </li>
        <li>
          <a href={`${base}/inventory`}>{upgrades.seeNotAssessed}</a>
        </li>
      </ul>
    </>
  );
}

import { z } from 'zod';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { Problem } from '../errors.ts';
import { id } from '../http/fields.ts';
import { inventorySchema } from '../inventory/schema.ts';
import type { Api } from '../pages/api-door.ts';
import { definePage, seeOther } from '../pages/define-page.ts';
import type { FormState } from '../pages/fields.ts';
import { moneyText } from '../pages/money-text.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { Do, Field, Form, FormProblem } from '../pages/parts/form.tsx';
import { Table } from '../pages/parts/table.tsx';
import type { View } from '../pages/view.ts';
import { Obligations } from './obligations.tsx';
import { comparisonSchema, studySchema } from './schema.ts';
import { studyReaders } from './studies-page.tsx';
import { StudyFields, studyFieldsOf } from './study-form.tsx';
import { CsvLink, ItemsText } from './study-links.tsx';

export type StudyDocument = z.output<typeof studySchema>;
export type Comparison = z.output<typeof comparisonSchema>;
export const studyParams = z.strictObject({ marinaId: id, studyId: id });

/** One study: its changes, what they buy in short, and the ways on to replay, choice and report. */
export const studyPage = definePage({
  url: '/marinas/:marinaId/studies/:studyId',
  roles: studyReaders,
  params: studyParams,
  query: z.strictObject({ rebased: z.literal('1').optional() }),
  show: async ({ api, view, params, query, form }) => {
    const { upgrades, common } = view.texts;
    const asked = { params: { studyId: params.studyId } };
    const { body: study, version } = await api.ask('readStudy', studySchema, asked);
    const base = await baseOf(api, study.id);
    const compared = await comparisonOf(api, study.id);
    const mayWrite = api.allows('changeStudy');
    const path = `/marinas/${params.marinaId}/studies/${study.id}`;
    return {
      kind: 'page',
      section: 'studies',
      title: study.name,
      body: (
        <>
          <p>
            <a href={`/marinas/${params.marinaId}/studies`}>{upgrades.studies}</a>
          </p>
          <h1>{study.name}</h1>
          {query.rebased !== undefined && !study.movedOn && (
            <p class="done" role="status">
              {upgrades.rebased}
            </p>
          )}
          <FormProblem form={form} view={view} />
          <MovedOn view={view} study={study} form={form} mayWrite={mayWrite} />
          <p class="actions">
            <a class="button" href={`${path}/report`}>
              {upgrades.openReport}
            </a>
            <a class="button second" href={`${path}/replay`}>
              {upgrades.openReplay}
            </a>
            <a class="button second" href={`${path}/choice`}>
              {upgrades.openChoice}
            </a>
          </p>
          <h2>{upgrades.changes}</h2>
          <ChangesTable view={view} study={study} base={base} path={path} />
          {mayWrite && (
            <p>
              <a class="button second" href={`${path}/changes/~new`}>
                {upgrades.addChange}
              </a>
            </p>
          )}
          <h2>{upgrades.buys}</h2>
          {compared instanceof Problem ? (
            <CannotReckon view={view} problem={compared} />
          ) : (
            <>
              <ShortComparison view={view} comparison={compared} />
              <h2>{upgrades.obligationsTitle}</h2>
              <Obligations view={view} comparison={compared} />
            </>
          )}
          {mayWrite && (
            <details open={form.action === 'oblige'}>
              <summary>{upgrades.enterObligation}</summary>
              <ObligationForm view={view} study={study} form={form} version={version} />
            </details>
          )}
          {mayWrite && (
            <details open={form.action === 'settings'}>
              <summary>{upgrades.settings}</summary>
              <Form form={form} view={view} version={version} label={upgrades.settings}>
                <StudyFields form={form} view={view} study={study} currency={study.currency} />
                <Do action="settings">{common.save}</Do>
              </Form>
            </details>
          )}
          <Cautions view={view} />
        </>
      ),
    };
  },
  actions: {
    settings: async ({ api, params }, fields) => {
      const asked = { params: { studyId: params.studyId } };
      const { body: study } = await api.ask('readStudy', studySchema, asked);
      const body = { ...studyFieldsOf(fields), changes: study.changes, obligations: study.obligations };
      await api.ask('changeStudy', studySchema, { ...asked, body, version: Number(fields.text('version')) });
      return seeOther(`/marinas/${params.marinaId}/studies/${params.studyId}`);
    },
    oblige: async ({ api, params }, fields) => {
      const asked = { params: { studyId: params.studyId } };
      const { body: study } = await api.ask('readStudy', studySchema, asked);
      const text = (name: string) => fields.text(`obligations/${study.obligations.length}/${name}`);
      const obligation = {
        id: `besides-${fields.text('version')}`,
        label: text('label') ?? '',
        rule: text('rule'),
        changeIds: fields.all('changeIds').filter((each) => each !== ''),
        cost: text('cost') ?? '',
        suppliedBy: text('suppliedBy') ?? '',
        confirmedBy: text('confirmedBy'),
      };
      const { name, currency, edition, loan, changes, obligations } = study;
      const body = { name, currency, edition, loan, changes, obligations: [...obligations, obligation] };
      await api.ask('changeStudy', studySchema, { ...asked, body, version: Number(fields.text('version')) });
      return seeOther(`/marinas/${params.marinaId}/studies/${params.studyId}`);
    },
    rebase: async ({ api, params }) => {
      await api.ask('rebaseStudy', studySchema, { params: { studyId: params.studyId } });
      return seeOther(`/marinas/${params.marinaId}/studies/${params.studyId}?rebased=1`);
    },
  },
});

export async function baseOf(api: Api, studyId: string): Promise<Inventory> {
  const asked = { params: { studyId }, query: { side: 'before' } };
  return (await api.ask('readStudyInventory', inventorySchema, asked)).body;
}

/** Before and after; the Problem where the changes leave no inventory to reckon with, which can be mended. */
export async function comparisonOf(api: Api, studyId: string, chosen?: string): Promise<Comparison | Problem> {
  try {
    return (await api.ask('compareStudy', comparisonSchema, { params: { studyId }, query: { chosen } })).body;
  } catch (error) {
    if (error instanceof Problem && error.problem === 'faulty-document') return error;
    throw error;
  }
}

/** Why there are no figures: what of the changes contradicts itself. */
export function CannotReckon({ view, problem }: { readonly view: View; readonly problem: Problem }) {
  return (
    <section class="problem" role="alert">
      <h2>{view.texts.upgrades.cannotReckon}</h2>
      <p>{problem.message}</p>
      <ul>
        {problem.parts.errors?.map(({ pointer, message }) => (
          <li key={`${pointer} ${message}`}>{message}</li>
        ))}
      </ul>
    </section>
  );
}

interface MovedOnProps {
  readonly view: View;
  readonly study: StudyDocument;
  readonly form: FormState;
  readonly mayWrite: boolean;
}

function MovedOn({ view, study, form, mayWrite }: MovedOnProps) {
  const { upgrades } = view.texts;
  if (!study.movedOn) return null;
  const labels = new Map(study.changes.map(({ id: changeId, label }) => [changeId, label]));
  return (
    <section class="ask-this">
      <h2>{upgrades.movedOn}</h2>
      <p>{upgrades.movedOnLead(study.baseRevision)}</p>
      {study.movedUnder.length > 0 && (
        <ul>
          {study.movedUnder.map(({ changeId, collection, id: itemId }) => (
            <li key={`${changeId} ${collection} ${itemId}`}>
              {upgrades.movedUnder(labels.get(changeId) ?? changeId, collection, itemId)}
            </li>
          ))}
        </ul>
      )}
      {mayWrite && (
        <Form form={form} view={view} label={upgrades.rebase}>
          <Do action="rebase">{upgrades.rebase}</Do>
        </Form>
      )}
    </section>
  );
}

interface ObligationFormProps extends Omit<MovedOnProps, 'mayWrite'> {
  readonly version: number | null;
}

function ObligationForm({ view, study, form, version }: ObligationFormProps) {
  const { upgrades } = view.texts;
  const name = (field: string) => `obligations/${study.obligations.length}/${field}`;
  return (
    <Form form={form} view={view} version={version} label={upgrades.enterObligation}>
      <div class="side-by-side">
        <Field form={form} name={name('label')} label={upgrades.obligation} />
        <Field form={form} name={name('cost')} label={upgrades.costIn(study.currency)} inputMode="decimal" />
        <Field form={form} name={name('suppliedBy')} label={upgrades.suppliedByField} />
        <Field form={form} name={name('rule')} label={upgrades.obligationRule} />
        <Field form={form} name={name('confirmedBy')} label={upgrades.confirmedByField} />
      </div>
      <fieldset class="choice">
        <legend>{upgrades.isDue}</legend>
        {study.changes.map((change) => (
          <label key={change.id}>
            <input type="checkbox" name="changeIds" value={change.id} />
            {change.label}
          </label>
        ))}
      </fieldset>
      <Do action="oblige">{upgrades.enter}</Do>
    </Form>
  );
}

interface ChangesTableProps {
  readonly view: View;
  readonly study: StudyDocument;
  readonly base: Inventory;
  /** Of the study's page. */
  readonly path: string;
}

/** Every change with what it does, what it costs, and who says so. Other figures lead here: `#change-<id>`. */
export function ChangesTable({ view, study, base, path }: ChangesTableProps) {
  const { upgrades } = view.texts;
  const labels = new Map(study.changes.map(({ id: changeId, label }) => [changeId, label]));
  return (
    <>
      <Table
        caption={upgrades.changes}
        rows={study.changes}
        keyOf={({ id: changeId }) => changeId}
        empty={upgrades.noChanges}
        columns={[
          {
            head: upgrades.change,
            heads: true,
            cell: ({ id: changeId, label }) => (
              <a id={`change-${changeId}`} href={`${path}/changes/${changeId}`}>
                {label}
              </a>
            ),
          },
          { head: upgrades.what, cell: ({ items }) => <ItemsText view={view} base={base} items={items} /> },
          { head: upgrades.cost, figures: true, cell: ({ cost }) => moneyText(cost, study.currency) },
          { head: upgrades.life, figures: true, cell: ({ lifeYears }) => upgrades.lifeYears(lifeYears) },
          {
            head: upgrades.outOfService,
            figures: true,
            cell: ({ outOfServiceDays }) => upgrades.days(outOfServiceDays),
          },
          { head: upgrades.suppliedBy, cell: ({ suppliedBy }) => suppliedBy },
          {
            head: upgrades.requires,
            cell: ({ requires }) => requires.map((each) => labels.get(each) ?? each).join(', '),
          },
        ]}
      />
      {study.changes.length > 0 && (
        <p>
          {upgrades.total}: <strong>{moneyText(study.cost, study.currency)}</strong>
          {study.yearlyPayment !== null && study.loan !== null && (
            <>
              . {upgrades.perYear}: <strong>{moneyText(study.yearlyPayment, study.currency)}</strong> (
              {upgrades.loanIs(study.loan.ratePercent, study.loan.years, study.loan.paymentsPerYear)})
            </>
          )}{' '}
          <CsvLink view={view} href={`${path}/tables/changes`} table={upgrades.changes} />
        </p>
      )}
    </>
  );
}

/** The figures that decide, before and after. */
export function ShortComparison({ view, comparison }: { readonly view: View; readonly comparison: Comparison }) {
  const { upgrades } = view.texts;
  const { before, after, mended, remaining, added } = comparison;
  const count = (side: Comparison['before'], assessment: string) =>
    side.parts.filter((part) => part.assessment === assessment).length;
  const volts = (side: Comparison['before']) =>
    side.worstVolts === null
      ? upgrades.voltsUnknown
      : upgrades.voltsOf((side.worstVolts.share * 100).toFixed(1), side.worstVolts.outletId, side.worstVolts.between);
  return (
    <Table
      caption={upgrades.buys}
      rows={[
        { name: upgrades.partsOver, was: count(before, 'over'), is: count(after, 'over') },
        { name: upgrades.partsNotAssessed, was: count(before, 'notAssessed'), is: count(after, 'notAssessed') },
        { name: upgrades.worstVolts, was: volts(before), is: volts(after) },
        {
          name: upgrades.reviewFindings,
          was: mended.length + remaining.length,
          is: remaining.length + added.length,
        },
      ]}
      keyOf={({ name }) => name}
      empty=""
      columns={[
        { head: upgrades.figure, heads: true, cell: ({ name }) => name },
        { head: upgrades.before, cell: ({ was }) => was },
        { head: upgrades.after, cell: ({ is }) => is },
      ]}
    />
  );
}

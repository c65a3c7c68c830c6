import { z } from 'zod';
import { id } from '../http/fields.ts';
import { definePage, seeOther } from '../pages/define-page.ts';
import type { Fields, FormState } from '../pages/fields.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { Do, Field, Form, FormProblem } from '../pages/parts/form.tsx';
import type { View } from '../pages/view.ts';
import { ChoiceResult } from './choice-result.tsx';
import { RunList, RunState, runsOf, type StudyRun, watching } from './runs-part.tsx';
import { studyRunSchema, studySchema } from './schema.ts';
import { studyReaders } from './studies-page.tsx';
import { numberOf } from './study-form.tsx';
import { type StudyDocument, studyParams } from './study-page.tsx';

const jointBenefits = [0, 1, 2] as const;
const stageNumbers = [0, 1, 2, 3] as const;

/** The best of a study's changes under a budget: asked for, watched, and what it came to. */
export const choicePage = definePage({
  url: '/marinas/:marinaId/studies/:studyId/choice',
  roles: studyReaders,
  params: studyParams,
  query: z.strictObject({ run: id.optional() }),
  show: async ({ api, view, params, query, form }) => {
    const { upgrades } = view.texts;
    const { body: study } = await api.ask('readStudy', studySchema, { params: { studyId: params.studyId } });
    const { list, run } = await runsOf(api, study.id, 'choice', query.run);
    const path = `/marinas/${params.marinaId}/studies/${study.id}`;
    const labels = new Map(study.changes.map((change) => [change.id, change.label]));
    return {
      kind: 'page',
      section: 'studies',
      title: upgrades.choice,
      scripts: ['partial', 'plot'],
      body: (
        <>
          <p>
            <a href={path}>{study.name}</a>
          </p>
          <h1>{upgrades.choice}</h1>
          <p class="lead">{upgrades.choiceLead}</p>
          <FormProblem form={form} view={view} />
          {api.allows('beginStudyRun') && <ChoiceForm view={view} form={form} study={study} last={run} />}
          <div id="run" {...watching(run)}>
            <h2>{upgrades.result}</h2>
            <RunState view={view} run={run} />
            {run !== null && run.choice !== null && (
              <ChoiceResult view={view} run={run} chosen={run.choice} labels={labels} path={path} />
            )}
          </div>
          <RunList view={view} list={list} />
          <Cautions view={view} />
        </>
      ),
    };
  },
  actions: {
    choose: async ({ api, params }, fields) => {
      const { body: study } = await api.ask('readStudy', studySchema, { params: { studyId: params.studyId } });
      const body = { choice: choiceOf(fields, study) };
      const { body: run } = await api.ask('beginStudyRun', studyRunSchema, { params: { studyId: study.id }, body });
      return seeOther(`/marinas/${params.marinaId}/studies/${study.id}/choice?run=${run.id}`);
    },
  },
});

/** The choice that the form asks for; what is no number goes on as it came, for the API to refuse at its field. */
function choiceOf(fields: Fields, { changes }: StudyDocument) {
  const field = (name: string) => fields.text(`choice/${name}`);
  const alone = changes.map((change, position) => ({
    id: change.id,
    value: numberOf(field(`benefits/${position}/value`)) ?? 0,
    needs: [change.id],
  }));
  const joint = jointBenefits.map((n) => ({
    id: `together-${n + 1}`,
    value: numberOf(field(`benefits/${changes.length + n}/value`)) ?? 0,
    needs: fields.all(`needs-${n}`).filter((each) => each !== ''),
  }));
  const stages = stageNumbers.flatMap((n) => {
    const budget = field(`stages/${n}/budget`);
    return budget === null
      ? []
      : [{ id: `stage-${n + 1}`, budget, benefitYears: numberOf(field(`stages/${n}/benefitYears`)) ?? 0 }];
  });
  return {
    benefits: [...alone, ...joint.filter(({ value, needs }) => value !== 0 || needs.length > 0)],
    stages,
    runnersUp: numberOf(field('runnersUp')) ?? 3,
    curvePoints: numberOf(field('curvePoints')) ?? 10,
  };
}

interface ChoiceFormProps {
  readonly view: View;
  readonly form: FormState;
  readonly study: StudyDocument;
  /** The choice that is shown: the next begins from what it was asked. */
  readonly last: StudyRun | null;
}

function ChoiceForm({ view, form, study, last }: ChoiceFormProps) {
  const { upgrades } = view.texts;
  const asked = last?.asked.choice ?? null;
  const lastValue = (benefitId: string) => {
    const value = asked?.benefits.find((each) => each.id === benefitId)?.value;
    return value === undefined || value === 0 ? '' : String(value);
  };
  const jointNeeds = (n: number) =>
    form.action === null
      ? (asked?.benefits.find((each) => each.id === `together-${n + 1}`)?.needs ?? [])
      : form.fields.all(`needs-${n}`);
  return (
    <Form form={form} view={view} label={upgrades.choice}>
      <fieldset>
        <legend>{upgrades.benefits}</legend>
        <div class="side-by-side">
          {study.changes.map((change, position) => (
            <Field
              key={change.id}
              form={form}
              name={`choice/benefits/${position}/value`}
              label={change.label}
              inputMode="decimal"
              value={lastValue(change.id)}
            />
          ))}
        </div>
      </fieldset>
      <details open={form.action !== null || (asked?.benefits.some(({ needs }) => needs.length > 1) ?? false)}>
        <summary>{upgrades.together}</summary>
        <p class="hint">{upgrades.togetherHint}</p>
        {jointBenefits.map((n) => (
          <div key={n} class="ruled">
            <Field
              form={form}
              name={`choice/benefits/${study.changes.length + n}/value`}
              label={upgrades.togetherValue(n + 1)}
              inputMode="decimal"
              value={lastValue(`together-${n + 1}`)}
            />
            <fieldset class="choice">
              <legend>{upgrades.togetherNeeds(n + 1)}</legend>
              {study.changes.map((change) => (
                <label key={change.id}>
                  <input
                    type="checkbox"
                    name={`needs-${n}`}
                    value={change.id}
                    checked={jointNeeds(n).includes(change.id)}
                  />
                  {change.label}
                </label>
              ))}
            </fieldset>
          </div>
        ))}
      </details>
      <fieldset>
        <legend>{upgrades.stages}</legend>
        <p class="hint">{upgrades.stagesHint}</p>
        <div class="side-by-side">
          {stageNumbers.map((n) => {
            const stage = asked?.stages[n];
            return (
              <div key={n}>
                <Field
                  form={form}
                  name={`choice/stages/${n}/budget`}
                  label={upgrades.budgetOf(n + 1, study.currency)}
                  inputMode="decimal"
                  value={stage?.budget ?? (n === 0 ? study.cost : '')}
                />
                <Field
                  form={form}
                  name={`choice/stages/${n}/benefitYears`}
                  label={upgrades.yearsOf(n + 1)}
                  inputMode="decimal"
                  value={stage === undefined ? String(20 - n) : String(stage.benefitYears)}
                />
              </div>
            );
          })}
        </div>
      </fieldset>
      <div class="side-by-side">
        <Field
          form={form}
          name="choice/runnersUp"
          label={upgrades.runnersUpField}
          inputMode="numeric"
          value={String(asked?.runnersUp ?? 3)}
        />
        <Field
          form={form}
          name="choice/curvePoints"
          label={upgrades.curvePoints}
          inputMode="numeric"
          value={String(asked?.curvePoints ?? 10)}
        />
      </div>
      <Do action="choose">{upgrades.choose}</Do>
    </Form>
  );
}

import { z } from 'zod';
import { seasonOf } from '../demand/season-query.tsx';
import { id } from '../http/fields.ts';
import { localDayPeriod } from '../local-time.ts';
import { definePage, seeOther } from '../pages/define-page.ts';
import type { Fields, FormState } from '../pages/fields.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { Do, Field, Form, FormProblem } from '../pages/parts/form.tsx';
import type { View } from '../pages/view.ts';
import { calendarDay } from '../stays/schema.ts';
import { ReplayResult } from './replay-result.tsx';
import { RunList, RunState, runsOf, watching } from './runs-part.tsx';
import { studyRunSchema, studySchema } from './schema.ts';
import { studyReaders } from './studies-page.tsx';
import { numberOf } from './study-form.tsx';
import { type StudyDocument, studyParams } from './study-page.tsx';

/** A season replayed on the docks as they are and with the changes: asked for, watched, and what it came to. */
export const replayPage = definePage({
  url: '/marinas/:marinaId/studies/:studyId/replay',
  roles: studyReaders,
  params: studyParams,
  query: z.strictObject({ run: id.optional() }),
  show: async ({ api, view, params, query, form, now }) => {
    const { upgrades } = view.texts;
    const { body: study } = await api.ask('readStudy', studySchema, { params: { studyId: params.studyId } });
    const { list, run } = await runsOf(api, study.id, 'replay', query.run);
    const path = `/marinas/${params.marinaId}/studies/${study.id}`;
    const labels = new Map(study.changes.map((change) => [change.id, change.label]));
    const season = seasonOf({}, now, view.timeZone);
    return {
      kind: 'page',
      section: 'studies',
      title: upgrades.replay,
      scripts: ['partial'],
      body: (
        <>
          <p>
            <a href={path}>{study.name}</a>
          </p>
          <h1>{upgrades.replay}</h1>
          <p class="lead">{upgrades.replayLead}</p>
          <FormProblem form={form} view={view} />
          {api.allows('beginStudyRun') && <ReplayForm view={view} form={form} study={study} season={season} />}
          <div id="run" {...watching(run)}>
            <h2>{upgrades.result}</h2>
            <RunState view={view} run={run} />
            {run !== null && run.replay !== null && (
              <>
                <ReplayResult view={view} run={run} replayed={run.replay} labels={labels} path={path} />
                <h3>{upgrades.assumptions}</h3>
                <ul>
                  {run.replay.assumptions.map((words) => (
                    <li key={words}>{words}</li>
                  ))}
                </ul>
              </>
            )}
          </div>
          <RunList view={view} list={list} />
          <Cautions view={view} />
        </>
      ),
    };
  },
  actions: {
    run: async ({ api, params, view }, fields) => {
      const { body: study } = await api.ask('readStudy', studySchema, { params: { studyId: params.studyId } });
      const body = { replay: replayOf(fields, study, view.timeZone) };
      const { body: run } = await api.ask('beginStudyRun', studyRunSchema, { params: { studyId: study.id }, body });
      return seeOther(`/marinas/${params.marinaId}/studies/${study.id}/replay?run=${run.id}`);
    },
  },
});

/** The replay that the form asks for; what is no day or number goes on as it came, for the API to refuse. */
function replayOf(fields: Fields, { changes }: StudyDocument, timeZone: string) {
  const field = (name: string) => fields.text(`replay/${name}`);
  const chosen = fields.all('chosen').filter((each) => each !== '');
  const day = (text: string | null, end: 'from' | 'until') =>
    calendarDay.safeParse(text).success && text !== null
      ? new Date(localDayPeriod(text, timeZone)[end]).toISOString()
      : text;
  const growth = numberOf(field('growth'));
  return {
    chosen: chosen.length === changes.length ? null : chosen,
    from: day(field('from'), 'from'),
    until: day(field('until'), 'until'),
    growth: typeof growth === 'number' ? growth / 100 : (growth ?? 0),
    longerThanM: numberOf(field('longerThanM')) ?? 0,
    longerFactor: numberOf(field('longerFactor')) ?? 1,
    seasons: numberOf(field('seasons')) ?? 0,
    seed: numberOf(field('seed')) ?? 1,
  };
}

interface ReplayFormProps {
  readonly view: View;
  readonly form: FormState;
  readonly study: StudyDocument;
  readonly season: { readonly first: string; readonly last: string };
}

function ReplayForm({ view, form, study, season }: ReplayFormProps) {
  const { upgrades } = view.texts;
  return (
    <Form form={form} view={view} label={upgrades.replay}>
      <ChangeBoxes view={view} form={form} study={study} />
      <div class="side-by-side">
        <Field form={form} name="replay/from" type="date" label={upgrades.from} value={season.first} />
        <Field form={form} name="replay/until" type="date" label={upgrades.until} value={season.last} />
        <Field
          form={form}
          name="replay/seasons"
          label={upgrades.seasonsDrawn}
          hint={upgrades.seasonsHint}
          inputMode="numeric"
          value="2"
        />
        <Field
          form={form}
          name="replay/growth"
          label={upgrades.growth}
          hint={upgrades.growthHint}
          inputMode="decimal"
          value="0"
        />
        <Field form={form} name="replay/longerThanM" label={upgrades.longerThan} inputMode="decimal" value="0" />
        <Field form={form} name="replay/longerFactor" label={upgrades.longerFactor} inputMode="decimal" value="1" />
        <Field form={form} name="replay/seed" label={upgrades.seed} inputMode="numeric" value="1" />
      </div>
      <Do action="run">{upgrades.run}</Do>
    </Form>
  );
}

/** Which of the study's changes are made; all of them, unless said otherwise. */
function ChangeBoxes({ view, form, study }: Omit<ReplayFormProps, 'season'>) {
  if (study.changes.length === 0) return null;
  const ticked = form.action === null ? null : form.fields.all('chosen');
  return (
    <fieldset class="choice">
      <legend>{view.texts.upgrades.whichChanges}</legend>
      {study.changes.map((change) => (
        <label key={change.id}>
          <input type="checkbox" name="chosen" value={change.id} checked={ticked?.includes(change.id) ?? true} />
          {change.label}
        </label>
      ))}
    </fieldset>
  );
}

import type { z } from 'zod';
import type { Api } from '../pages/api-door.ts';
import { Empty, Table } from '../pages/parts/table.tsx';
import { momentText, type View } from '../pages/view.ts';
import { studyRunsSchema } from './run-routes.ts';
import { studyRunSchema } from './schema.ts';

export type StudyRun = z.output<typeof studyRunSchema>;
type ListedRun = z.output<typeof studyRunsSchema>['items'][number];

interface Runs {
  readonly list: readonly ListedRun[];
  /** The one asked for, else the newest. */
  readonly run: StudyRun | null;
}

export async function runsOf(
  api: Api,
  studyId: string,
  kind: StudyRun['kind'],
  runId: string | undefined,
): Promise<Runs> {
  const asked = { params: { studyId }, query: { kind, limit: '20' } };
  const { body } = await api.ask('listStudyRuns', studyRunsSchema, asked);
  const wanted = runId ?? body.items[0]?.id;
  return { list: body.items, run: wanted === undefined ? null : await readRun(api, studyId, wanted) };
}

export async function readRun(api: Api, studyId: string, runId: string): Promise<StudyRun> {
  return (await api.ask('readStudyRun', studyRunSchema, { params: { studyId, runId } })).body;
}

/** How far a run is. Where scripts run it is looked at again by itself; else by its link. */
export function RunState({ view, run }: { readonly view: View; readonly run: StudyRun | null }) {
  const { upgrades } = view.texts;
  if (run === null) return <Empty>{upgrades.noRun}</Empty>;
  if (run.state === 'failed') {
    return (
      <section class="problem" role="alert">
        <h2>{upgrades.runFailed}</h2>
        <p>{run.failure}</p>
      </section>
    );
  }
  if (run.state === 'running') {
    const percent = Math.floor(run.progress * 100);
    return (
      <p role="status">
        <strong>{upgrades.working(percent)}</strong> <progress value={percent} max={100} aria-label={upgrades.state} />{' '}
        <a href={`?run=${run.id}`}>{upgrades.lookAgain}</a>
      </p>
    );
  }
  return run.isCurrent ? null : <p class="ask-this stale">{upgrades.ofOtherVersion}</p>;
}

/** What draws a part of the page anew while a run is worked on. */
export function watching(run: StudyRun | null): Readonly<Record<string, string>> {
  if (run?.state !== 'running') return {};
  return { 'hx-get': `?run=${run.id}`, 'hx-trigger': 'every 2s', 'hx-select': '#run', 'hx-swap': 'outerHTML' };
}

export function RunList({ view, list }: { readonly view: View; readonly list: readonly ListedRun[] }) {
  const { upgrades } = view.texts;
  if (list.length < 2) return null;
  return (
    <details>
      <summary>{upgrades.runs}</summary>
      <Table
        caption={upgrades.runs}
        rows={list}
        keyOf={({ id }) => id}
        empty={upgrades.noRun}
        columns={[
          {
            head: upgrades.askedAt,
            heads: true,
            cell: ({ id, askedAt }) => <a href={`?run=${id}`}>{momentText(view, askedAt)}</a>,
          },
          { head: upgrades.state, cell: ({ state }) => upgrades.states[state] },
        ]}
      />
    </details>
  );
}

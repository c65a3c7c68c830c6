import { z } from 'zod';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { dutyCycleSource } from '../../core/upgrades/probability/duty-cycles.ts';
import { Problem } from '../errors.ts';
import { inventorySchema } from '../inventory/schema.ts';
import type { Api } from '../pages/api-door.ts';
import { definePage } from '../pages/define-page.ts';
import { moneyText } from '../pages/money-text.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { longDayText, type View } from '../pages/view.ts';
import { ChoiceResult } from './choice-result.tsx';
import { chosenQuery } from './chosen-query.ts';
import { Obligations } from './obligations.tsx';
import { ReplayResult } from './replay-result.tsx';
import { type AskedChances, Chances, chancesOf, chancesQuery } from './report-chances.tsx';
import { StudyDrawing } from './report-drawing.tsx';
import { ReportSummary } from './report-summary.tsx';
import { FindingGroups, LeakageTable, LimitsTable, SizesTable, VoltsTable } from './report-tables.tsx';
import { RunState, readRun, runsOf, type StudyRun } from './runs-part.tsx';
import { studySchema } from './schema.ts';
import { tightestOf } from './standing-text.tsx';
import { studyReaders } from './studies-page.tsx';
import { CsvLink } from './study-links.tsx';
import {
  baseOf,
  CannotReckon,
  ChangesTable,
  type Comparison,
  comparisonOf,
  type StudyDocument,
  studyParams,
} from './study-page.tsx';

const voltsShown = 10;

/** The whole study on one page, to be read and printed by an owner, a lender and an electrician. No script is needed. */
export const reportPage = definePage({
  url: '/marinas/:marinaId/studies/:studyId/report',
  roles: studyReaders,
  params: studyParams,
  query: z.strictObject({ chosen: chosenQuery, ...chancesQuery }),
  show: async ({ api, view, params, query, now }) => {
    const { upgrades } = view.texts;
    const { body: study } = await api.ask('readStudy', studySchema, { params: { studyId: params.studyId } });
    const marina = `/marinas/${params.marinaId}`;
    const path = `${marina}/studies/${study.id}`;
    const comparison = await comparisonOf(api, study.id, query.chosen);
    const head = (
      <>
        <p class="no-print">
          <a href={path}>{study.name}</a>
        </p>
        <h1>{upgrades.reportOf(study.name)}</h1>
        <p class="lead">{upgrades.reportLead(view.marinaName, longDayText(view, now), study.baseRevision)}</p>
        {study.movedOn && (
          <p class="ask-this stale">
            <strong>{upgrades.movedOn}.</strong> {upgrades.movedOnLead(study.baseRevision)}
          </p>
        )}
      </>
    );
    const title = upgrades.reportOf(study.name);
    if (comparison instanceof Problem) {
      const body = (
        <>
          {head}
          <CannotReckon view={view} problem={comparison} />
          <Cautions view={view} />
        </>
      );
      return { kind: 'page', section: 'studies', title, body };
    }
    const asked: AskedChances = {
      part: query.part ?? partOfInterest(study, comparison),
      season: query.season ?? 'summer',
      partOfDay: query.partOfDay ?? 'evening',
      chosen: query.chosen,
    };
    const [before, after] = [await baseOf(api, study.id), await afterOf(api, study.id, query.chosen)];
    const chances = asked.part === '' ? null : await chancesOf(api, study.id, asked);
    const replay = await replayOfSet(api, study.id, comparison.chosen, study);
    const { run: choice } = await runsOf(api, study.id, 'choice', undefined);
    const made = { ...study, changes: study.changes.filter(({ id }) => comparison.chosen.includes(id)) };
    const changedBy = new Map(
      made.changes.flatMap(({ id, label, items }) =>
        items.map((item) => [`${item.collection}/${item.id}`, { id, label }] as const),
      ),
    );
    const labels = new Map(study.changes.map(({ id, label }) => [id, label]));
    const tables = { view, comparison, marina, changedBy };
    const csv = (table: string, words: string) => (
      <CsvLink
        view={view}
        href={`${path}/tables/${table}${query.chosen === undefined ? '' : `?chosen=${encodeURIComponent(query.chosen)}`}`}
        table={words}
      />
    );
    const sections: readonly (readonly [id: string, title: string])[] = [
      ['summary', upgrades.summary],
      ['changes', upgrades.whatIsDone],
      ['diagrams', upgrades.diagrams],
      ['limits', upgrades.limits],
      ['volts', upgrades.volts],
      ['leakage', upgrades.leakage],
      ['findings', upgrades.findingsTitle],
      ['replay', upgrades.replay],
      ['choice', upgrades.choice],
      ['chances', upgrades.chances],
      ['assumptions', upgrades.assumptionsOf],
      ['sources', upgrades.sources],
    ];
    return {
      kind: 'page',
      section: 'studies',
      title,
      body: (
        <article class="report">
          {head}
          <ReportSummary view={view} study={made} comparison={comparison} replay={replay} path={path} />
          <nav aria-label={upgrades.contents} class="no-print">
            <h2>{upgrades.contents}</h2>
            <ul class="contents">
              {sections.map(([id, words]) => (
                <li key={id}>
                  <a href={`#${id}`}>{words}</a>
                </li>
              ))}
            </ul>
            <p class="small">{upgrades.printHint}</p>
          </nav>
          <h2 id="changes">{upgrades.whatIsDone}</h2>
          <ChangesTable view={view} study={{ ...made, ...moneyOf(comparison) }} base={before} path={path} />
          <h2 id="diagrams">{upgrades.diagrams}</h2>
          <p class="lead">{upgrades.diagramsLead}</p>
          <div class="sides">
            <StudyDrawing
              view={view}
              title={upgrades.before}
              inventory={before}
              parts={comparison.before.parts}
              changedBy={new Map()}
            />
            <StudyDrawing
              view={view}
              title={upgrades.after}
              inventory={after}
              parts={comparison.after.parts}
              changedBy={changedBy}
            />
          </div>
          <h2 id="limits">
            {upgrades.limits} {csv('limits', upgrades.limits)}
          </h2>
          <p class="lead">
            {upgrades.limitsLead} <a href="#assumptions">{upgrades.assumptionsOf}</a>
          </p>
          <LimitsTable {...tables} />
          <h3>
            {upgrades.sizes} {csv('sizes', upgrades.sizes)}
          </h3>
          <SizesTable {...tables} />
          <h2 id="volts">
            {upgrades.volts} {csv('volts', upgrades.volts)}
          </h2>
          <p class="lead">{upgrades.voltsLead(Math.min(voltsShown, comparison.after.volts.length))}</p>
          <VoltsTable {...tables} />
          <h2 id="leakage">
            {upgrades.leakage} {csv('leakage', upgrades.leakage)}
          </h2>
          <LeakageTable {...tables} />
          <h2 id="findings">
            {upgrades.findingsTitle} {csv('findings', upgrades.findingsTitle)}
          </h2>
          <h3>{upgrades.obligedTitle}</h3>
          <p class="lead">{upgrades.obligedLead}</p>
          <FindingGroups view={view} findings={comparison.obliged} none={upgrades.obligedNone} />
          <h3>
            {upgrades.obligationsTitle} {csv('obligations', upgrades.obligationsTitle)}
          </h3>
          <Obligations view={view} comparison={comparison} />
          <h3>{upgrades.mendedTitle}</h3>
          <FindingGroups view={view} findings={comparison.mended} none={upgrades.mendedNone} />
          <h3>{upgrades.addedTitle}</h3>
          <FindingGroups view={view} findings={comparison.added} none={upgrades.addedNone} />
          <p>{upgrades.remainingCount(comparison.remaining.length)}</p>
          <h2 id="replay">{upgrades.replay}</h2>
          <RunOrLink view={view} run={replay} href={`${path}/replay`} words={upgrades.openReplay} />
          {replay?.replay != null && (
            <ReplayResult view={view} run={replay} replayed={replay.replay} labels={labels} path={path} />
          )}
          <h2 id="choice">{upgrades.choice}</h2>
          <RunOrLink view={view} run={choice} href={`${path}/choice`} words={upgrades.openChoice} />
          {choice?.choice != null && (
            <ChoiceResult view={view} run={choice} chosen={choice.choice} labels={labels} path={path} />
          )}
          <h2 id="chances">{upgrades.chances}</h2>
          {chances === null ? (
            <p class="empty">{upgrades.noChances}</p>
          ) : (
            <Chances view={view} asked={asked} chances={chances} parts={comparison.after.parts} />
          )}
          <Assumptions
            view={view}
            lists={[
              [upgrades.ofDemand, comparison.assumptions],
              [upgrades.ofReplay, replay?.replay?.assumptions ?? []],
              [
                upgrades.ofChances,
                chances === null || chances instanceof Problem
                  ? []
                  : [...(chances.before?.assumptions ?? []), ...(chances.after?.assumptions ?? [])],
              ],
            ]}
          />
          <Sources view={view} study={made} comparison={comparison} />
          <Cautions view={view} />
        </article>
      ),
    };
  },
});

function moneyOf({ cost, costOfObligations, yearlyPayment }: Comparison) {
  return { cost, costOfObligations, yearlyPayment };
}

async function afterOf(api: Api, studyId: string, chosen: string | undefined): Promise<Inventory> {
  const asked = { params: { studyId }, query: { side: 'after', chosen } };
  return (await api.ask('readStudyInventory', inventorySchema, asked)).body;
}

/** The part that the changes touch and that is nearest to its limit; else the nearest of all. */
function partOfInterest({ changes }: StudyDocument, { after, chosen }: Comparison): string {
  const touched = new Set(
    changes.flatMap(({ id, items }) => (chosen.includes(id) ? items.map((item) => item.id) : [])),
  );
  const byShare = [...after.parts].sort((a, b) => (tightestOf(b)?.share ?? 0) - (tightestOf(a)?.share ?? 0));
  return (byShare.find(({ equipmentId }) => touched.has(equipmentId)) ?? byShare[0])?.equipmentId ?? '';
}

/** The newest replay of the very changes that the report is about. */
async function replayOfSet(
  api: Api,
  studyId: string,
  made: readonly string[],
  { changes }: StudyDocument,
): Promise<StudyRun | null> {
  const { list } = await runsOf(api, studyId, 'replay', undefined);
  const wanted = [...made].sort().join();
  const found = list.find(({ asked, state }) => {
    const of = asked.replay?.chosen ?? changes.map(({ id }) => id);
    return state !== 'failed' && [...of].sort().join() === wanted;
  });
  return found === undefined ? null : readRun(api, studyId, found.id);
}

interface RunOrLinkProps {
  readonly view: View;
  readonly run: StudyRun | null;
  readonly href: string;
  readonly words: string;
}

function RunOrLink({ view, run, href, words }: RunOrLinkProps) {
  return (
    <>
      <RunState view={view} run={run} />
      <p class="no-print">
        <a href={href}>{words}</a>
      </p>
    </>
  );
}

interface AssumptionsProps {
  readonly view: View;
  readonly lists: readonly (readonly [title: string, words: readonly string[]])[];
}

function Assumptions({ view, lists }: AssumptionsProps) {
  return (
    <>
      <h2 id="assumptions">{view.texts.upgrades.assumptionsOf}</h2>
      {lists
        .filter(([, words]) => words.length > 0)
        .map(([title, words]) => (
          <section key={title} aria-label={title}>
            <h3>{title}</h3>
            <ul>
              {[...new Set(words)].map((each) => (
                <li key={each}>{each}</li>
              ))}
            </ul>
          </section>
        ))}
    </>
  );
}

interface SourcesProps {
  readonly view: View;
  readonly study: StudyDocument;
  readonly comparison: Comparison;
}

function Sources({ view, study, comparison: { mended, remaining, added, obliged } }: SourcesProps) {
  const { upgrades } = view.texts;
  const sources = [...new Set([...mended, ...remaining, ...added, ...obliged].map(({ source }) => source))].sort();
  return (
    <>
      <h2 id="sources">{upgrades.sources}</h2>
      <h3>{upgrades.sourcesOfCosts}</h3>
      <ul>
        {study.changes.map(({ id, label, cost, suppliedBy }) => (
          <li key={id}>
            <a href={`#change-${id}`}>{label}</a>: {upgrades.sourceSaid(moneyText(cost, study.currency), suppliedBy)}
          </li>
        ))}
      </ul>
      <h3>{upgrades.sourcesOfRules}</h3>
      <ul>
        {[...sources, dutyCycleSource].map((source) => (
          <li key={source}>{source}</li>
        ))}
      </ul>
    </>
  );
}

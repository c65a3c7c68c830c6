import type { z } from 'zod';
import { moneyText } from '../pages/money-text.ts';
import { Plot } from '../pages/parts/plot.tsx';
import { Empty, Table } from '../pages/parts/table.tsx';
import type { View } from '../pages/view.ts';
import type { StudyRun } from './runs-part.tsx';
import type { chosenSchema } from './schema.ts';
import { CsvLink } from './study-links.tsx';

export type Chosen = z.output<typeof chosenSchema>;
type ChosenSet = NonNullable<Chosen['best']>;

interface ChoiceResultProps {
  readonly view: View;
  readonly run: StudyRun;
  readonly chosen: Chosen;
  readonly labels: ReadonlyMap<string, string>;
  /** Of the study's page. */
  readonly path: string;
}

/** The best set with its stages, what comes next and what decides, and the curve of benefit against cost. */
export function ChoiceResult({ view, run, chosen, labels, path }: ChoiceResultProps) {
  const { upgrades } = view.texts;
  const csv = (table: string, words: string) => (
    <CsvLink view={view} href={`${path}/runs/${run.id}/tables/${table}`} table={words} />
  );
  const named = (ids: readonly string[]) =>
    ids.length === 0 ? upgrades.emptySet : ids.map((id) => labels.get(id) ?? id).join(', ');
  const stages = run.asked.choice?.stages ?? [];
  const stageName = (id: string) => upgrades.stage(1 + stages.findIndex((stage) => stage.id === id));
  return (
    <>
      <h3>
        {upgrades.best} {csv('best', upgrades.best)}
      </h3>
      <BestSet view={view} chosen={chosen} labels={labels} path={path} stageName={stageName} />
      <h3>
        {upgrades.runnersUp} {csv('runnersUp', upgrades.runnersUp)}
      </h3>
      <Table
        caption={upgrades.runnersUp}
        rows={chosen.runnersUp}
        keyOf={(set) => `${set.added.join()}-${set.leftOut.join()}`}
        empty={upgrades.noRunnersUp}
        columns={[
          { head: upgrades.set, heads: true, cell: ({ stageOf }) => named(Object.keys(stageOf)) },
          { head: upgrades.benefit, figures: true, cell: ({ benefit }) => numberText(benefit) },
          { head: upgrades.cost, figures: true, cell: ({ cost }) => moneyText(cost, chosen.currency) },
          { head: upgrades.decides, cell: (set) => decides(view, set, chosen.currency, named) },
        ]}
      />
      <Verification view={view} chosen={chosen} stageName={stageName} named={named} />
      <h3>
        {upgrades.curve} {csv('curve', upgrades.curve)}
      </h3>
      <Curve view={view} chosen={chosen} named={named} />
      <p class="small">
        {upgrades.model}: {chosen.model}
      </p>
    </>
  );
}

interface VerificationProps extends Pick<ChoiceResultProps, 'view' | 'chosen'> {
  readonly stageName: (id: string) => string;
  readonly named: (ids: readonly string[]) => string;
}

/** What a replay says of the best set after each stage and of the runners-up. */
function Verification({ view, chosen: { verification, currency }, stageName, named }: VerificationProps) {
  const { upgrades } = view.texts;
  const { state, finalists, orderHolds } = verification;
  return (
    <>
      <h3>{upgrades.verification}</h3>
      <p>
        {upgrades.verificationStates[state]}{' '}
        {orderHolds !== null && <strong>{orderHolds ? upgrades.orderHolds : upgrades.orderFails}</strong>}
      </p>
      {state === 'verified' && (
        <Table
          caption={upgrades.verification}
          rows={finalists}
          keyOf={({ place, stageId }) => `${place} ${stageId}`}
          empty={upgrades.noFinalists}
          columns={[
            {
              head: upgrades.set,
              heads: true,
              cell: ({ place, stageId }) => `${upgrades.placeOf(place)}, ${stageName(stageId)}`,
            },
            { head: upgrades.changes, cell: ({ chosen }) => named(chosen) },
            {
              head: upgrades.addedNights,
              figures: true,
              cell: ({ addedNights, failure }) => (addedNights === null ? failure : addedNights),
            },
            {
              head: upgrades.addedIncome,
              figures: true,
              cell: ({ addedIncome }) => (addedIncome === null ? upgrades.noTariff : moneyText(addedIncome, currency)),
            },
          ]}
        />
      )}
    </>
  );
}

interface BestSetProps extends Pick<ChoiceResultProps, 'view' | 'chosen' | 'labels' | 'path'> {
  readonly stageName: (id: string) => string;
}

function BestSet({ view, chosen: { best, currency }, labels, path, stageName }: BestSetProps) {
  const { upgrades } = view.texts;
  if (best === null) return <Empty>{upgrades.noSet}</Empty>;
  return (
    <>
      <p>
        <strong>{upgrades.bestIs(numberText(best.benefit), moneyText(best.cost, currency))}</strong>
      </p>
      <Table
        caption={upgrades.best}
        rows={Object.entries(best.stageOf)}
        keyOf={([id]) => id}
        empty={upgrades.nothingFits}
        columns={[
          {
            head: upgrades.change,
            heads: true,
            cell: ([id]) => <a href={`${path}/changes/${id}`}>{labels.get(id) ?? id}</a>,
          },
          { head: upgrades.inStage, cell: ([, stage]) => stageName(stage) },
        ]}
      />
      {Object.keys(best.stageOf).length > 0 && (
        <p class="no-print">
          <a href={`${path}/report?chosen=${encodeURIComponent(Object.keys(best.stageOf).join(','))}`}>
            {upgrades.reportOfSet}
          </a>
        </p>
      )}
    </>
  );
}

function decides(
  { texts: { upgrades } }: View,
  { added, leftOut, benefitLost, costSaved }: Chosen['runnersUp'][number],
  currency: string,
  named: (ids: readonly string[]) => string,
): string {
  const changes = [
    ...(leftOut.length > 0 ? [upgrades.leavesOut(named(leftOut))] : []),
    ...(added.length > 0 ? [upgrades.adds(named(added))] : []),
  ];
  const price = costSaved.startsWith('-')
    ? upgrades.losesAndCosts(numberText(benefitLost), moneyText(costSaved.slice(1), currency))
    : upgrades.losesAndSaves(numberText(benefitLost), moneyText(costSaved, currency));
  return [...changes, price].join('; ');
}

interface CurveProps {
  readonly view: View;
  readonly chosen: Chosen;
  readonly named: (ids: readonly string[]) => string;
}

function Curve({ view, chosen: { curve, currency }, named }: CurveProps) {
  const { upgrades } = view.texts;
  if (curve.length === 0) return <Empty>{upgrades.noCurve}</Empty>;
  // Money between two points buys what the lower one buys.
  const steps = curve.flatMap(({ budget, benefit }, i) => {
    const before = curve[i - 1];
    return before === undefined
      ? [{ budget, benefit }]
      : [
          { budget, benefit: before.benefit },
          { budget, benefit },
        ];
  });
  return (
    <>
      <Plot
        label={upgrades.curveLabel}
        unit=""
        language={view.locale}
        across={{ numbers: steps.map(({ budget }) => Number(budget)), unit: currency }}
        least={0}
        series={[{ label: upgrades.benefit, values: steps.map(({ benefit }) => benefit), kind: 'solid' }]}
      />
      <Table
        caption={upgrades.curve}
        rows={curve}
        keyOf={({ budget }) => budget}
        empty={upgrades.noCurve}
        columns={[
          { head: upgrades.budget, heads: true, figures: true, cell: ({ budget }) => moneyText(budget, currency) },
          { head: upgrades.benefit, figures: true, cell: ({ benefit }) => numberText(benefit) },
          { head: upgrades.cost, figures: true, cell: ({ cost }) => moneyText(cost, currency) },
          { head: upgrades.set, cell: ({ stageOf }: ChosenSet) => named(Object.keys(stageOf)) },
        ]}
      />
    </>
  );
}

function numberText(value: number): string {
  return moneyText(String(Math.round(value * 100) / 100), '').trim();
}

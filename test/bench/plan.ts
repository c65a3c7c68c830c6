import { mkdir, writeFile } from 'node:fs/promises';
import { type PlanProgress, runPlan } from '../../server/plans/run-plan.ts';
import { type PlanMarina, planQuestion } from '../support/plan-marina.ts';
import { solvePlainly } from '../support/plan-oracle.ts';
import { type Figures, rounded } from './measure.ts';

interface Case {
  readonly name: string;
  readonly marina: PlanMarina;
  readonly timeLimitS: number;
  /** How long the direct model may take; null: it is not asked. */
  readonly directS: number | null;
}

const big = 4_000;
/** The direct model has no answer of its own after this: what it has by then is compared. */
const directLimitS = 120;
const cases: readonly Case[] = [
  {
    name: '300 berths, 600 stays, 14 nights, against the direct model',
    marina: { seed: 11, docks: 6, slips: 50, stays: 600, nights: 14, feederA: big },
    timeLimitS: 60,
    directS: directLimitS,
  },
  {
    name: '1,000 berths, 3,000 stays, 30 nights',
    marina: { seed: 12, docks: 20, slips: 50, stays: 3_000, nights: 30, feederA: big },
    timeLimitS: 30,
    directS: null,
  },
  {
    name: 'tight: 60 berths, 400 stays, 14 nights, feeders that bind',
    marina: { seed: 13, docks: 3, slips: 20, stays: 400, nights: 14, feederA: 300 },
    timeLimitS: 20,
    directS: null,
  },
];

/** Plans of large and of tight marinas; the gap over time goes to `bench-results/plan-gap.csv`. */
export async function run(): Promise<readonly Figures[]> {
  const gaps = ['case,afterS,aim,best,bound'];
  const figures: Figures[] = [];
  const only = process.env.PLAN_CASE;
  for (const { name, marina, timeLimitS, directS } of cases) {
    if (only !== undefined && !name.startsWith(only)) continue;
    const question = planQuestion(marina);
    const onProgress = ({ afterS, aim, best, bound }: PlanProgress) =>
      gaps.push(`"${name}",${rounded(afterS)},"${aim}",${best ?? ''},${bound ?? ''}`);
    const plan = await runPlan(question, { timeLimitS, onProgress });
    const own = plan.figures;
    const found = {
      name,
      status: plan.status,
      ...Object.fromEntries(
        plan.aims.flatMap(({ name: aim, value, bound, gap }) => [
          [aim, value],
          [`${aim}: bound`, bound ?? 'none'],
          [`${aim}: gap`, gap ?? 'none'],
        ]),
      ),
      columns: own.columns,
      classes: own.berthClasses,
      rounds: own.rounds,
      solvingS: rounded(own.secondsSolving),
      inAllS: rounded(own.secondsInAll),
    };
    if (directS === null) {
      figures.push(found);
      continue;
    }
    const start = performance.now();
    const plain = await solvePlainly(question, directS);
    const directInAllS = rounded((performance.now() - start) / 1_000);
    figures.push({
      ...found,
      ...Object.fromEntries(plan.aims.map(({ name: aim }, i) => [`${aim}: direct`, plain.levels[i]?.value ?? 'none'])),
      directStatus: plain.status,
      directLimitS: directS,
      directInAllS,
      ratio: rounded(directInAllS / own.secondsInAll),
    });
  }
  await mkdir('bench-results', { recursive: true });
  await writeFile('bench-results/plan-gap.csv', `${gaps.join('\n')}\n`);
  return figures;
}

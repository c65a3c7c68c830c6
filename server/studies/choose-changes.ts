import type { z } from 'zod';
import type { ChoiceProblem, ChosenSet } from '../../core/upgrades/choice/choice.ts';
import { bestSet, budgetCurve, runnersUp, type SolveLinear } from '../../core/upgrades/choice/choose.ts';
import { amountText, minorUnits } from '../../core/upgrades/money/money.ts';
import type { Obligation } from '../../core/upgrades/studies/obligations.ts';
import { Problem } from '../errors.ts';
import { solve as solveLinear } from '../solver/solve.ts';
import { inTurns } from './in-turns.ts';
import { type choiceInputSchema, type chosenSchema, notVerified } from './schema.ts';
import type { StoredStudy } from './stored-study.ts';

/** The best of the study's changes under the budgets of the stages, with runners-up and the curve. */
export async function chooseChanges(
  { changes, settings: { currency, obligations } }: StoredStudy,
  input: z.output<typeof choiceInputSchema>,
  onStep: () => Promise<void> = async () => {},
): Promise<z.output<typeof chosenSchema>> {
  const solve: SolveLinear = async (model) => {
    await onStep();
    return solveLinear(model, { timeLimitS: 20 });
  };
  const problem: ChoiceProblem = {
    candidates: [
      ...changes.map(({ id, cost, requires }) => ({
        id,
        costMinor: minorUnits(cost, currency),
        requires: [...requires, ...obligations.filter(isBroughtBy(id)).map((each) => besides(each.id))],
      })),
      ...obligations.map(({ id, cost }) => ({
        id: besides(id),
        costMinor: minorUnits(cost, currency),
        requires: [],
        besides: true,
      })),
    ],
    benefits: input.benefits,
    stages: input.stages.map(({ id, budget, benefitYears }) => ({
      id,
      budgetMinor: minorUnits(budget, currency),
      benefitYears,
    })),
  };
  const setToApi = ({ stageOf, benefit, costMinor }: ChosenSet) => ({
    stageOf: Object.fromEntries([...stageOf].filter(([id]) => !isBesides(id))),
    benefit,
    cost: amountText(costMinor, currency),
  });
  try {
    const best = await bestSet(problem, solve);
    const runners = best === null ? [] : await runnersUp(problem, best, input.runnersUp, solve);
    const years = input.stages[0]?.benefitYears ?? 1;
    const curve = input.curvePoints === 0 ? [] : await inTurns(budgetCurve(problem, years, input.curvePoints), onStep);
    return {
      model:
        'Most benefit, then least cost. The benefit is the sum of the terms given, each a year for the years of the stage by which all that it needs is made; what two changes do together has to be a term of its own. The costs include what the changes oblige to, each once. No stage spends more than its budget and what was left before.',
      best: best === null ? null : setToApi(best),
      runnersUp: runners.map(({ set, added, leftOut, benefitLost, costSavedMinor }) => ({
        ...setToApi(set),
        added: added.filter((id) => !isBesides(id)),
        leftOut: leftOut.filter((id) => !isBesides(id)),
        benefitLost,
        costSaved: amountText(costSavedMinor, currency),
      })),
      curve: curve.map(({ budgetMinor, set }) => ({ budget: amountText(budgetMinor, currency), ...setToApi(set) })),
      verification: { ...notVerified, state: input.verifyOver === null ? 'notAsked' : 'notYet' },
      currency,
    };
  } catch (error) {
    if (error instanceof RangeError) throw new Problem('invalid-input', error.message);
    throw error;
  }
}

/** Obligations stand among the candidates under names that no change can have. */
const besides = (obligationId: string) => `obligation ${obligationId}`;
const isBesides = (id: string) => id.startsWith('obligation ');

function isBroughtBy(changeId: string) {
  return ({ changeIds }: Obligation) => changeIds.length === 0 || changeIds.includes(changeId);
}

import { expect, it } from 'vitest';
import { buildModel } from '../../../../core/berths/plan/build-model.ts';
import { aimsReached, placeInTurn, readSolution } from '../../../../core/berths/plan/decode.ts';
import { verifyPlan } from '../../../../core/berths/plan/plan.ts';
import { startPlan } from '../../../../core/berths/plan/plan-state.ts';
import { pricePlan } from '../../../../core/berths/plan/price-plan.ts';
import { weighedSum, weighLevels } from '../../../../core/linear/weighed-levels.ts';
import { planQuestion } from '../../../support/plan-marina.ts';

it.each([13, 14, 15])('gives no space and no outlet twice, however stays are moved to make room: %i', (seed) => {
  const question = planQuestion({ seed, docks: 3, slips: 10, stays: 200, nights: 10, feederA: 250 });
  let state = startPlan(question);
  const first = placeInTurn(state);
  for (let round = 0; round < 4; round++) {
    const { model } = buildModel(state);
    const weighed = weighLevels(model.levels);
    const known = weighedSum(weighed, aimsReached(state, first.placed()));
    let left = 200;
    const { best } = pricePlan(state, model, weighed, known, () => left-- > 0);
    if (best === null) break;
    const values = new Float64Array(model.columnLower.length);
    for (const column of best) values[column] = 1;
    const { book, next } = readSolution(state, values);
    const placed = book.placed();
    for (const [i, a] of placed.entries()) {
      for (const b of placed.slice(i + 1)) {
        if (a.period.from >= b.period.until || b.period.from >= a.period.until) continue;
        expect(a.berth.unitIds.filter((id) => b.berth.unitIds.includes(id))).toEqual([]);
        expect(a.outletIds.filter((id) => b.outletIds.includes(id))).toEqual([]);
      }
    }
    // Core's own rules refuse none of it.
    expect(verifyPlan(state, book).refused).toEqual([]);
    if (next === null) break;
    state = next;
  }
});

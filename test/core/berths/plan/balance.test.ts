import { expect, it } from 'vitest';
import { balanceLines, balanceOf } from '../../../../core/berths/plan/balance.ts';
import { aimsReached, placeInTurn } from '../../../../core/berths/plan/decode.ts';
import { verifyPlan } from '../../../../core/berths/plan/plan.ts';
import { startPlan } from '../../../../core/berths/plan/plan-state.ts';
import { planQuestion } from '../../../support/plan-marina.ts';

it.each([1, 2, 3, 4])('evens out the lines of the feeders at no cost of any aim before: %i', (seed) => {
  const system = seed % 2 === 0 ? '208Y/120' : '120/240-split-phase';
  const state = startPlan(planQuestion({ seed, docks: 2, slips: 12, stays: 40, nights: 6, feederA: 4_000, system }));
  const book = placeInTurn(state);
  const before = balanceOf(state.scene, book);
  const aims = aimsReached(state, book.placed());
  balanceLines(state, book, () => true);
  expect(aimsReached(state, book.placed())).toEqual(aims);
  expect(balanceOf(state.scene, book).unbalanceA).toBeLessThan(before.unbalanceA);
  expect(verifyPlan(state, book).refused).toEqual([]);
});

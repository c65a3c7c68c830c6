import { describe, expect, it } from 'vitest';
import type { PlanQuestion } from '../../../core/berths/plan/question.ts';
import { type PlanRun, runPlan } from '../../../server/plans/run-plan.ts';
import { type PlanMarina, planQuestion, planStart, randomOf } from '../../support/plan-marina.ts';
import {
  aimsOfChoices,
  bruteForce,
  faultsOf,
  type PlainChoice,
  plainChoices,
  solvePlainly,
  unbalanceOf,
} from '../../support/plan-oracle.ts';

/** A plan's places as the oracle's choices: each must be one that the oracle knows. */
function choicesOf(question: PlanQuestion, plan: PlanRun): PlainChoice[] {
  const known = plainChoices(question);
  return plan.placements.map(({ stayId, berthId, outletIds, kind, from, until }) => {
    const found = known.find(
      (choice) =>
        choice.stay.id === stayId &&
        choice.berthId === berthId &&
        choice.from === from &&
        (choice.part?.isFirst ? choice.part.movesAt : choice.stay.period.until) === until &&
        (choice.part !== null || (choice.costs.moves === 0) === (kind !== 'moved')) &&
        [...choice.outletIds].sort().join() === [...outletIds].sort().join(),
    );
    if (found === undefined) throw new Error(`${stayId} in ${berthId} is none of the plain choices`);
    return found;
  });
}

/** Values of all aims but the last two, which are not proven. */
function provenOf({ aims }: PlanRun): number[] {
  return aims.slice(0, -2).map(({ value }) => value);
}

function shuffled(question: PlanQuestion, seed: number): PlanQuestion {
  const random = randomOf(seed);
  const keyed = question.stays.map((stay) => ({ stay, at: random() }));
  return { ...question, stays: keyed.sort((a, b) => a.at - b.at).map(({ stay }) => stay) };
}

const tiny: PlanMarina = { seed: 0, docks: 1, slips: 2, stays: 5, nights: 3, feederA: 80 };
const small: PlanMarina = { seed: 0, docks: 2, slips: 4, stays: 12, nights: 5, feederA: 4_000 };

const shapes: readonly Partial<PlanMarina>[] = [
  {},
  { feederA: 60, docks: 1, stays: 7 },
  { feederA: 100, stays: 8 },
  { pairs: 1, held: 0.4 },
  { promised: 4, stepDowns: 1, feederA: 100, stays: 8 },
  { promised: 5, held: 0.3 },
  { refusingBasis: 'stated', feederA: 60, docks: 1, stays: 7 },
  { system: '208Y/120', feederA: 70, docks: 1, stays: 7 },
  { priorities: 2, settings: { serve: 'nights' } },
  { stepDowns: 2, pairs: 1, docks: 3, stays: 16 },
  { wishing: 0.7, held: 0.2, promised: 3 },
];
const marinas = shapes.flatMap((shape, i) =>
  [0, 1, 2, 3].map((k): PlanMarina => ({ ...small, ...shape, seed: 100 * i + k + 1 })),
);

describe('a plan', () => {
  it.each(Array.from({ length: 12 }, (_, i) => i + 1))(
    'is the best of all there are, tried one by one: marina %i',
    async (seed) => {
      const question = planQuestion({
        ...tiny,
        seed,
        promised: seed % 3,
        stepDowns: seed % 2,
        ...(seed > 8 ? { wishing: 0.6 } : {}),
        refusingBasis: seed % 4 === 0 ? 'stated' : 'rated',
      });
      const plan = await runPlan(question, { timeLimitS: 120 });
      const best = bruteForce(question);
      if (best === null) return expect(plan.status).toBe('infeasible');
      expect(provenOf(plan)).toEqual(best);
      expect(plan.status).toBe('optimal');
      expect(faultsOf(question, choicesOf(question, plan))).toEqual([]);
    },
  );

  it.each([1, 2, 3, 4, 5, 6])(
    'moves a boat once inside its stay rather than turning it away: marina %i',
    async (seed) => {
      const asked = { ...tiny, seed, nights: 4, stays: 4, slips: 2, feederA: seed % 2 === 0 ? 60 : 200, held: 0.9 };
      const whole = planQuestion({ ...asked, promised: seed % 2 });
      const question = { ...whole, settings: { ...whole.settings, moveInside: true } };
      const plan = await runPlan(question, { timeLimitS: 120 });
      expect(provenOf(plan)).toEqual(bruteForce(question));
      expect(plan.status).toBe('optimal');
      const choices = choicesOf(question, plan);
      expect(faultsOf(question, choices)).toEqual([]);
      // Never worse than without, and never divided for nothing.
      const undivided = await runPlan(whole, { timeLimitS: 120 });
      expect(plan.aims[0]?.value).toBeGreaterThanOrEqual(undivided.aims[0]?.value ?? 0);
    },
  );

  it('gives a boat one berth until its holder is back, and then another that has fallen free', async () => {
    const question = planQuestion({
      ...tiny,
      seed: 1,
      slips: 2,
      stays: 1,
      feederA: 4_000,
      settings: { moveInside: true },
    });
    const [stay] = question.stays;
    if (stay === undefined) throw new Error('no stay');
    const hour = 3_600_000;
    const from = planStart + 15 * hour;
    const movesAt = [1, 2].map((days) => planStart + (24 * days + 12) * hour);
    const until = planStart + (24 * 3 + 11) * hour;
    const long = { ...stay, period: { from, until }, occupiedUntil: until + hour, nights: 3, movesAt };
    const by = { kind: 'holding', id: 'h', label: 'Holder' } as const;
    const whole = { fromM: 0, untilM: 1, by };
    const [second = 0] = movesAt.slice(1);
    const spaceUses = [
      { ...whole, unitId: 'u-0-0', from: second + hour, until: until + 48 * hour },
      { ...whole, unitId: 'u-0-1', from: planStart, until: second },
    ];
    const held = { ...question, stays: [long], spaceUses };
    const plan = await runPlan(held, { timeLimitS: 60 });
    expect(provenOf(plan)).toEqual(bruteForce(held));
    expect(plan.placements.map(({ berthId, from: at, until: end }) => [berthId, at, end])).toEqual([
      ['b-0-0', from, second],
      ['b-0-1', second, until],
    ]);
    const undivided = await runPlan({ ...held, settings: { ...held.settings, moveInside: false } }, { timeLimitS: 60 });
    expect(undivided.placements).toEqual([]);
  });

  it.each(marinas)('reaches what the direct model reaches: $seed', async (marina) => {
    const question = planQuestion(marina);
    const plain = await solvePlainly(question, 120);
    const plan = await runPlan(shuffled(question, marina.seed), { timeLimitS: 200 });
    if (plain.status === 'infeasible') return expect(plan.status).toBe('infeasible');
    expect(plain.status).toBe('optimal');
    expect(provenOf(plan)).toEqual(aimsOfChoices(question, plain.chosen));
    expect(plan.status).toBe('optimal');
    const choices = choicesOf(question, plan);
    expect(faultsOf(question, choices)).toEqual([]);
    expect(aimsOfChoices(question, choices)).toEqual(provenOf(plan));
    expect(unbalanceOf(question, choices)).toBe(plan.aims.at(-2)?.value);
    for (const stay of question.stays.filter(({ promised }) => promised)) {
      expect(plan.placements.some(({ stayId }) => stayId === stay.id)).toBe(true);
    }
    for (const { stoppedBy } of plan.unplaced) expect(stoppedBy.length).toBeGreaterThan(0);
  });
});

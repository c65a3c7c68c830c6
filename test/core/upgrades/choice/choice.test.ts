import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ChoiceProblem, choiceModel, worthOf } from '../../../../core/upgrades/choice/choice.ts';
import {
  bestSet,
  budgetCurve,
  type CurvePoint,
  runnersUp,
  type SolveLinear,
} from '../../../../core/upgrades/choice/choose.ts';
import { seededChance } from '../../../../core/upgrades/random.ts';
import { solve as solveLinear } from '../../../../server/solver/solve.ts';

/** The solver as the service runs it. */
const solve: SolveLinear = (model) => solveLinear(model, { timeLimitS: 60 });

const problems = fc
  .record({
    costs: fc.array(fc.integer({ min: 0, max: 60 }), { minLength: 1, maxLength: 6 }),
    seed: fc.integer(),
    stages: fc.integer({ min: 1, max: 2 }),
    budget: fc.integer({ min: 0, max: 120 }),
  })
  .map(({ costs, seed, stages, budget }): ChoiceProblem => {
    const chance = seededChance(seed);
    const candidates = costs.map((cost, i) => ({
      id: `c${i}`,
      costMinor: BigInt(cost * 100),
      requires: i > 0 && chance() < 0.3 ? [`c${Math.floor(chance() * i)}`] : [],
    }));
    const benefits = Array.from({ length: 5 }, (_, b) => ({
      id: `b${b}`,
      value: Math.floor(chance() * 20),
      needs: candidates.filter(() => chance() < 0.4).map(({ id }) => id),
    }));
    return {
      candidates,
      benefits,
      stages: Array.from({ length: stages }, (_, s) => ({
        id: `s${s}`,
        budgetMinor: BigInt(budget * 100),
        benefitYears: 10 - 4 * s,
      })),
    };
  });

/** Every way to put every change into a stage or none. */
function enumerated(problem: ChoiceProblem): { benefit: number; costMinor: bigint } {
  const { candidates, stages } = problem;
  const ways = (stages.length + 1) ** candidates.length;
  let best = { benefit: -1, costMinor: 0n };
  for (let way = 0; way < ways; way++) {
    const at = candidates.map((_, c) => Math.floor(way / (stages.length + 1) ** c) % (stages.length + 1));
    const place = new Map(candidates.map(({ id }, c) => [id, at[c] ?? 0]));
    const late = (id: string) => (place.get(id) === 0 ? Number.POSITIVE_INFINITY : (place.get(id) ?? 0));
    if (candidates.some(({ requires }, c) => at[c] !== 0 && requires.some((id) => late(id) > (at[c] ?? 0)))) continue;
    let money = 0n;
    const isPaid = stages.every(({ budgetMinor }, s) => {
      money += budgetMinor;
      const spent = candidates.reduce(
        (sum, { costMinor }, c) => (at[c] !== 0 && (at[c] ?? 0) <= s + 1 ? sum + costMinor : sum),
        0n,
      );
      return spent <= money;
    });
    if (!isPaid) continue;
    const stageOf = new Map(
      candidates.flatMap(({ id }, c) => (at[c] === 0 ? [] : [[id, stages[(at[c] ?? 1) - 1]?.id ?? '']])) as [
        string,
        string,
      ][],
    );
    const worth = worthOf(problem, stageOf);
    if (worth.benefit > best.benefit || (worth.benefit === best.benefit && worth.costMinor < best.costMinor))
      best = worth;
  }
  return best;
}

function curveOf(...asked: Parameters<typeof budgetCurve>): CurvePoint[] {
  const steps = budgetCurve(...asked);
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}

describe('the choice under a budget', () => {
  it('is the best of all sets enumerated, and of those the cheapest', async () => {
    await fc.assert(
      fc.asyncProperty(problems, async (problem) => {
        const best = await bestSet(problem, solve);
        const { benefit, costMinor } = enumerated(problem);
        expect(best?.benefit).toBeCloseTo(benefit, 6);
        expect(best?.costMinor).toBe(costMinor);
      }),
      { numRuns: 12 },
    );
  });

  it('is the same set where costs and budgets are doubled', async () => {
    await fc.assert(
      fc.asyncProperty(problems, async (problem) => {
        const doubled: ChoiceProblem = {
          ...problem,
          candidates: problem.candidates.map((candidate) => ({ ...candidate, costMinor: 2n * candidate.costMinor })),
          stages: problem.stages.map((stage) => ({ ...stage, budgetMinor: 2n * stage.budgetMinor })),
        };
        expect((await bestSet(doubled, solve))?.stageOf).toEqual((await bestSet(problem, solve))?.stageOf);
      }),
      { numRuns: 5 },
    );
  });

  const harbor: ChoiceProblem = {
    candidates: [
      { id: 'feeder', costMinor: 8_000_000n, requires: [] },
      { id: 'pedestals', costMinor: 5_000_000n, requires: ['feeder'] },
      { id: 'lights', costMinor: 1_000_000n, requires: [] },
    ],
    benefits: [
      { id: 'nights of 50 A', value: 120, needs: ['feeder', 'pedestals'] },
      { id: 'nights of 30 A', value: 20, needs: ['feeder'] },
      { id: 'care', value: 5, needs: ['lights'] },
    ],
    stages: [
      { id: 'first', budgetMinor: 9_000_000n, benefitYears: 20 },
      { id: 'second', budgetMinor: 5_000_000n, benefitYears: 18 },
    ],
  };

  it('stages what is required first and counts only the years that are left', async () => {
    const best = await bestSet(harbor, solve);
    expect(Object.fromEntries(best?.stageOf ?? [])).toEqual({ feeder: 'first', pedestals: 'second', lights: 'first' });
    expect(best?.benefit).toBe(120 * 18 + 20 * 20 + 5 * 20);
  });

  it('names runners-up, each another set and none better, with what decides', async () => {
    const best = await bestSet(harbor, solve);
    if (best === null) throw new Error('nothing chosen');
    const runners = await runnersUp(harbor, best, 3, solve);
    expect(runners).toHaveLength(3);
    expect(runners[0]).toMatchObject({ leftOut: ['lights'], added: [], benefitLost: 100, costSavedMinor: 1_000_000n });
    expect(runners[0]?.decides).toMatch(/without lights: 100 less benefit for 1000000 minor units less/);
    for (const [i, { benefitLost }] of runners.entries())
      expect(benefitLost).toBeGreaterThanOrEqual(runners[i - 1]?.benefitLost ?? 0);
  });

  it('has on its curve the best of all sets enumerated, at every budget', () => {
    fc.assert(
      fc.property(problems, ({ candidates, benefits }) => {
        const total = candidates.reduce((sum, { costMinor }) => sum + costMinor, 0n);
        for (const { budgetMinor, set } of curveOf({ candidates, benefits }, 10, 5)) {
          const stages = [{ id: 'now', budgetMinor, benefitYears: 10 }];
          const { benefit, costMinor } = enumerated({ candidates, benefits, stages });
          expect([set.benefit, set.costMinor]).toEqual([benefit, costMinor]);
          expect(budgetMinor <= total).toBe(true);
        }
      }),
      { numRuns: 60 },
    );
  });

  it('has on its curve what the solver proves, with more candidates than can be enumerated', async () => {
    const chance = seededChance(9);
    const candidates = Array.from({ length: 16 }, (_, i) => ({
      id: `c${i}`,
      costMinor: BigInt(100 * (10 + Math.floor(chance() * 200))),
      requires: i > 4 && chance() < 0.4 ? [`c${Math.floor(chance() * 5)}`] : [],
    }));
    const benefits = Array.from({ length: 30 }, (_, b) => ({
      id: `b${b}`,
      value: 0.25 + Math.floor(chance() * 100),
      needs: [...new Set(Array.from({ length: 1 + Math.floor(chance() * 3) }, () => `c${Math.floor(chance() * 16)}`))],
    }));
    for (const { budgetMinor, set } of curveOf({ candidates, benefits }, 3, 4)) {
      const stages = [{ id: 'now', budgetMinor, benefitYears: 3 }];
      const best = await bestSet({ candidates, benefits, stages }, solve);
      expect([set.benefit, set.costMinor]).toEqual([best?.benefit, best?.costMinor]);
    }
  });

  it('gives a curve that never falls, from nothing to everything', () => {
    const curve = curveOf(harbor, 10, 7);
    expect(curve[0]?.set.benefit).toBe(0);
    expect(curve.at(-1)?.set.benefit).toBe(1450);
    for (const [i, { set }] of curve.entries())
      expect(set.benefit).toBeGreaterThanOrEqual(curve[i - 1]?.set.benefit ?? 0);
  });

  it('refuses circles and what is not there', () => {
    const circle = {
      ...harbor,
      candidates: harbor.candidates.map((candidate) =>
        candidate.id === 'feeder' ? { ...candidate, requires: ['pedestals'] } : candidate,
      ),
    };
    expect(() => choiceModel(circle)).toThrow(/circle: feeder > pedestals > feeder/);
    expect(() => choiceModel({ ...harbor, benefits: [{ id: 'x', value: 1, needs: ['y'] }] })).toThrow(
      /"y", which is no candidate/,
    );
  });
});

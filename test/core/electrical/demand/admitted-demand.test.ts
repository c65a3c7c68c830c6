import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { admittedFromCounts, factorRows } from '../../../../core/electrical/demand/admitted-counts.ts';
import { admittedDemand, factorAt } from '../../../../core/electrical/demand/practice-factor.ts';
import { anyPractice } from './random-marina.ts';

const ratings = fc.array(fc.constantFrom(2400, 3600, 6000, 12000), { maxLength: 14 });

describe('admission demand of receptacles in use', () => {
  it('is the largest factor x sum over every subset, each subset counted by itself', () => {
    // The naive reading: whichever of the boats are counted, the part must carry what the table gives for them.
    fc.assert(
      fc.property(anyPractice, fc.array(fc.constantFrom(2400, 3600, 12000), { maxLength: 8 }), (practice, list) => {
        let worst = 0;
        for (let subset = 1; subset < 1 << list.length; subset++) {
          const chosen = list.filter((_, i) => (subset & (1 << i)) !== 0);
          worst = Math.max(worst, factorAt(practice, chosen.length) * chosen.reduce((sum, va) => sum + va, 0));
        }
        expect(admittedDemand(practice, list).demandVa).toBeCloseTo(worst, 6);
      }),
    );
  });

  it('never falls when one is added, to the channel or beside it', () => {
    fc.assert(
      fc.property(anyPractice, ratings, fc.constantFrom(2400, 12000), fc.nat(6), (practice, list, added, beside) => {
        const before = admittedDemand(practice, list, list.length + beside).demandVa;
        const onIt = admittedDemand(practice, [...list, added], list.length + beside + 1).demandVa;
        const besideIt = admittedDemand(practice, list, list.length + beside + 1).demandVa;
        expect(onIt).toBeGreaterThanOrEqual(before);
        expect(besideIt).toBeGreaterThanOrEqual(before);
      }),
    );
  });

  it('does not depend on order', () => {
    const shuffled = ratings.chain((list) =>
      fc.tuple(fc.constant(list), fc.shuffledSubarray(list, { minLength: list.length, maxLength: list.length })),
    );
    fc.assert(
      fc.property(anyPractice, shuffled, (practice, [list, other]) => {
        expect(admittedDemand(practice, other)).toEqual(admittedDemand(practice, list));
      }),
    );
  });

  it('is the same from counts by distinct rating', () => {
    const distinct = [12000, 6000, 3600, 2400];
    fc.assert(
      fc.property(anyPractice, ratings, fc.nat(6), (practice, list, beside) => {
        const counts = distinct.map((va) => list.filter((rating) => rating === va).length);
        const ranked = { index: [0, 1, 2, 3], va: distinct };
        const fast = admittedFromCounts(factorRows(practice), ranked, counts, list.length + beside);
        expect(fast).toBeCloseTo(admittedDemand(practice, list, list.length + beside).demandVa, 6);
      }),
    );
  });
});

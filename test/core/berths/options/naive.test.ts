import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { prepare } from '../../../../core/berths/options/prepare.ts';
import { rankBerths } from '../../../../core/berths/options/rank-berths.ts';
import { compareScores, namedScore } from '../../../../core/berths/options/score.ts';
import { naiveOptions } from '../../../support/naive-options.ts';
import { anyQuestion } from './random-question.ts';

describe('berth options', () => {
  it('give every berth the verdict and the best score of a plain search of everything', () => {
    const seen: Record<string, number> = {};
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const quick = new Map(rankBerths(prepare(question)).map((each) => [each.berth.id, each]));
        for (const { berthId, verdict, score } of naiveOptions(question)) {
          const ranked = quick.get(berthId);
          // Of two pieces and more to bring the quick way tries a bounded number.
          const toBring = namedScore(score).find(({ name }) => name === 'adapters to bring')?.value ?? 0;
          if (toBring > 1 && verdict !== 'refused') continue;
          seen[verdict] = (seen[verdict] ?? 0) + 1;
          expect(ranked?.verdict, berthId).toBe(verdict);
          if (ranked === undefined || verdict === 'refused') continue;
          const difference = compareScores(ranked.score, score);
          const words = `${berthId}: ${ranked.score} and ${score}`;
          // The plain search looks at one piece to bring for each set of outlets; a better one may exist.
          if (toBring > 0) expect(difference, words).toBeLessThanOrEqual(0);
          else expect(difference, words).toBe(0);
        }
      }),
      { numRuns: 230 },
    );
    // The cases must not all be of one kind.
    expect(Math.min(seen.refused ?? 0, seen.unconfirmed ?? 0)).toBeGreaterThan(100);
    expect((seen.clear ?? 0) + (seen.cautioned ?? 0)).toBeGreaterThan(20);
  }, 240_000);
});

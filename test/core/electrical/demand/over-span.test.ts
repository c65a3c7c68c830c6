import fc from 'fast-check';
import { expect, it } from 'vitest';
import { factorRows } from '../../../../core/electrical/demand/admitted-counts.ts';
import { demandAt } from '../../../../core/electrical/demand/demand-at.ts';
import { loadModel } from '../../../../core/electrical/demand/load-model.ts';
import { overSpan } from '../../../../core/electrical/demand/over-span.ts';
import { governingMeasure } from '../../../../core/electrical/demand/part-measures.ts';
import { peaksOf, sweepPart, usesByOutlet } from '../../../../core/electrical/demand/part-sweep.ts';
import { anyMarina, anyPractice, anyUses } from './random-marina.ts';

const period = { from: 5, until: 20 };

it('the stretch over a limit holds the peak, and every instant of it and just outside is as the plain form has it', () => {
  let passed = 0;
  fc.assert(
    fc.property(
      anyMarina({ everythingKnown: true }).chain((index) =>
        fc.record({
          index: fc.constant(index),
          uses: anyUses(index),
          own: fc.constantFrom(...index.inventory.outlets),
        }),
      ),
      anyPractice,
      fc.double({ min: 0.5, max: 0.99, noNaN: true }),
      fc.constantFrom('rated' as const, 'stated' as const),
      ({ index, uses, own }, practice, share, basis) => {
        const rows = factorRows(practice);
        const byOutlet = usesByOutlet(index, uses, period);
        const load = loadModel(index).outletLoad(own);
        const all = [
          ...uses,
          { outletId: own.id, statedVa: null, ...period, by: { kind: 'assignment', id: 'own', label: 'own' } as const },
        ];
        for (const part of load.path) {
          const sweep = sweepPart(index, part, byOutlet, period);
          const added = { indexes: [sweep.ratings.indexOf(load)].filter((i) => i >= 0), statedShare: 1 };
          const peaks = peaksOf(sweep, basis, rows, added);
          for (const partLimit of sweep.ratings.gauge.limits) {
            const governing = governingMeasure(partLimit, peaks.values);
            const peak = peaks.values[governing] ?? 0;
            if (!(peak > 1)) continue;
            const limit = share * peak;
            const limited = { measures: partLimit.measures, limit };
            const at = peaks.at[governing] ?? 0;
            const span = overSpan(sweep, basis, rows, added, limited, at, period);
            passed += 1;
            const isPassedAt = (time: number) => {
              const of = demandAt(index, practice, all, time).find(({ rated }) => rated.equipmentId === part.id)?.[
                basis
              ];
              const same = of?.limits.find(
                ({ kind, winding }) => kind === partLimit.kind && winding === partLimit.winding,
              );
              return (same?.actual ?? Number.NaN) > limit * (1 + 1e-9);
            };
            expect(span.from <= at && at < span.until).toBe(true);
            for (let time = span.from; time < span.until; time++) expect(isPassedAt(time)).toBe(true);
            if (span.from > period.from) expect(isPassedAt(span.from - 1)).toBe(false);
            if (span.until < period.until) expect(isPassedAt(span.until)).toBe(false);
          }
        }
      },
    ),
    { numRuns: 60 },
  );
  expect(passed).toBeGreaterThan(100);
});

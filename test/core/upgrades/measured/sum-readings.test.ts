import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { MeterCover, MeterWeight } from '../../../../core/upgrades/measured/meter-cover.ts';
import { laterPeak, readingSums, registerDemand } from '../../../../core/upgrades/measured/sum-readings.ts';

const quarterMs = 900_000;
const dayMs = 86_400_000;
const weight = (meterId: string, nodeId: string, of: Partial<MeterWeight> = {}): MeterWeight => ({
  meterId,
  line: 0,
  counts: 1,
  nodeId,
  va: 1000,
  a1: 4,
  a2: 2,
  a3: 0,
  ...of,
});
const cover: MeterCover = {
  weights: [weight('m1', 'below:f1'), weight('m2', 'below:f1', { a1: 0, a2: 8 }), weight('m3', 'below:f2')],
  parts: [
    {
      equipmentId: 'service',
      nodeIds: ['below:f1', 'below:f2'],
      meterIds: ['m1', 'm2', 'm3'],
      unmeteredOutletIds: [],
      linesKnownNodeIds: ['below:f1', 'below:f2'],
    },
    {
      equipmentId: 'f1',
      nodeIds: ['below:f1'],
      meterIds: ['m1', 'm2'],
      unmeteredOutletIds: [],
      linesKnownNodeIds: ['below:f1'],
    },
    {
      equipmentId: 'above transformer',
      nodeIds: ['below:f2'],
      meterIds: ['m3'],
      unmeteredOutletIds: [],
      linesKnownNodeIds: [],
    },
    { equipmentId: 'bare', nodeIds: [], meterIds: [], unmeteredOutletIds: ['x'], linesKnownNodeIds: [] },
  ],
  assumptions: [],
};

/** A table of readings, summed moment by moment as one would on paper. */
function onPaper(readings: ReadonlyMap<string, ReadonlyMap<number, number>>, partIndex: number) {
  const part = cover.parts[partIndex];
  const mine = cover.weights.filter(({ nodeId }) => part?.nodeIds.includes(nodeId));
  const moments = [...new Set(mine.flatMap(({ meterId }) => [...(readings.get(meterId)?.keys() ?? [])]))].sort(
    (a, b) => a - b,
  );
  const sums = moments.map((at) => {
    const read = mine.flatMap((each) => {
      const value = readings.get(each.meterId)?.get(at);
      return value === undefined ? [] : [{ each, value }];
    });
    const sum = (of: (weight: MeterWeight) => number) =>
      read.reduce((all, { each, value }) => all + value * of(each), 0);
    const a = Math.max(
      sum(({ a1 }) => a1),
      sum(({ a2 }) => a2),
      sum(({ a3 }) => a3),
    );
    return { at, va: sum(({ va }) => va), a, isComplete: read.length === mine.length };
  });
  const complete = sums.filter(({ isComplete }) => isComplete);
  return {
    peakVa: sums.length === 0 ? null : Math.max(...sums.map(({ va }) => va)),
    a: sums.length === 0 ? null : Math.max(...sums.map(({ a }) => a)),
    intervals: sums.length,
    complete: complete.length,
    daysRead: new Set(complete.map(({ at }) => Math.floor(at / dayMs))).size,
  };
}

describe('readings summed by moment', () => {
  const slots = fc.uniqueArray(fc.integer({ min: 0, max: 299 }), { maxLength: 40 });
  const values = fc.array(fc.integer({ min: 0, max: 50 }), { minLength: 40, maxLength: 40 });

  it('are those summed on paper, in one piece or in two', () => {
    fc.assert(
      fc.property(fc.tuple(slots, slots, slots), values, ([s1, s2, s3], size) => {
        const readings = new Map(
          [s1, s2, s3].map((list, m) => [
            `m${m + 1}`,
            new Map(list.map((slot, i) => [slot * quarterMs, size[i] ?? 0])),
          ]),
        );
        const run = (from: number, count: number) => {
          const sums = readingSums(cover, { from, count, intervalMs: quarterMs });
          for (const [id, list] of readings) sums.add(id, 0, [...list.keys()], [...list.values()]);
          return sums.peaks();
        };
        const whole = run(0, 300);
        const [first, second] = [run(0, 96), run(96 * quarterMs, 204)];
        for (const [p, peak] of whole.entries()) {
          const { a, ...expected } = onPaper(readings, p);
          expect(peak).toMatchObject(expected);
          expect(peak.peakA).toBe(p === 2 ? null : a);
          const [x, y] = [first[p], second[p]];
          if (x !== undefined && y !== undefined) expect(laterPeak(x, y)).toEqual(peak);
        }
      }),
      { numRuns: 80 },
    );
  });

  it('of a register are the energy between readings one interval apart, and nothing over a restart or a gap', () => {
    const hour = 3_600_000;
    const found = registerDemand([2 * hour, 0, hour, 3 * hour, 5 * hour], [130, 100, 112, 4, 9], hour);
    expect(found).toEqual({ at: [0, hour], values: [12, 18] });
  });
});

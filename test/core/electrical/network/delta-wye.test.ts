import { describe, expect, it } from 'vitest';
import { demandAt } from '../../../../core/electrical/demand/demand-at.ts';
import { marinaFlow } from '../../../../core/electrical/network/marina-flow.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import { demandPractice } from '../../../../core/standards/demand-practices.ts';
import { conductor, feeder, legalIndex, linear, marinaOf, outlet, part, service } from './marinas.ts';

const lines = ['L1', 'L2', 'L3'] as const;

/** Amperes of the feeder above a delta-wye transformer by the feeder demand, and by the power flow. */
function above(configurationId: string, on: LineName[], pair: 'L1-N' | 'L1-L2', loadVa: number) {
  const practice = demandPractice('nec-555-2020');
  if (practice === null) throw new Error('the built-in practice is gone');
  const index = legalIndex(
    marinaOf(
      [
        service('480-delta'),
        feeder('above', 'service', conductor('4/0', 1)),
        part('transformer', 'transformer', 'above', {
          systemId: '208Y/120',
          transformer: { ratedKva: 300, connection: 'deltaWye', percentR: 0.1, percentX: 0.2 },
          earthing: 'groundedNeutral',
        }),
        feeder('below', 'transformer', conductor('500', 1)),
      ],
      [outlet('a', 'below', configurationId, on)],
    ),
  );
  const use = {
    outletId: 'a',
    statedVa: loadVa,
    from: 0,
    until: 1,
    by: { kind: 'holding', id: 'h', label: 'H' },
  } as const;
  const demand = demandAt(index, practice, [use], 0).find(({ stated }) => stated.equipmentId === 'above')?.stated.lineA;
  const currents = marinaFlow(index, [linear('a', { [pair]: loadVa }, 1)]).parts.find(
    ({ equipmentId }) => equipmentId === 'above',
  )?.currents;
  const flow = (line: LineName) => currents?.find(({ name }) => name === line)?.currentA ?? Number.NaN;
  return lines.map((line) => ({ demandA: demand?.[line] ?? 0, flowA: flow(line) }));
}

// IEEE C57.12.00: the low-voltage side of a delta-wye unit lags by 30 degrees (vector group Dyn1 of IEC 60076-1), so
// that a phase of the wye hangs on L1-L3, L2-L1 or L3-L2 of the delta. `from memory`; the power flow's own units are
// held to the published four-bus feeder in transformer-units.test.ts.
describe('feeder demand and power flow above one delta-wye transformer', () => {
  it.each([
    [['L1'], [1, 0, 1]],
    [['L2'], [1, 1, 0]],
    [['L3'], [0, 1, 1]],
  ] as const)('see a load to neutral on %s on the same lines', (on, loaded) => {
    const seen = above('L5-30', [...on], 'L1-N', 3_000);
    for (const [i, { demandA, flowA }] of seen.entries()) {
      // 3,000 VA at 480 V, the losses of a stiff network apart.
      const expected = ((loaded[i] ?? 0) * 3_000) / 480;
      expect(demandA).toBeCloseTo(expected, 9);
      expect(Math.abs(flowA - expected)).toBeLessThan(0.01 * 6.25);
    }
  });

  it.each([
    [['L1', 'L2'], 0],
    [['L2', 'L3'], 1],
    [['L1', 'L3'], 2],
  ] as const)('see a load between %s most on the same line, and agree there', (on, most) => {
    const seen = above('L6-30', [...on], 'L1-L2', 6_000);
    for (const [i, { demandA, flowA }] of seen.entries()) {
      if (i === most) expect(Math.abs(flowA / demandA - 1)).toBeLessThan(0.01);
      // 2 / sqrt(3) of the truth on the other two: never less.
      else expect(demandA / flowA).toBeGreaterThan(1.14);
      expect(demandA).toBeLessThanOrEqual((seen[most]?.demandA ?? 0) + 1e-9);
    }
  });
});

import { describe, expect, it } from 'vitest';
import type { OutletUse } from '../../../../core/berths/occupancy.ts';
import { loadsInUse } from '../../../../core/electrical/network/loads-in-use.ts';
import { marinaFlow } from '../../../../core/electrical/network/marina-flow.ts';
import { demandPractice } from '../../../../core/standards/demand-practices.ts';
import { legalIndex, longDock } from './marinas.ts';

const practice = demandPractice('nec-555-2020');
if (practice === null) throw new Error('the practice is gone');
const index = legalIndex(longDock(10, 8));

function use(outletId: string, statedVa: number | null = null, given: Partial<OutletUse> = {}): OutletUse {
  return { outletId, statedVa, from: 0, until: 1, by: { kind: 'assignment', id: outletId, label: outletId }, ...given };
}

describe('loads in use', () => {
  it('take the factor of the count of their supply, of the demand table (NEC 555.6)', () => {
    // Ten 30 A outlets on one transformer: row 9 to 14, 80 %.
    const uses = Array.from({ length: 10 }, (_, i) => use(`a${i + 1}`));
    const { shares, loads } = loadsInUse(index, practice, uses, 'rated');
    expect(shares).toEqual([{ equipmentId: 'transformer', label: 'transformer', receptacles: 10, ratedShare: 0.8 }]);
    expect(loads.map(({ load }) => load.demand)).toEqual(Array(10).fill({ basis: 'rated', share: 0.8 }));
  });

  it('are what boats state, in full where nobody said, without any factor', () => {
    const { shares, loads } = loadsInUse(index, practice, [use('a1', 1_500), use('b1')], 'stated');
    expect(shares).toEqual([]);
    expect(loads.map(({ from, load }) => [from, load.demand])).toEqual([
      ['stated', { basis: 'spread', totalVa: 1_500 }],
      ['rated', { basis: 'rated' }],
    ]);
  });

  it('spread a stated load in equal amperes over the lines of its outlet', () => {
    const { loads } = loadsInUse(index, practice, [use('b1', 6_000)], 'stated');
    const flow = marinaFlow(
      index,
      loads.map(({ load }) => load),
    );
    const found = flow.outlets.find(({ outletId }) => outletId === 'b1');
    const [l1, l2, n] = ['L1', 'L2', 'N'].map((name) => found?.currents.find((each) => each.name === name)?.currentA);
    expect(l1).toBeCloseTo(l2 ?? Number.NaN, 9);
    expect(n).toBeCloseTo(0, 6);
    expect(flow.totals?.consumed.powerW).toBeCloseTo(6_000 * 0.85, 6);
  });

  it('count an outlet once with the larger load, and not while it is out of service', () => {
    const closed = use('a3', null, { by: { kind: 'outOfService', id: 'x', label: 'burnt' } });
    const { loads } = loadsInUse(index, practice, [use('a1', 900), use('a1', 1_400), use('a1', 300), closed], 'stated');
    expect(loads.map(({ load }) => load.demand)).toEqual([{ basis: 'spread', totalVa: 1_400 }]);
    const unknown = loadsInUse(index, practice, [use('a1'), use('a1', 1_400)], 'stated');
    expect(unknown.loads.map(({ from }) => from)).toEqual(['rated']);
  });
});

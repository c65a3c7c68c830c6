import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CordTaker, dealCords } from '../../../../core/berths/options/deal-cords.ts';
import { cord } from '../builders.ts';

// One cord set ends in one inlet: common practice.
const rule = { usualLengthsM: [7.62, 15.24], inSeries: 2, longestCordM: null, source: 'test' } as const;
const short = { ...cord(7.62), id: 'short' };
const long = { ...cord(15.24), id: 'long' };
const idsOf = (takers: readonly CordTaker[]) => dealCords(takers).map((cords) => cords.map(({ id }) => id));

describe('cords dealt to inlets', () => {
  it('gives the longest to the farthest, and none twice', () => {
    const fitting = [short, long];
    expect(
      idsOf([
        { mostM: 6, rule, fitting },
        { mostM: 12, rule, fitting },
      ]),
    ).toEqual([['short'], ['long']]);
    expect(
      idsOf([
        { mostM: 6, rule, fitting: [long] },
        { mostM: 12, rule, fitting: [long] },
      ]),
    ).toEqual([[], ['long']]);
  });

  it('gives what is left over to one whose own is short, where two may be joined', () => {
    expect(idsOf([{ mostM: 20, rule, fitting: [short, long] }])).toEqual([['long', 'short']]);
    expect(idsOf([{ mostM: 12, rule, fitting: [short, long] }])).toEqual([['long']]);
    expect(idsOf([{ mostM: 20, rule: { ...rule, inSeries: 1 }, fitting: [short, long] }])).toEqual([['long']]);
  });

  it('never deals a cord twice, nor one that does not fit', () => {
    const cords = Array.from({ length: 5 }, (_, i) => ({ ...cord(5 + 3 * i), id: `c${i}` }));
    const taker = fc.record({
      mostM: fc.double({ min: 1, max: 40, noNaN: true }),
      rule: fc.constant(rule),
      fitting: fc.subarray(cords),
    });
    fc.assert(
      fc.property(fc.array(taker, { maxLength: 4 }), (takers) => {
        const dealt = dealCords(takers);
        const all = dealt.flat();
        expect(new Set(all).size).toBe(all.length);
        dealt.forEach((own, i) => {
          for (const each of own) expect(takers[i]?.fitting).toContain(each);
        });
      }),
    );
  });
});

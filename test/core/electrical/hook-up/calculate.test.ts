import { describe, expect, it } from 'vitest';
import { calculateHookUp, type HookUpCalculation } from '../../../../core/electrical/hook-up/calculate.ts';
import { supplyOutlet } from '../../../../core/electrical/hook-up/supply-outlet.ts';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import { sampleInventory } from '../../../support/sample-inventory.ts';
import { cord, kindsById } from './support.ts';

const asked: HookUpCalculation = {
  outlets: [
    {
      id: '7B',
      configurationId: 'SS2-50',
      systemId: '208Y/120',
      lines: ['L1', 'L3'],
      breakerA: 50,
      groundFault: { device: 'fitted', settingMa: 30, delayMs: 0 },
      earthing: 'groundedNeutral',
      supplyId: null,
    },
  ],
  inlets: [{ id: 'I1', configurationIds: ['SS2-50'], mainBreakerA: 50, duty: 'house', needsLineToLine: false }],
  frequenciesHz: [60],
  cordSets: [cord('SS2-50', 50)],
  adapterKindIds: [],
  ownAdapterKinds: [],
  refuseCordBelowBreaker: false,
  hookUp: null,
  most: 3,
};

describe('the hook-up calculator', () => {
  it('finds the hook-up and traces lines and volts to the inlet', () => {
    const found = calculateHookUp(asked).hookUps[0];
    expect(found?.verdict).toBe('cautioned');
    expect(found?.inlets[0]).toMatchObject({ lineToLineV: 208 });
    expect(found?.inlets[0]?.legs).toMatchObject([
      { terminal: 'L1', line: 'L1', lineToNeutralV: 120, availableA: 50 },
      { terminal: 'L2', line: 'L3', lineToNeutralV: 120, availableA: 50 },
    ]);
  });

  it('judges joints as given, adapters by their own terminal map too', () => {
    const own = kindsById.get('step-down-SS2-50-to-L5-30-breaker');
    if (own === undefined) throw new Error('no such kind');
    const judged = calculateHookUp({
      ...asked,
      inlets: [{ id: 'I1', configurationIds: ['L5-30'], mainBreakerA: 30, duty: 'house', needsLineToLine: false }],
      cordSets: [cord('L5-30', 30)],
      ownAdapterKinds: [{ ...own, id: 'mine', conductors: own.conductors.filter(({ to }) => to.terminal !== 'G') }],
      hookUp: {
        adapters: [{ ref: 'A1', kindId: 'mine', from: 'aboard', stockId: null }],
        joints: [
          { from: { kind: 'outlet', outletId: '7B' }, to: { kind: 'plug', adapter: 'A1', fitting: 'P1' } },
          {
            from: { kind: 'connector', adapter: 'A1', fitting: 'C1' },
            to: { kind: 'inlet', inletId: 'I1', configurationId: 'L5-30' },
          },
        ],
      },
    });
    expect(judged.hookUps[0]?.findings[0]).toMatchObject({ rule: 'hookup.groundOpen', level: 'refuse' });
  });

  it('takes a supply system that nobody knows for unknown', () => {
    const outlets = asked.outlets.map((outlet) => ({ ...outlet, systemId: 'no such system' }));
    expect(calculateHookUp({ ...asked, outlets }).hookUps[0]?.verdict).toBe('unconfirmed');
  });
});

describe('an outlet of an inventory', () => {
  const inventory = sampleInventory();
  const index = indexInventory(inventory);
  const supply = (id: string) => {
    const found = index.outlets.get(id);
    if (found === undefined) throw new Error(`no outlet ${id}`);
    return supplyOutlet(index, found);
  };

  it('knows its supply, the devices above it, and what is unknown', () => {
    expect(supply('a1c')).toMatchObject({ label: 'A1-C', supplyId: 'xfmr-a', earthing: 'groundedNeutral' });
    expect(supply('a1c').system?.id).toBe('120/240-split-phase');
    expect(supply('a1c').devicesAbove).toEqual([{ equipmentId: 'feeder-a1', device: 'fitted' }]);
    expect(supply('b1b').system?.id).toBe('208Y/120');
    expect(supply('a4a').lines).toBeNull();
    expect(supply('a4a').devicesAbove).toEqual([{ equipmentId: 'feeder-a2', device: 'unknown' }]);
  });
});

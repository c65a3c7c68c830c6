import { describe, expect, it } from 'vitest';
import { calculateHookUp, type HookUpCalculation } from '../../../../core/electrical/hook-up/calculate.ts';
import { supplyOutlet } from '../../../../core/electrical/hook-up/supply-outlet.ts';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import hookUpCases from '../../../reference/hook-up.json' with { type: 'json' };
import { sampleInventory } from '../../../support/sample-inventory.ts';
import { cord, kindsById } from './support.ts';

function inletFor(configurationId: string, mainBreakerA: number): HookUpCalculation['inlets'][number] {
  return {
    id: 'I1',
    configurationIds: [configurationId],
    mainBreakerA,
    duty: 'house',
    needsLineToLine: false,
    transformer: null,
    accepts: null,
  };
}

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
  inlets: [inletFor('SS2-50', 50)],
  frequenciesHz: [60],
  neutralBond: 'none',
  ownSupplies: [],
  loads: null,
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
      inlets: [inletFor('L5-30', 30)],
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

  it('solves the circuit with the loads given: U1 of test/reference/hook-up.json, 20 A and 10 A on a combiner', () => {
    const combiner = calculateHookUp({
      ...asked,
      outlets: (['L1', 'L2'] as const).map((line) => ({
        id: line,
        configurationId: 'L5-30',
        systemId: '120/240-split-phase',
        lines: [line],
        breakerA: 30,
        groundFault: { device: 'fitted', settingMa: 30, delayMs: 0 },
        earthing: 'groundedNeutral',
        supplyId: 'T',
      })),
      adapterKindIds: ['combiner-2xL5-30-to-SS2-50-interlock'],
      cordSets: [cord('SS2-50', 50)],
      loads: [
        { inletId: 'I1', from: 'L1', to: 'N', demand: { model: 'constantCurrent', currentA: 20 } },
        { inletId: 'I1', from: 'L2', to: 'N', demand: { model: 'constantCurrent', currentA: 10 } },
      ],
    }).hookUps[0]?.circuit;
    const reference = hookUpCases.cases.find(({ id }) => id === 'U1')?.answer;
    expect(combiner?.status).toBe('solved');
    const neutral = combiner?.conductors.find(({ elementId }) => elementId === 'cord I1.N');
    expect(neutral?.amperes).toBeCloseTo(reference?.neutralA ?? Number.NaN, 5);
    for (const { residualMa } of combiner?.devices ?? [])
      expect(residualMa / 1000).toBeCloseTo(reference?.residualAtEachOutletA ?? Number.NaN, 5);
    expect(combiner?.devices).toHaveLength(2);
  });

  it('says why a circuit is not solved: unknown lines, a load on an absent line, more than a cord can bring', () => {
    const why = (given: Partial<HookUpCalculation>) => calculateHookUp({ ...asked, ...given }).hookUps[0]?.circuit;
    expect(why({ outlets: asked.outlets.map((each) => ({ ...each, lines: null })) })?.why).toContain('unknown');
    const load = (powerW: number, from: 'L1' | 'L3') =>
      why({
        loads: [{ inletId: 'I1', from, to: 'N', demand: { model: 'constantPower', powerW, reactivePowerVar: 0 } }],
      });
    expect(load(100, 'L3')?.why).toContain('L1-N');
    expect(load(1e6, 'L1')).toMatchObject({ status: 'notSolved', volts: [] });
    expect(load(1000, 'L1')?.status).toBe('solved');
    const zero = why({ cordSets: [{ ...cord('SS2-50', 50), lengthM: 1e-9 }] });
    expect(JSON.stringify(zero)).not.toMatch(/null,"loaded"|NaN/);
    expect(zero?.volts[0]?.loaded?.magnitude).toBeGreaterThan(119);
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

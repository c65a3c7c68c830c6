import { describe, expect, it } from 'vitest';
import { indexInventory } from '../../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../../core/inventory/inventory.ts';
import { validateInventory } from '../../../core/inventory/validate.ts';
import { sampleInventory, sampleSettings, withPatched } from '../../support/sample-inventory.ts';

const legal = sampleInventory();

function found(inventory: Inventory): string[] {
  return validateInventory(inventory).map(({ pointer, rule }) => `${pointer} ${rule}`);
}

function twice<T extends { readonly id: string }>(items: readonly T[], index: number, patch: Partial<T>): T[] {
  const item = items[index];
  if (item === undefined) throw new Error('no such item');
  return [...items, { ...item, ...patch }];
}

const nan = Number.NaN;

describe('validateInventory', () => {
  it('finds nothing in a legal marina, missing limits included', () => {
    expect(validateInventory(legal)).toEqual([]);
    expect(() => indexInventory(legal)).not.toThrow();
  });

  const cases: [string, Inventory, string[]][] = [
    // Ids and labels.
    [
      'two docks of one id and label',
      sampleInventory({ docks: twice(legal.docks, 0, {}) }),
      ['/docks/2/id duplicateId', '/docks/2/label duplicateLabel'],
    ],
    [
      'two equipment labels',
      withPatched(legal, 'equipment', 'panel-b', { label: 'PANEL-A' }),
      ['/equipment/6/label duplicateLabel'],
    ],
    [
      'two pedestals of one label on a dock',
      withPatched(legal, 'pedestals', 'ped-a2', { label: 'A1' }),
      ['/pedestals/1/label duplicateLabel'],
    ],
    ['one pedestal label on two docks', withPatched(legal, 'pedestals', 'ped-b1', { label: 'A1' }), []],
    [
      'two outlets of one label on a pedestal',
      withPatched(legal, 'outlets', 'a1b', { label: 'A' }),
      ['/outlets/1/label duplicateLabel'],
    ],
    [
      'two berth labels on a dock',
      withPatched(legal, 'berths', 'A2', { label: 'A1' }),
      ['/berths/1/label duplicateLabel'],
    ],
    [
      'two unit labels on a dock',
      withPatched(legal, 'spaceUnits', 'A2', { label: 'A1' }),
      ['/spaceUnits/1/label duplicateLabel'],
    ],
    // References.
    [
      'a pedestal on no dock',
      withPatched(legal, 'pedestals', 'ped-a4', { dockId: 'x' }),
      ['/pedestals/3/dockId unknownReference'],
    ],
    [
      'a pedestal fed by nothing',
      withPatched(legal, 'pedestals', 'ped-a4', { fedById: 'x' }),
      ['/pedestals/3/fedById unknownReference'],
    ],
    [
      'an outlet on no pedestal',
      withPatched(legal, 'outlets', 'a2c', { pedestalId: 'x' }),
      ['/outlets/5/pedestalId unknownReference'],
    ],
    [
      'an outlet fed by nothing',
      withPatched(legal, 'outlets', 'a2c', { fedById: 'x' }),
      ['/outlets/5/fedById unknownReference'],
    ],
    [
      'an outlet of no configuration',
      withPatched(legal, 'outlets', 'a2c', { configurationId: 'L5-31' }),
      ['/outlets/5/configurationId unknownReference'],
    ],
    [
      'an outlet dedicated to no berth',
      withPatched(legal, 'outlets', 'a1c', { dedicatedBerthId: 'x' }),
      ['/outlets/2/dedicatedBerthId unknownReference'],
    ],
    [
      'a unit on no dock',
      withPatched(legal, 'spaceUnits', 'BR', { dockId: 'x' }),
      ['/spaceUnits/11/dockId unknownReference'],
    ],
    [
      'a berth of no unit',
      withPatched(legal, 'berths', 'A2', { unitIds: ['x'] }),
      ['/berths/1/unitIds/0 unknownReference'],
    ],
    ['a berth without units', withPatched(legal, 'berths', 'A2', { unitIds: [] }), ['/berths/1/unitIds noUnit']],
    ['a unit twice', withPatched(legal, 'berths', 'A2', { unitIds: ['A2', 'A2'] }), ['/berths/1/unitIds/1 unitTwice']],
    [
      'a reach of no outlet',
      withPatched(legal, 'berths', 'BR', { reaches: [{ outletId: 'x', alongM: 0, acrossM: 0, detourM: 0 }] }),
      ['/berths/13/reaches/0/outletId unknownReference'],
    ],
    [
      'stock of no kind',
      withPatched(legal, 'adapterStock', 'stock-step-down', { adapterKindId: 'x' }),
      ['/adapterStock/0/adapterKindId unknownReference'],
    ],
    [
      'a practice that is not there',
      sampleInventory({ settings: { ...sampleSettings, practiceId: 'x' } }),
      ['/settings/practiceId unknownReference'],
    ],
    ['the own practice chosen', sampleInventory({ settings: { ...sampleSettings, practiceId: 'harbor-sum' } }), []],
    // Equipment.
    [
      'a circle',
      withPatched(legal, 'equipment', 'panel-a', { parentId: 'feeder-a2' }),
      ['/equipment/2/parentId circle'],
    ],
    [
      'a part that feeds itself',
      withPatched(legal, 'equipment', 'feeder-a2', { parentId: 'feeder-a2' }),
      ['/equipment/4/parentId circle'],
    ],
    [
      'a service with a parent',
      withPatched(legal, 'equipment', 'svc', { parentId: 'xfmr-b' }),
      ['/equipment/0/parentId circle', '/equipment/0/parentId serviceWithParent'],
    ],
    [
      'a panel without a parent',
      withPatched(legal, 'equipment', 'panel-b', { parentId: null }),
      ['/equipment/6/parentId parentMissing'],
    ],
    [
      'an unknown parent',
      withPatched(legal, 'equipment', 'panel-b', { parentId: 'x' }),
      ['/equipment/6/parentId unknownReference'],
    ],
    [
      'a transformer without a system',
      withPatched(legal, 'equipment', 'xfmr-b', { systemId: null }),
      ['/equipment/5/systemId systemMissing'],
    ],
    [
      'a service of an unknown system',
      withPatched(legal, 'equipment', 'svc', { systemId: '110' }),
      ['/equipment/0/systemId unknownReference'],
    ],
    [
      'a panel that changes the system',
      withPatched(legal, 'equipment', 'panel-b', { systemId: '400Y/230' }),
      ['/equipment/6/systemId systemChanged'],
    ],
    ['a panel that repeats the system', withPatched(legal, 'equipment', 'panel-b', { systemId: '208Y/120' }), []],
    [
      'a third line of split-phase',
      withPatched(legal, 'equipment', 'feeder-a2', { lines: ['L1', 'L2', 'L3'] }),
      ['/equipment/4/lines/2 lineNotSupplied'],
    ],
    [
      'a line twice',
      withPatched(legal, 'equipment', 'feeder-a2', { lines: ['L1', 'L1'] }),
      ['/equipment/4/lines/1 lineTwice', '/outlets/9/lines/1 lineNotSupplied'],
    ],
    [
      'no line',
      withPatched(legal, 'equipment', 'panel-b', { lines: [] }),
      expect.arrayContaining(['/equipment/6/lines noLines', '/outlets/10/lines/0 lineNotSupplied']),
    ],
    [
      'primary lines of a transformer leave its load side whole',
      withPatched(legal, 'equipment', 'xfmr-a', { lines: ['L2', 'L3'] }),
      [],
    ],
    [
      'a load on a line that is not there',
      withPatched(legal, 'equipment', 'panel-a', { otherLoads: [{ label: 'lift', loadVa: { L3: 500 } }] }),
      ['/equipment/2/otherLoads/0/loadVa/L3 lineNotSupplied'],
    ],
    // Outlets and lines.
    [
      'L3 on split-phase',
      withPatched(legal, 'outlets', 'a1a', { lines: ['L3'] }),
      ['/outlets/0/lines/0 lineNotSupplied'],
    ],
    [
      'a line that the feeder does not carry',
      withPatched(legal, 'equipment', 'feeder-b1', { lines: ['L1', 'L2'] }),
      [
        '/outlets/12/lines/0 lineNotSupplied',
        '/outlets/13/lines/1 lineNotSupplied',
        '/outlets/14/lines/2 lineNotSupplied',
      ],
    ],
    [
      'a line that its own feed does not have',
      withPatched(legal, 'outlets', 'b2a', { fedById: 'panel-a' }),
      ['/outlets/12/lines/0 lineNotSupplied'],
    ],
    ['too few lines', withPatched(legal, 'outlets', 'a1c', { lines: ['L1'] }), ['/outlets/2/lines lineCount']],
    [
      'one line on two contacts',
      withPatched(legal, 'outlets', 'a1c', { lines: ['L1', 'L1'] }),
      ['/outlets/2/lines/1 lineTwice'],
    ],
    // Berths and space.
    [
      'a reach across docks',
      withPatched(legal, 'berths', 'BR', { reaches: [{ outletId: 'a1a', alongM: 0, acrossM: 0, detourM: 0 }] }),
      ['/berths/13/reaches/0/outletId otherDock'],
    ],
    [
      'one outlet reached twice',
      withPatched(legal, 'berths', 'B1', {
        reaches: ['b1a', 'b1a'].map((outletId) => ({ outletId, alongM: null, acrossM: null, detourM: 0 })),
      }),
      ['/berths/7/reaches/1/outletId reachTwice'],
    ],
    [
      'units on two docks',
      withPatched(legal, 'berths', 'A5-A6', { unitIds: ['A5', 'B1'] }),
      ['/berths/6/unitIds/1 otherDock'],
    ],
    [
      'a face joined to a slip',
      withPatched(legal, 'berths', 'B2', { unitIds: ['B2', 'BF'] }),
      ['/berths/8/unitIds/1 faceInComposite'],
    ],
    [
      'a face without length',
      withPatched(legal, 'spaceUnits', 'BF', { faceLengthM: null }),
      ['/spaceUnits/10/faceLengthM faceLength'],
    ],
    [
      'a slip with a face length',
      withPatched(legal, 'spaceUnits', 'B1', { faceLengthM: 9 }),
      ['/spaceUnits/6/faceLengthM faceLength'],
    ],
    [
      'a berth beyond its face',
      withPatched(legal, 'berths', 'BF-2', { faceUntilM: 60.1 }),
      ['/berths/12/faceUntilM faceRange'],
    ],
    ['a berth up to the end of its face', withPatched(legal, 'berths', 'BF-2', { faceUntilM: 60 }), []],
    [
      'a face range turned round',
      withPatched(legal, 'berths', 'BF-2', { faceFromM: 45 }),
      ['/berths/12/faceUntilM faceRange'],
    ],
    [
      'a face range before the face',
      withPatched(legal, 'berths', 'BF-1', { faceFromM: -1 }),
      ['/berths/11/faceFromM quantity'],
    ],
    [
      'a face berth without its range',
      withPatched(legal, 'berths', 'BF-1', { faceFromM: null }),
      ['/berths/11/faceFromM faceRange'],
    ],
    [
      'a slip with a face range',
      withPatched(legal, 'berths', 'B1', { faceUntilM: 5 }),
      ['/berths/7/faceUntilM faceRange'],
    ],
  ];
  it.each(cases)('names %s', (_, inventory, expected) => {
    expect(found(inventory)).toEqual(expected);
  });

  it('names every fault, not the first', () => {
    const damaged = withPatched(
      withPatched(withPatched(legal, 'outlets', 'a1a', { breakerA: -30 }), 'berths', 'A2', { unitIds: ['x'] }),
      'docks',
      'dock-a',
      { lengthM: nan },
    );
    expect(found(damaged)).toEqual([
      '/docks/0/lengthM quantity',
      '/outlets/0/breakerA quantity',
      '/berths/1/unitIds/0 unknownReference',
    ]);
  });

  it('names the thing, its value and what to do', () => {
    const [fault] = validateInventory(withPatched(legal, 'outlets', 'a1a', { breakerA: -30 }));
    expect(fault?.message).toBe(
      'The breaker of outlet "A" (a1a) (-30 A) must be above 0: correct it, or enter null where it is unknown.',
    );
  });
});

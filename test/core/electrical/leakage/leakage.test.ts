import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { LeakagePlace, LeakageReading } from '../../../../core/electrical/leakage/leakage.ts';
import { equipmentPlaceId, leakagePlaces, outletPlaceId } from '../../../../core/electrical/leakage/places.ts';
import { budgetsLeft, sumLeakage } from '../../../../core/electrical/leakage/sum-leakage.ts';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import { sampleInventory } from '../../../support/sample-inventory.ts';

const at = 1_900_000_000_000;
const place = (
  id: string,
  aboveId: string | null,
  settingMa: number | null,
  device: LeakagePlace['device'] = 'fitted',
) => {
  const kind = id.startsWith('o') ? 'outlet' : 'equipment';
  return { id, subject: { kind, id, label: id.toUpperCase() }, aboveId, device, settingMa } as const;
};
/** A 100 mA feeder with four outlets of 30 mA, as NEC 555.35 (2020 on) wants them. */
const dock = [
  place('feeder', null, 100),
  ...['o1', 'o2', 'o3', 'o4', 'o5', 'o6', 'o7'].map((id) => place(id, 'feeder', 30)),
];
const reading = (placeId: string, leakageMa: number | null, given: Partial<LeakageReading> = {}): LeakageReading => ({
  placeId,
  boat: { kind: 'boat', id: `boat ${placeId}`, label: `Boat ${placeId}` },
  leakageMa,
  takenAt: at,
  loadsOn: true,
  ...given,
});
const sum = (readings: LeakageReading[], places: readonly LeakagePlace[] = dock) =>
  sumLeakage({ places, readings, trips: [] });
const device = (result: ReturnType<typeof sum>, id: string) => result.devices.find(({ placeId }) => placeId === id);
const rules = (result: ReturnType<typeof sum>) =>
  result.findings.map(({ rule, level, subject }) => `${rule} ${level} ${subject.id}`);

describe('sums under devices', () => {
  // Facts of the trade: a boat leaks 5 to 20 mA; several sound boats can together trip a 100 mA feeder device.
  it('finds that six sound boats can trip a feeder that each of them alone cannot', () => {
    const result = sum(['o1', 'o2', 'o3', 'o4', 'o5', 'o6'].map((id) => reading(id, 17)));
    expect(device(result, 'feeder')).toMatchObject({
      sumMa: 102,
      assessment: 'over',
      budgetLeftMa: -2,
      boats: 6,
      noBound: [],
    });
    expect(device(result, 'o1')).toMatchObject({ sumMa: 17, assessment: 'mayTrip' });
    expect(rules(result)[0]).toBe('leakage.overSetting refuse feeder');
  });

  // A device may trip from half of its setting (from memory).
  it.each([
    [15, 'within'],
    [15.1, 'mayTrip'],
    [29.9, 'mayTrip'],
    [30, 'over'],
  ])('judges %d mA at a 30 mA outlet as %s', (leakageMa, assessment) => {
    expect(device(sum([reading('o1', leakageMa)]), 'o1')?.assessment).toBe(assessment);
  });

  // Facts: a boat over 30 mA is refused.
  it('refuses a boat above 30 mA, over all its outlets together', () => {
    expect(rules(sum([reading('o1', 30)]))).not.toContain('leakage.boatAboveLimit refuse boat o1');
    expect(rules(sum([reading('o1', 30.1)]))).toContain('leakage.boatAboveLimit refuse boat o1');
    const { boat } = reading('o1', 16);
    expect(rules(sum([reading('o1', 16), reading('o2', 16, { boat })]))).toContain(
      'leakage.boatAboveLimit refuse boat o1',
    );
  });

  it('says who contributes most', () => {
    const result = sum([reading('o1', 5), reading('o2', 15), reading('o3', 0)]);
    expect(device(result, 'feeder')?.contributors).toEqual([
      { boat: reading('o2', 15).boat, leakageMa: 15, share: 0.75, trips: 0 },
      { boat: reading('o1', 5).boat, leakageMa: 5, share: 0.25, trips: 0 },
    ]);
  });
});

describe('what bounds a sum', () => {
  it.each([
    ['an unread boat', [reading('o1', 5), reading('o2', null)], 'notRead'],
    ['a negative reading', [reading('o1', 5), reading('o2', -1)], 'notRead'],
    ['a reading that is no number', [reading('o1', 5), reading('o2', Number.NaN)], 'notRead'],
    ['loads off', [reading('o1', 5), reading('o2', 5, { loadsOn: false })], 'loadsOff'],
    ['loads not noted', [reading('o1', 5), reading('o2', 5, { loadsOn: null })], 'loadsOff'],
    ['an hour between', [reading('o1', 5), reading('o2', 5, { takenAt: at + 3_600_000 })], 'notTogether'],
    ['no time', [reading('o1', 5), reading('o2', 5, { takenAt: null })], 'notTogether'],
  ])('%s makes it no bound, and the device not assessed', (_, readings, why) => {
    const result = sum(readings);
    expect(device(result, 'feeder')).toMatchObject({ noBound: [why], assessment: 'notAssessed' });
    expect(rules(result)).toContain('leakage.noBound confirm feeder');
    expect(Number.isFinite(device(result, 'feeder')?.sumMa)).toBe(true);
  });

  it('is over all the same where what was read is too much already', () => {
    expect(device(sum([reading('o1', 31), reading('o1', null)]), 'o1')?.assessment).toBe('over');
  });
});

describe('unknown devices and settings', () => {
  it.each([
    ['an unknown device', place('o1', null, null, 'unknown')],
    ['a setting read off nothing', place('o1', null, 30, 'unknown')],
    ['a fitted device of unknown setting', place('o1', null, null)],
    ['a setting of 0', place('o1', null, 0)],
  ])('%s is not assessed and asked for', (_, only) => {
    const result = sum([reading('o1', 1)], [only]);
    expect(result.devices[0]).toMatchObject({ assessment: 'notAssessed', budgetLeftMa: null, settingMa: null });
    expect(rules(result)).toContain('leakage.settingUnknown confirm o1');
  });

  it('cautions of an outlet in use without a device', () => {
    const result = sum([reading('o1', 1)], [place('o1', null, null, 'none')]);
    expect(result.devices).toEqual([]);
    expect(rules(result)).toEqual(['leakage.noDevice caution o1']);
  });

  it('throws for a place that is not there, and for a circle', () => {
    expect(() => sum([reading('o9', 1)])).toThrow('no place "o9"');
    expect(() => sum([reading('o1', 1)], [place('o1', 'o2', 30), place('o2', 'o1', 30)])).toThrow('circle');
  });
});

describe('trips and budgets', () => {
  it('counts trips entered by hand against the device and the boat', () => {
    const { boat } = reading('o1', 5);
    const result = sumLeakage({
      places: dock,
      readings: [reading('o1', 5)],
      trips: [
        { placeId: 'o1', boat },
        { placeId: 'feeder', boat },
        { placeId: 'feeder', boat: null },
      ],
    });
    expect(device(result, 'feeder')?.trips).toBe(2);
    expect(device(result, 'o1')?.trips).toBe(1);
    expect(result.boats).toEqual([{ boat, leakageMa: 5, unreadOutlets: 0, trips: 2 }]);
    expect(device(result, 'feeder')?.contributors).toEqual([{ boat, leakageMa: 5, share: 1, trips: 2 }]);
    expect(rules(result)).toEqual(
      expect.arrayContaining(['leakage.trips caution feeder', 'leakage.trips caution boat o1']),
    );
  });

  it('names who tripped a device, read or not, behind who leaks more', () => {
    const tripped = reading('o2', null).boat;
    const result = sumLeakage({
      places: dock,
      readings: [reading('o1', 5), reading('o2', null)],
      trips: [{ placeId: 'o2', boat: tripped }],
    });
    expect(device(result, 'feeder')?.contributors.map(({ boat, trips }) => [boat.id, trips])).toEqual([
      [reading('o1', 5).boat.id, 0],
      [tripped.id, 1],
    ]);
    expect(device(result, 'feeder')?.trips).toBe(0);
    const [finding] = result.findings.filter(({ rule, subject }) => rule === 'leakage.trips' && subject.id === 'o2');
    expect(finding?.message).toContain(`(${tripped.label} 1)`);
  });

  it('gives what is left on an outlet by the tightest device, an unread boat counted at 20 mA', () => {
    const places = [...dock, place('o8', 'feeder', null)];
    const result = sum([...['o1', 'o2', 'o3', 'o4'].map((id) => reading(id, 15)), reading('o5', null)], places);
    const budgets = budgetsLeft(places, result, ['o1', 'o5', 'o6', 'o8']);
    expect(budgets.get('o1')).toEqual({ leftMa: 15, tightestPlaceId: 'o1', unknownPlaceIds: [] });
    expect(budgets.get('o5')).toEqual({ leftMa: 10, tightestPlaceId: 'o5', unknownPlaceIds: [] });
    expect(budgets.get('o6')).toEqual({ leftMa: 20, tightestPlaceId: 'feeder', unknownPlaceIds: [] });
    expect(budgets.get('o8')).toEqual({ leftMa: 20, tightestPlaceId: 'feeder', unknownPlaceIds: ['o8'] });
  });
});

describe('the tree of a marina', () => {
  const places = leakagePlaces(indexInventory(sampleInventory()));
  const byId = new Map(places.map((each) => [each.id, each]));

  it('has every outlet and every part, and ends below a transformer: its winding takes the current back', () => {
    const { outlets, equipment } = sampleInventory();
    expect(places).toHaveLength(outlets.length + equipment.length);
    expect(byId.get(equipmentPlaceId('xfmr-a'))?.aboveId).toBeNull();
    expect(byId.get(equipmentPlaceId('feeder-a1'))).toMatchObject({
      settingMa: 100,
      aboveId: equipmentPlaceId('panel-a'),
    });
    for (const { id } of outlets) expect(byId.get(outletPlaceId(id))?.aboveId).not.toBeNull();
  });

  it('sums every outlet into its feeder', () => {
    const below = indexInventory(sampleInventory()).outletsBelow.get('feeder-a1') ?? [];
    const result = sum(
      below.map(({ id }) => reading(outletPlaceId(id), 2)),
      places,
    );
    expect(below.length).toBeGreaterThan(1);
    expect(device(result, equipmentPlaceId('feeder-a1'))?.sumMa).toBe(2 * below.length);
  });
});

describe('properties', () => {
  const anyReading = fc.record({
    placeId: fc.constantFrom('o1', 'o2', 'o3', 'feeder'),
    boat: fc.constantFrom('b1', 'b2', 'b3').map((id) => ({ kind: 'boat' as const, id, label: id })),
    leakageMa: fc.option(fc.double({ min: -5, max: 60 })),
    takenAt: fc.option(fc.integer({ min: at, max: at + 2_000_000 })),
    loadsOn: fc.option(fc.boolean()),
  });
  const gravity = { within: 0, notAssessed: 1, mayTrip: 2, over: 3 } as const;

  it('a reading more never lowers a sum nor raises a budget, and never makes a judgement better', () => {
    fc.assert(
      fc.property(fc.array(anyReading, { maxLength: 6 }), anyReading, (readings, more) => {
        const before = sum(readings);
        const after = sum([...readings, more]);
        for (const { placeId, sumMa, budgetLeftMa, assessment } of before.devices) {
          const then = device(after, placeId);
          expect(then?.sumMa).toBeGreaterThanOrEqual(sumMa);
          expect(then?.budgetLeftMa ?? 0).toBeLessThanOrEqual(budgetLeftMa ?? 0);
          expect(gravity[then?.assessment ?? 'within']).toBeGreaterThanOrEqual(gravity[assessment]);
        }
      }),
    );
  });

  it('making a reading or a setting unknown never makes it within', () => {
    fc.assert(
      fc.property(fc.array(anyReading, { minLength: 1, maxLength: 6 }), fc.nat(), (readings, which) => {
        const target = which % readings.length;
        const unread = readings.map((each, i) => (i === target ? { ...each, leakageMa: null } : each));
        const id = readings[target]?.placeId ?? '';
        expect(device(sum(unread), id)?.assessment).not.toBe('within');
        const unset = dock.map((each) => (each.id === id ? { ...each, settingMa: null } : each));
        expect(device(sum(readings, unset), id)?.assessment).toBe('notAssessed');
      }),
    );
  });
});

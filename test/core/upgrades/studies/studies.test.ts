import { describe, expect, it } from 'vitest';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import { demandPractice } from '../../../../core/standards/demand-practices.ts';
import { compareStanding } from '../../../../core/upgrades/studies/compare.ts';
import { constructionClosings } from '../../../../core/upgrades/studies/construction.ts';
import { applyStudy, inOrderOfNeed, movedUnder, type StudyChange } from '../../../../core/upgrades/studies/study.ts';
import { sampleInventory } from '../../../support/sample-inventory.ts';

const base = sampleInventory();
const feeder = base.equipment.find(({ id }) => id === 'feeder-a1');
const outlet = base.outlets.find(({ groundFault }) => groundFault.device !== 'fitted');
if (feeder === undefined || outlet === undefined) throw new Error('the sample marina has changed');

const change = (of: Pick<StudyChange, 'id'> & Partial<StudyChange>): StudyChange => ({
  label: of.id,
  items: [],
  cost: '1000',
  lifeYears: 20,
  outOfServiceDays: 30,
  suppliedBy: 'contractor',
  requires: [],
  ...of,
});
const larger = change({
  id: 'larger',
  items: [
    {
      collection: 'equipment',
      id: feeder.id,
      item: {
        ...feeder,
        breakerA: 400,
        conductorAmpacityA: 400,
        conductor: { material: 'copper', size: '600', sizeUnit: 'kcmil', parallelSets: 1, lengthM: 40 },
      },
    },
  ],
});
const protectedOutlet = change({
  id: 'protected',
  items: [
    {
      collection: 'outlets',
      id: outlet.id,
      item: { ...outlet, groundFault: { device: 'fitted', settingMa: 30, delayMs: 0 } },
    },
  ],
  requires: ['larger'],
});
const practice = demandPractice('nec-555-2020');
if (practice === null) throw new Error('no practice');
const basis = { practice, edition: '2020' as const };

describe('a study', () => {
  it('makes chosen changes and what they require, on a copy', () => {
    const { inventory, faults } = applyStudy(base, [protectedOutlet, larger], new Set(['protected']));
    expect(faults).toEqual([]);
    expect(inventory.equipment.find(({ id }) => id === feeder.id)?.breakerA).toBe(400);
    expect(base.equipment.find(({ id }) => id === feeder.id)?.breakerA).toBe(200);
  });

  it('refuses a circle and a requirement that is no change', () => {
    expect(() => inOrderOfNeed([{ ...larger, requires: ['protected'] }, protectedOutlet])).toThrow(
      /circle: larger > protected > larger/,
    );
    expect(() => inOrderOfNeed([protectedOutlet])).toThrow(/"larger", which is no change/);
  });

  it('names the faults of a change that leaves no legal inventory', () => {
    const gone = change({ id: 'gone', items: [{ collection: 'equipment', id: 'panel-a', item: null }] });
    expect(applyStudy(base, [gone], new Set(['gone'])).faults.length).toBeGreaterThan(0);
  });

  it('says which of its changes stand on things that have moved on', () => {
    const present = {
      ...base,
      equipment: base.equipment.map((part) => (part.id === feeder.id ? { ...part, breakerA: 225 } : part)),
    };
    expect(movedUnder([larger, protectedOutlet], base, present)).toEqual([
      { changeId: 'larger', collection: 'equipment', id: feeder.id },
    ]);
    expect(movedUnder([larger], base, base)).toEqual([]);
  });
});

describe('before and after', () => {
  it('show limits, sizes, volts, and the findings that are mended', () => {
    const before = indexInventory(base);
    const after = indexInventory(applyStudy(base, [protectedOutlet, larger], new Set(['protected'])).inventory);
    const compared = compareStanding(before, after, basis, new Set([feeder.id, outlet.id]));
    expect(compared.mended.some(({ subject }) => subject.id === outlet.id)).toBe(true);
    const limit = (parts: typeof compared.before.parts) =>
      parts.find(({ demand }) => demand.equipmentId === feeder.id)?.demand.limits.find(({ kind }) => kind === 'breaker')
        ?.limit;
    expect([limit(compared.before.parts), limit(compared.after.parts)]).toEqual([200, 400]);
    // A thicker conductor never leaves less at the end of the line.
    expect(compared.after.worstVolts?.share).toBeGreaterThanOrEqual((compared.before.worstVolts?.share ?? 1) - 1e-9);
    expect(
      compared.after.parts.find(({ demand }) => demand.equipmentId === feeder.id)?.sizing?.conductor,
    ).not.toBeNull();
    expect(compared.obliged.every(({ level }) => level !== 'note')).toBe(true);
  });

  it('do not differ where nothing is changed', () => {
    const index = indexInventory(base);
    const { before, after, mended, added } = compareStanding(index, index, basis, new Set());
    expect(after).toEqual(before);
    expect([mended, added]).toEqual([[], []]);
  });
});

describe('the months of construction', () => {
  const index = indexInventory(base);
  const start = Date.UTC(2030, 2, 1);
  const day = 86_400_000;
  const pedestal = base.pedestals[0];
  const berth = base.berths.find(({ unitIds }) => unitIds.length === 2);
  if (pedestal === undefined || berth === undefined) throw new Error('the sample marina has changed');
  const pedestals = change({
    id: 'pedestals',
    outOfServiceDays: 10,
    requires: ['larger'],
    items: [
      { collection: 'pedestals', id: pedestal.id, item: pedestal },
      { collection: 'berths', id: berth.id, item: berth },
      { collection: 'outlets', id: 'not-there-yet', item: null },
    ],
  });

  it('close what each change touches, one after another in the order of need', () => {
    const [first, second] = constructionClosings(index, [pedestals, larger], start, 'oneAfterAnother');
    expect([first?.changeId, first?.from, first?.until]).toEqual(['larger', start, start + 30 * day]);
    expect([second?.changeId, second?.from, second?.until]).toEqual(['pedestals', start + 30 * day, start + 40 * day]);
    const below = base.outlets.filter(({ pedestalId, fedById }) => {
      const fed = fedById ?? base.pedestals.find(({ id }) => id === pedestalId)?.fedById;
      return fed === feeder.id;
    });
    expect([...(first?.outletIds ?? [])].sort()).toEqual(below.map(({ id }) => id).sort());
    expect(second?.outletIds).toEqual(
      base.outlets.filter((each) => each.pedestalId === pedestal.id).map(({ id }) => id),
    );
    expect(second?.unitIds).toEqual(berth.unitIds);
  });

  it('begin together where they are built at once', () => {
    const closings = constructionClosings(index, [pedestals, larger], start, 'atOnce');
    expect(closings.map(({ from, until }) => [from, until])).toEqual([
      [start, start + 30 * day],
      [start, start + 10 * day],
    ]);
  });
});

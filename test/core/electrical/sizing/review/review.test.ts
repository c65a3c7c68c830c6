import { describe, expect, it } from 'vitest';
import { type EditionId, editionIds } from '../../../../../core/electrical/sizing/review/editions.ts';
import { reviewInventory } from '../../../../../core/electrical/sizing/review/review.ts';
import { indexInventory } from '../../../../../core/inventory/index-inventory.ts';
import type { Equipment, GroundFault, Inventory } from '../../../../../core/inventory/inventory.ts';
import { validateInventory } from '../../../../../core/inventory/validate.ts';
import { sampleInventory, withPatched } from '../../../../support/sample-inventory.ts';

const legal = sampleInventory();
const fitted = (settingMa: number | null): GroundFault => ({ device: 'fitted', settingMa, delayMs: null });
const none: GroundFault = { device: 'none', settingMa: null, delayMs: null };
const unknown: GroundFault = { device: 'unknown', settingMa: null, delayMs: null };

function review(edition: EditionId, inventory: Inventory) {
  expect(validateInventory(inventory)).toEqual([]);
  return reviewInventory(indexInventory(inventory), edition);
}

/** What one rule says, as `subject level limit`; null where the edition has no such rule. */
function says(name: string, inventory: Inventory, edition: EditionId = '2020'): string[] | null {
  const rule = review(edition, inventory).rules.find((each) => each.name === name);
  return rule?.findings.map(({ subject, level, limit }) => `${subject.id} ${level} ${limit}`) ?? null;
}

const outlet = (id: string, patch: Partial<Inventory['outlets'][number]>) => withPatched(legal, 'outlets', id, patch);
const part = (id: string, patch: Partial<Equipment>, base = legal) => withPatched(base, 'equipment', id, patch);

describe('receptacles (NEC 555.33, 2020 on)', () => {
  it.each([
    // 15 and 20 A 125 V outlets are not shore power.
    ['review.rating', legal, ['a2c note 30']],
    ['review.type', legal, []],
    ['review.type', outlet('a1a', { configurationId: 'L14-30', lines: ['L1', 'L2'] }), []],
    ['review.type', outlet('a1c', { configurationId: '14-50' }), ['a1c caution locking']],
    // 12 in above the deck is 0.3048 m.
    ['review.height', legal, []],
    ['review.height', outlet('a1a', { heightM: 0.3048 }), []],
    ['review.height', outlet('a1a', { heightM: 0.3 }), ['a1a caution 0.3048']],
    ['review.height', outlet('a1a', { heightM: null }), ['a1a confirm null']],
    ['review.ownCircuit', legal, []],
    ['review.ownCircuit', outlet('a1a', { breakerA: null }), ['a1a confirm null']],
  ])('%s', (rule, inventory, said) => expect(says(rule, inventory)).toEqual(said));

  it('finds receptacles that share one branch circuit', () => {
    const shared = part('feeder-b1', { kind: 'branchCircuit' });
    expect(says('review.ownCircuit', shared)).toEqual(
      ['b1a', 'b1b', 'b2a', 'b2b', 'b2c'].map((id) => `${id} caution 0`),
    );
  });
});

describe('ground fault', () => {
  // 2020 on: 30 mA at each shore-power receptacle, 100 mA at feeders.
  it.each([
    ['review.outletGroundFault', legal, ['a4b confirm null']],
    ['review.outletGroundFault', outlet('a4b', { groundFault: fitted(30) }), []],
    ['review.outletGroundFault', outlet('a4b', { groundFault: fitted(100) }), ['a4b caution 30']],
    ['review.outletGroundFault', outlet('a4b', { groundFault: none }), ['a4b caution 30']],
    ['review.outletGroundFault', outlet('a4b', { groundFault: fitted(null) }), ['a4b confirm null']],
    ['review.feederGroundFault', legal, ['feeder-a2 confirm null']],
    ['review.feederGroundFault', part('feeder-a2', { groundFault: fitted(100) }), []],
    ['review.feederGroundFault', part('feeder-a2', { groundFault: fitted(300) }), ['feeder-a2 caution 100']],
    ['review.feederGroundFault', part('feeder-a2', { groundFault: none }), ['feeder-a2 caution 100']],
    ['a device above on the same supply', part('panel-a', { groundFault: fitted(100) }), []],
    ['a device above the transformer', part('svc', { groundFault: fitted(100) }), ['feeder-a2 confirm null']],
  ])('2020: %s', (rule, inventory, said) => {
    expect(says(rule.startsWith('review') ? rule : 'review.feederGroundFault', inventory)).toEqual(said);
  });

  // 2011: 100 mA at the main; 2017: 30 mA.
  const bare: Inventory = { ...legal, outlets: legal.outlets.map((each) => ({ ...each, groundFault: none })) };
  it.each([
    ['2011', fitted(100), 0],
    ['2011', fitted(101), 5],
    ['2017', fitted(30), 0],
    ['2017', fitted(100), 5],
    ['2017', none, 5],
  ] as const)('%s: dock B behind a panel of %o', (edition, groundFault, unprotected) => {
    const inventory = part('panel-b', { groundFault }, part('feeder-b1', { groundFault: none }, bare));
    const said = says('review.supplyGroundFault', inventory, edition) ?? [];
    expect(said.filter((each) => each.startsWith('b')).map((each) => each.split(' ')[1])).toEqual(
      Array(unprotected).fill('caution'),
    );
  });

  it('is not assessed where a device that would decide is unknown', () => {
    const inventory = part('panel-b', { groundFault: unknown }, part('feeder-b1', { groundFault: none }, bare));
    expect(says('review.supplyGroundFault', inventory, '2017')).toContain('b1a confirm null');
    expect(says('review.outletGroundFault', legal, '2017')).toBeNull();
    expect(says('review.supplyGroundFault', legal, '2020')).toBeNull();
  });
});

describe('site', () => {
  it('asks about the disconnect of every pedestal, which the inventory does not hold', () => {
    expect(says('review.disconnect', legal)).toEqual(legal.pedestals.map(({ id }) => `${id} confirm null`));
  });

  // 2020 on: a leakage-measurement device where more than three receptacles supply shore power.
  it('asks for the leakage-measurement device above three receptacles', () => {
    expect(says('review.leakageMeasurement', legal)).toEqual(['marina confirm 3']);
    const few = {
      ...legal,
      outlets: legal.outlets.slice(0, 3).map((each) => ({ ...each, dedicatedBerthId: null })),
      berths: [],
    };
    expect(says('review.leakageMeasurement', few)).toEqual([]);
    expect(says('review.leakageMeasurement', legal, '2017')).toBeNull();
  });

  it('looks at volts between lines', () => {
    expect(says('review.distributionVolts', legal)).toEqual([]);
    const high = withPatched(part('xfmr-b', { systemId: '480Y/277' }), 'outlets', 'b2c', {
      configurationId: 'PS-100-480-3P4W',
    });
    expect(says('review.distributionVolts', high)).toEqual(['xfmr-b caution 250']);
  });

  it('leaves 50 Hz outlets out and says so', () => {
    const iec = part('xfmr-b', { systemId: '400Y/230' });
    for (const edition of editionIds) expect(says('review.notCovered', iec, edition)).toEqual(['marina confirm 0']);
    expect(says('review.outletGroundFault', withPatched(iec, 'outlets', 'b1a', { groundFault: none }))).toEqual([
      'a4b confirm null',
    ]);
  });
});

describe('every edition', () => {
  it.each(editionIds)('%s: names clause and mark, and never reads an unknown fact as fine', (edition) => {
    const { rules, notAssessed } = review(edition, legal);
    for (const { name, findings } of rules) {
      for (const finding of findings) {
        expect(finding.rule).toBe(name);
        expect(finding.source).toMatch(/555|\(NEC\)/);
        expect(finding.level === 'confirm').toBe(finding.missingFact !== undefined);
      }
    }
    expect(notAssessed).toEqual(rules.flatMap(({ findings }) => findings).filter(({ level }) => level === 'confirm'));
    const fromMemory = rules.flatMap(({ findings }) => findings).filter(({ rule }) => rule === 'review.disconnect');
    expect(fromMemory.every(({ source }) => source.includes('from memory'))).toBe(true);
  });

  it.each(editionIds)('%s: forgetting a fact never lifts a finding without another in its place', (edition) => {
    const count = (inventory: Inventory) => review(edition, inventory).rules.flatMap(({ findings }) => findings).length;
    const before = count(legal);
    for (const patch of [{ heightM: null }, { breakerA: null }]) {
      expect(count(outlet('b1a', patch)), JSON.stringify(patch)).toBe(before + 1);
    }
    const forgotten = part('feeder-b1', { groundFault: unknown }, outlet('b1a', { groundFault: unknown }));
    expect(count(forgotten)).toBeGreaterThan(before);
  });
});

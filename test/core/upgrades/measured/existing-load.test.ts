import { describe, expect, it } from 'vitest';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import { existingLoad, type MeasuredPart } from '../../../../core/upgrades/measured/existing-load.ts';
import { type Meter, meterCover } from '../../../../core/upgrades/measured/meter-cover.ts';
import { whyTheyDiffer } from '../../../../core/upgrades/measured/three-figures.ts';
import reference from '../../../reference/existing-load.json' with { type: 'json' };
import { sampleInventory } from '../../../support/sample-inventory.ts';

const day = 86_400_000;
const part = (days: number, of: Partial<MeasuredPart> = {}): MeasuredPart => ({
  subject: { kind: 'equipment', id: 'f1', label: 'feeder F1' },
  from: 0,
  until: days * day,
  intervalMinutes: 15,
  peakVa: 24_000,
  peakA: 100,
  daysRead: days,
  completeShare: 1,
  unmeteredOutlets: 0,
  largerOfHeatingAndCooling: true,
  occupied: true,
  ...of,
});

describe(`existing load: ${reference.source} (${reference.mark})`, () => {
  for (const { days, peakA, newLoadA, limitA, existingA, totalA, assessment } of reference.examples) {
    it(`${peakA} A over ${days} days and ${newLoadA} A new on ${limitA} A is ${assessment}`, () => {
      const found = existingLoad(part(days, { peakA }), newLoadA, limitA);
      expect([found.existingA, found.totalA, found.assessment]).toEqual([existingA, totalA, assessment]);
    });
  }

  it('takes 30 days only as 15-minute averages, confirmed as occupied and with heating or cooling, with the caution', () => {
    const rules = (of: Partial<MeasuredPart>, days = 30) => existingLoad(part(days, of), 0, 400);
    expect(rules({}).method).toBe('thirtyDays');
    expect(rules({}).findings.map(({ rule, level }) => `${level} ${rule}`)).toEqual(['caution sizing.measured.season']);
    expect(rules({ intervalMinutes: 60 }).method).toBe('none');
    expect(rules({ daysRead: 29 }).method).toBe('none');
    for (const unknown of [
      { occupied: null },
      { largerOfHeatingAndCooling: null },
      { completeShare: 0.9 },
      { unmeteredOutlets: 2 },
    ])
      expect(rules(unknown).assessment).toBe('notAssessed');
    expect(rules({}, 364).method).toBe('thirtyDays');
    expect(rules({}, 365).method).toBe('oneYear');
  });

  it('is over even where something is unknown, and never within without a limit', () => {
    expect(existingLoad(part(365, { unmeteredOutlets: 3 }), 400, 300).assessment).toBe('over');
    expect(existingLoad(part(365), 0, null).assessment).toBe('notAssessed');
    expect(existingLoad(part(365, { peakVa: null, peakA: null }), 0, 100)).toMatchObject({
      method: 'none',
      existingA: null,
    });
  });
});

describe('which meters make up a part', () => {
  const index = indexInventory(sampleInventory());
  const meter = (subjectKind: Meter['subjectKind'], subjectId: string, of: Partial<Meter> = {}): Meter => ({
    id: `${subjectKind} ${subjectId}`,
    subjectKind,
    subjectId,
    quantity: 'energyKwh',
    intervalMinutes: 15,
    powerFactor: 1,
    ...of,
  });
  const outletMeters = index.inventory.outlets.map(({ id }) => meter('outlet', id));

  it('sums every outlet at every part above it, and leaves none out', () => {
    const { parts, weights } = meterCover(index, outletMeters, 0.85);
    for (const { equipmentId, meterIds, unmeteredOutletIds } of parts) {
      expect([...meterIds].sort()).toEqual(
        (index.outletsBelow.get(equipmentId) ?? []).map(({ id }) => `outlet ${id}`).sort(),
      );
      expect(unmeteredOutletIds).toEqual([]);
    }
    // 1 kWh in a quarter of an hour is 4 kW.
    for (const { line, va } of weights) if (line === 0) expect(va).toBe(4000);
  });

  it("takes a part's own meter before those below it, also for what lies above", () => {
    const fed = index.inventory.equipment.find(
      ({ id, parentId }) => parentId !== null && (index.outletsBelow.get(id)?.length ?? 0) > 1,
    );
    if (fed?.parentId == null) throw new Error('the sample marina has no feeder with outlets');
    const { parts } = meterCover(index, [...outletMeters, meter('equipment', fed.id)], 0.85);
    const of = (id: string | null) => parts.find(({ equipmentId }) => equipmentId === id);
    expect(of(fed.id)?.meterIds).toEqual([`equipment ${fed.id}`]);
    expect(of(fed.parentId)?.meterIds).toContain(`equipment ${fed.id}`);
    expect(of(fed.parentId)?.meterIds).not.toContain(`outlet ${index.outletsBelow.get(fed.id)?.[0]?.id}`);
  });

  it('says which outlets no meter sees, and what it assumes', () => {
    const { parts, assumptions } = meterCover(
      index,
      [meter('outlet', index.inventory.outlets[0]?.id ?? '', { powerFactor: null })],
      0.85,
    );
    const all = parts.reduce((most, { unmeteredOutletIds }) => Math.max(most, unmeteredOutletIds.length), 0);
    expect(all).toBeGreaterThan(0);
    expect(assumptions.join(' ')).toMatch(/0.85 is assumed/);
  });
});

describe('three figures', () => {
  const figures = {
    ratedVa: 50_000,
    statedVa: 40_000,
    measuredVa: 60_000,
    completeShare: 0.8,
    unmeteredOutlets: 3,
    anyStated: true,
  };
  it('are told apart in words that name them', () => {
    const said = whyTheyDiffer('F1', figures).join(' ');
    for (const word of ['40.0 kVA', '3 outlets', '80 %', '120 %', 'too low']) expect(said).toContain(word);
    expect(whyTheyDiffer('F1', { ...figures, measuredVa: null }).join(' ')).toMatch(/not measured/);
  });
});

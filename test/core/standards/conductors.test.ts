import { describe, expect, it } from 'vitest';
import { largestBreakerA, nextStandardBreakerA, standardBreakersA } from '../../../core/standards/breaker-sizes.ts';
import { type ConductorRow, conductorRow, conductorRows, ohmPerKm } from '../../../core/standards/conductors.ts';
import {
  cordAmpacityA,
  cordRows,
  cordSource,
  usualCordLengthSource,
  usualCordLengthsM,
} from '../../../core/standards/cords.ts';
import reference from '../../reference/conductors.json' with { type: 'json' };

const materials = ['copper', 'aluminium'] as const;
const conduits = ['pvc', 'aluminium', 'steel'] as const;

/** A row of the core table under the names of the reference file's columns. */
function asPrinted(row: ConductorRow): Record<string, number | string | null> {
  const printed: Record<string, number | string | null> = {
    size: row.size,
    unit: row.sizeUnit,
    area_cmil: row.areaCmil,
    t8_dc75_cu_uncoated_solid: row.dcResistanceOhmPerKft.copperUncoatedSolid,
    t8_dc75_cu_uncoated_stranded: row.dcResistanceOhmPerKft.copperUncoated,
    t8_dc75_cu_coated: row.dcResistanceOhmPerKft.copperCoated,
    t8_dc75_al_solid: row.dcResistanceOhmPerKft.aluminiumSolid,
    t8_dc75_al_stranded: row.dcResistanceOhmPerKft.aluminium,
    t9_xl_pvc_or_al: row.reactanceOhmPerKft?.pvcOrAluminium ?? null,
    t9_xl_steel: row.reactanceOhmPerKft?.steel ?? null,
  };
  for (const material of materials) {
    const short = material === 'copper' ? 'cu' : 'al';
    for (const conduit of conduits) {
      const name = conduit === 'aluminium' ? 'alconduit' : conduit;
      printed[`t9_rac75_${short}_${name}`] = row.acResistanceOhmPerKft[material]?.[conduit] ?? null;
      printed[`t9_z085_${short}_${name}`] = row.impedance085OhmPerKft[material]?.[conduit] ?? null;
    }
    for (const c of [60, 75, 90] as const) printed[`amp_${short}_${c}c`] = row.ampacityA[material]?.[c] ?? null;
  }
  return printed;
}

describe(`conductor table against ${reference.citation}`, () => {
  it('has the published sizes in the published order', () => {
    expect(conductorRows.map((row) => `${row.size} ${row.sizeUnit}`)).toEqual(
      reference.rows.map((row) => `${row.size} ${row.unit}`),
    );
  });

  it.each(reference.rows)('$size $unit, every column', ({ note: _note, ...published }) => {
    const row = conductorRow(published.size, published.unit === 'AWG' ? 'AWG' : 'kcmil');
    expect(row && asPrinted(row)).toEqual(published);
  });

  it('has no row for a size outside the tables', () => {
    expect(conductorRow('250', 'AWG')).toBeNull();
    expect(conductorRow('35', 'mm2')).toBeNull();
  });

  // NEC Chapter 9 Table 9, note 2: effective Z = R cos(a) + X sin(a). The table prints both sides with two digits.
  it('agrees with its own effective impedance at 0.85 power factor', () => {
    const sine = Math.sqrt(1 - 0.85 ** 2);
    let compared = 0;
    for (const row of conductorRows) {
      if (row.reactanceOhmPerKft === null) continue;
      for (const material of materials) {
        for (const conduit of conduits) {
          const resistance = row.acResistanceOhmPerKft[material]?.[conduit];
          const published = row.impedance085OhmPerKft[material]?.[conduit];
          if (resistance === undefined || published === undefined) continue;
          const reactance = row.reactanceOhmPerKft[conduit === 'steel' ? 'steel' : 'pvcOrAluminium'];
          const computed = 0.85 * resistance + sine * reactance;
          expect(Math.abs(computed - published) / published, `${row.size} ${material} ${conduit}`).toBeLessThan(0.06);
          compared += 1;
        }
      }
    }
    expect(compared).toBeGreaterThan(100);
  });

  it('falls in resistance and rises in ampacity from size to size', () => {
    for (let i = 1; i < conductorRows.length; i++) {
      const [thin, thick] = [conductorRows[i - 1], conductorRows[i]];
      if (thin === undefined || thick === undefined) continue;
      expect(thick.areaCmil).toBeGreaterThan(thin.areaCmil);
      expect(thick.dcResistanceOhmPerKft.copperUncoated).toBeLessThan(
        thin.dcResistanceOhmPerKft.copperUncoated ?? Infinity,
      );
      for (const c of [60, 75, 90] as const) {
        expect(thick.ampacityA.copper?.[c]).toBeGreaterThan(thin.ampacityA.copper?.[c] ?? Infinity);
      }
    }
  });

  // Resistivity of copper, 10.371 ohm circular mil per foot at 20 C (IACS), coefficient 0.00393: an outside constant.
  it('agrees with the resistivity of copper at 75 C', () => {
    const ohmCmilPerFt = 10.371 * (1 + 0.00393 * 55);
    for (const row of conductorRows) {
      const solid = row.dcResistanceOhmPerKft.copperUncoatedSolid;
      if (solid === null) continue;
      const computed = (1000 * ohmCmilPerFt) / row.areaCmil;
      expect(Math.abs(computed - solid) / solid, row.size).toBeLessThan(0.01);
    }
  });

  // 1 ft is 0.3048 m by definition.
  it('converts ohms per 1000 ft to ohms per km', () => {
    expect(ohmPerKm(0.3048)).toBe(1);
  });
});

describe('standard breaker sizes (NEC 240.6(A), from memory)', () => {
  it.each([
    [55, 60],
    [60, 60],
    [85, 90],
    [130, 150],
    [201, 225],
    [0, 15],
  ])('above %d A the next is %d A', (ampacityA, expected) => {
    expect(nextStandardBreakerA(ampacityA)).toBe(expected);
  });

  it('ascends and ends at 6000 A', () => {
    expect([...standardBreakersA].sort((a, b) => a - b)).toEqual(standardBreakersA);
    expect(nextStandardBreakerA(6000)).toBe(6000);
    expect(nextStandardBreakerA(6001)).toBeNull();
  });

  // NEC 240.4(B): next standard size up to 800 A; 240.4(C): above it, not beyond the ampacity.
  it('stops rounding up at 800 A', () => {
    expect(largestBreakerA(760)).toBe(800);
    expect(largestBreakerA(820)).toBe(820);
    expect(largestBreakerA(7000)).toBe(7000);
  });
});

describe('flexible cords', () => {
  // Common practice: a 30 A 125 V cord set is 10 AWG, a 50 A 125/250 V one is 6 AWG. Table from memory.
  it('carries the usual cord sets', () => {
    expect(cordAmpacityA('10', 2)).toBe(30);
    expect(cordAmpacityA('6', 2)).toBeGreaterThanOrEqual(50);
  });

  // Two lines of 208Y/120 with a neutral count as three current-carrying conductors (from memory).
  it('does not carry 50 A on two lines of 208Y/120', () => {
    expect(cordAmpacityA('6', 3)).toBeLessThan(50);
  });

  it('carries less with three conductors than with two, and knows no other sizes', () => {
    for (const row of cordRows) expect(row.threeCarryingA).toBeLessThan(row.twoCarryingA);
    expect(cordAmpacityA('5', 2)).toBeNull();
  });

  it('says that it was not read in the source', () => {
    expect([cordSource.fromMemory, usualCordLengthSource.fromMemory]).toEqual([true, true]);
  });

  // 50 ft is 15.24 m: common practice.
  it('comes in ascending lengths up to 50 ft', () => {
    expect(usualCordLengthsM.at(-1)).toBeCloseTo(15.24, 10);
    expect([...usualCordLengthsM].sort((a, b) => a - b)).toEqual(usualCordLengthsM);
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  acImpedance,
  exactDropV,
  resistanceAt,
  resistiveDropV,
} from '../../../../core/electrical/sizing/voltage-drop.ts';
import { conductorRow, conductorRows, ohmPerKm } from '../../../../core/standards/conductors.ts';
import reference from '../../../reference/voltage-drop.json' with { type: 'json' };

const metresPerFoot = 0.3048;
const conduitOf = (name: string) => (name === 'steel' ? 'steel' : 'pvc');

describe('published voltage drops', () => {
  it.each(reference.exact)(
    '$id by phasors ($source)',
    ({ voltageV, size, conduit, lengthFt, loadA, powerFactor, dropV }) => {
      const row = conductorRow(size, 'AWG');
      const impedance = row && acImpedance(row, 'copper', conduitOf(conduit), 75);
      if (impedance === null) throw new Error(`no impedance of ${size} AWG`);
      const lengthM = lengthFt * metresPerFoot;
      const found = exactDropV({ voltageV, phases: 1, loadA, powerFactor, lengthM, parallelSets: 1 }, impedance);
      // The source cuts its figures off at the fourth decimal.
      expect(Math.abs((found ?? Number.NaN) - dropV)).toBeLessThan(1e-4);
    },
  );

  it.each(reference.resistive)(
    '$id by 2 I R L ($source)',
    ({ voltageV, material, size, ohmPerKft, lengthFt, loadA, dropV, dropPercent }) => {
      const dc = conductorRow(size, 'AWG')?.dcResistanceOhmPerKft;
      expect(material === 'copper' ? dc?.copperUncoatedSolid : dc?.aluminium).toBe(ohmPerKft);
      const lengthM = lengthFt * metresPerFoot;
      const circuit = { voltageV, phases: 1, loadA, powerFactor: 1, lengthM, parallelSets: 1 } as const;
      const found = resistiveDropV(circuit, ohmPerKm(ohmPerKft));
      expect(found).toBeCloseTo(dropV, 9);
      // The source cuts off or rounds at the second decimal.
      expect(Math.abs((100 * found) / voltageV - dropPercent)).toBeLessThan(0.01);
    },
  );

  it(`leaves the tables as printed at 75 C: ${reference.trap}`, () => {
    expect(resistanceAt(1.93, 'copper', 75)).toBe(1.93);
    expect(resistanceAt(1, 'copper', 75 + (75 - 23.9)) - 1).toBeCloseTo(0.165, 3);
    expect(resistanceAt(1, 'aluminium', 85)).toBeCloseTo(1.033, 12);
  });
});

describe('properties', () => {
  const rows = conductorRows.filter(({ reactanceOhmPerKft }) => reactanceOhmPerKft !== null);
  const anyCircuit = fc.record({
    voltageV: fc.constantFrom(120, 208, 240, 400, 480),
    phases: fc.constantFrom(1, 3),
    loadA: fc.double({ min: 0, max: 1000, noNaN: true }),
    powerFactor: fc.double({ min: 0.01, max: 1, noNaN: true }),
    lengthM: fc.double({ min: 0, max: 5000, noNaN: true }),
    parallelSets: fc.integer({ min: 1, max: 6 }),
  });

  it('more length or more load never lowers the drop, and never serves again what could not be served', () => {
    const grow = fc.double({ min: 1, max: 5, noNaN: true });
    fc.assert(
      fc.property(anyCircuit, fc.constantFrom(...rows), grow, grow, (circuit, row, longer, more) => {
        const impedance = acImpedance(row, 'copper', 'pvc', 75);
        if (impedance === null) throw new Error('no impedance');
        const before = exactDropV(circuit, impedance);
        const after = exactDropV(
          { ...circuit, lengthM: circuit.lengthM * longer, loadA: circuit.loadA * more },
          impedance,
        );
        if (before === null) expect(after).toBeNull();
        else {
          expect(before).toBeGreaterThanOrEqual(0);
          expect(before).toBeLessThanOrEqual(circuit.voltageV);
          if (after !== null) expect(after).toBeGreaterThanOrEqual(before - 1e-9);
        }
      }),
    );
  });
});

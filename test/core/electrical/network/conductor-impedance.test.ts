import { describe, expect, it } from 'vitest';
import { magnitude } from '../../../../core/electrical/complex.ts';
import {
  type ConductorRun,
  conductorImpedance,
  conductorLine,
  neutralSize,
  type SeriesImpedance,
} from '../../../../core/electrical/network/conductor-impedance.ts';
import { voltageBetween } from '../../../../core/electrical/power-flow/results.ts';
import { conductorSource } from '../../../../core/standards/conductors.ts';
import tables from '../../../reference/conductors.json' with { type: 'json' };
import drops from '../../../reference/voltage-drop.json' with { type: 'json' };
import { solveAndCheck } from '../power-flow/invariants.ts';

const metresPerFoot = 0.3048;
const run: ConductorRun = {
  material: 'copper',
  size: '3/0',
  sizeUnit: 'AWG',
  parallelSets: 1,
  lengthM: 100,
  conduit: 'pvc',
  temperatureC: 75,
};
function impedanceOf(given: Partial<ConductorRun>): SeriesImpedance {
  const found = conductorImpedance({ ...run, ...given });
  if ('datum' in found) throw new Error(found.why);
  return found;
}

/** Drop at the end of two conductors that carry a current of a given power factor against the volts of the source. */
function dropV(voltageV: number, impedance: SeriesImpedance, loadA: number, powerFactor: number): number {
  const sine = Math.sqrt(1 - powerFactor ** 2);
  const solution = solveAndCheck({
    elements: [
      { kind: 'source', id: 's', plus: 's.L1', minus: 's.N', voltageV, angleDeg: 0 },
      conductorLine('line', [
        { name: 'L1', from: 's.L1', to: 'p.L1', impedance },
        { name: 'N', from: 's.N', to: 'p.N', impedance },
      ]),
      {
        kind: 'admittance',
        id: 'load',
        ports: [
          { name: 'load', plus: 'p.L1', minus: 'p.N' },
          { name: 'source', plus: 's.L1', minus: 's.N' },
        ],
        conductanceS: [
          [0, (loadA / voltageV) * powerFactor],
          [0, 0],
        ],
        susceptanceS: [
          [0, (-loadA / voltageV) * sine],
          [0, 0],
        ],
      },
    ],
  });
  const volts = voltageBetween(solution, 'p.L1', 'p.N');
  if (volts === null) throw new Error('no volts');
  return voltageV - magnitude(volts);
}

describe('published voltage drops, through the network', () => {
  it.each(drops.exact)(
    '$id ($source)',
    ({ voltageV, size, conduit, lengthFt, loadA, powerFactor, dropV: published }) => {
      const lengthM = lengthFt * metresPerFoot;
      const impedance = impedanceOf({ size, lengthM, conduit: conduit === 'steel' ? 'steel' : 'pvc' });
      // The source cuts its figures off at the fourth decimal.
      expect(Math.abs(dropV(voltageV, impedance, loadA, powerFactor) - published)).toBeLessThan(1e-4);
    },
  );

  it.each(drops.resistive)('$id ($source)', ({ voltageV, ohmPerKft, lengthFt, loadA, dropV: published }) => {
    const impedance = { resistanceOhm: (ohmPerKft * lengthFt) / 1000, reactanceOhm: 0, source: conductorSource };
    expect(dropV(voltageV, impedance, loadA, 1)).toBeCloseTo(published, 9);
  });
});

describe(`ohms of ${tables.citation}`, () => {
  const printed = tables.rows.flatMap((row) =>
    (['copper', 'aluminium'] as const).flatMap((material) =>
      (['pvc', 'aluminium', 'steel'] as const).map((conduit) => {
        const short = material === 'copper' ? 'cu' : 'al';
        const key = `t9_rac75_${short}_${conduit === 'aluminium' ? 'alconduit' : conduit}` as const;
        return {
          row,
          material,
          conduit,
          ac: row[key],
          x: row[conduit === 'steel' ? 't9_xl_steel' : 't9_xl_pvc_or_al'],
        };
      }),
    ),
  );

  it.each(printed.filter(({ ac }) => ac !== null))(
    '$row.size $row.unit $material in $conduit conduit, as printed',
    ({ row, material, conduit, ac, x }) => {
      const sizeUnit = row.unit === 'AWG' ? 'AWG' : 'kcmil';
      const kft = { size: row.size, sizeUnit, material, conduit, lengthM: 1000 * metresPerFoot } as const;
      const { resistanceOhm, reactanceOhm, source } = impedanceOf(kft);
      expect(resistanceOhm).toBeCloseTo(ac ?? Number.NaN, 12);
      expect(reactanceOhm).toBeCloseTo(x ?? Number.NaN, 12);
      expect(source).toBe(conductorSource);
      const two = impedanceOf({ ...kft, parallelSets: 2 });
      expect([two.resistanceOhm, two.reactanceOhm]).toEqual([resistanceOhm / 2, reactanceOhm / 2]);
    },
  );

  it('takes the next thinner size printed for those that Table 9 leaves out, never less than their direct current', () => {
    const kft = { sizeUnit: 'kcmil', lengthM: 1000 * metresPerFoot } as const;
    for (const [size, thinner] of [
      ['700', '600'],
      ['800', '750'],
      ['900', '750'],
    ] as const) {
      expect(impedanceOf({ ...kft, size })).toEqual(impedanceOf({ ...kft, size: thinner }));
      const dc = tables.rows.find((row) => row.size === size)?.t8_dc75_cu_uncoated_stranded ?? Number.NaN;
      expect(impedanceOf({ ...kft, size }).resistanceOhm).toBeGreaterThan(dc);
    }
    const thinnest = impedanceOf({ size: '14', material: 'aluminium', lengthM: 1000 * metresPerFoot });
    expect(thinnest.resistanceOhm).toBeCloseTo(5.17, 12);
    expect(thinnest.reactanceOhm).toBeCloseTo(0.058, 12);
  });

  // NEC Chapter 9 Table 8, note 2.
  it('corrects resistance, not reactance, to the temperature of the conductor', () => {
    const [at75, copper, aluminium] = [
      impedanceOf({}),
      impedanceOf({ temperatureC: 50 }),
      impedanceOf({ material: 'aluminium', temperatureC: 85 }),
    ];
    expect(copper.resistanceOhm / at75.resistanceOhm).toBeCloseTo(1 - 25 * 0.00323, 12);
    expect(copper.reactanceOhm).toBe(at75.reactanceOhm);
    expect(aluminium.resistanceOhm / impedanceOf({ material: 'aluminium' }).resistanceOhm).toBeCloseTo(1.033, 12);
  });

  // IEC 60364-5-52 annex G, from memory: 0.0225 and 0.036 ohm mm2/m, 0.08 milliohm/m.
  it('reckons metric sizes by resistivity', () => {
    const metric = { size: '35', sizeUnit: 'mm2' } as const;
    expect(impedanceOf(metric).resistanceOhm).toBeCloseTo((0.0225 * 100) / 35, 12);
    expect(impedanceOf({ ...metric, material: 'aluminium' }).resistanceOhm).toBeCloseTo((0.036 * 100) / 35, 12);
    expect(impedanceOf(metric).reactanceOhm).toBeCloseTo(0.008, 12);
    // 2 AWG is 33.6 mm2: the two ways of reckoning stay within a tenth of each other.
    const two = impedanceOf({ size: '2' });
    const ratio = impedanceOf({ size: '33.6', sizeUnit: 'mm2' }).resistanceOhm / two.resistanceOhm;
    expect(Math.abs(ratio - 1)).toBeLessThan(0.1);
  });

  it.each([
    ['conductor.lengthM', { lengthM: null }],
    ['conductor.lengthM', { lengthM: 0 }],
    ['conductor.lengthM', { lengthM: Number.NaN }],
    ['conductor.size', { size: '5/0' }],
    ['conductor.size', { size: 'thick', sizeUnit: 'mm2' }],
    ['conductor.parallelSets', { parallelSets: 0 }],
    ['conductor.temperatureC', { temperatureC: -300 }],
    ['conductor.temperatureC', { temperatureC: Number.NaN }],
  ] as const)('names %s where it cannot be used', (datum, wrong) => {
    expect(conductorImpedance({ ...run, ...wrong })).toMatchObject({ datum });
  });
});

describe('the size of a neutral', () => {
  it('is that of the line unless its ampacity is less', () => {
    for (const [lineA, neutralA] of [
      [null, 100],
      [200, null],
      [200, 200],
      [200, 230],
    ] as const) {
      expect(neutralSize(run, lineA, neutralA)).toMatchObject({ size: '3/0', sizeUnit: 'AWG' });
    }
  });

  // NEC Table 310.16, copper at 75 C: 3/0 200 A, 1/0 150 A, 1 130 A, 14 20 A.
  it.each([
    [150, '1/0'],
    [149, '1'],
    [1, '14'],
  ])('with %d A beside lines of 200 A is %s', (neutralA, size) => {
    expect(neutralSize(run, 200, neutralA)).toMatchObject({ size });
  });
});

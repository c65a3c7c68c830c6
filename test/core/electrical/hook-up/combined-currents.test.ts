import { describe, expect, it } from 'vitest';
import { fromPolar, magnitude, subtractComplex } from '../../../../core/electrical/complex.ts';
import { reducedVoltage } from '../../../../core/electrical/hook-up/circuit/judge-volts.ts';
import { combinerResidualA, neutralA } from '../../../../core/electrical/hook-up/combined-currents.ts';
import reference from '../../../reference/hook-up.json' with { type: 'json' };

function solved(id: string) {
  const found = reference.cases.find((each) => each.id === id);
  if (found === undefined) throw new Error(`no case ${id} in the reference`);
  return found;
}

// Source of every figure here: test/reference/hook-up.json, solved by hand (Kirchhoff).
describe('combined currents', () => {
  it.each(reference.cases.filter((each) => each.given.legsA !== undefined))('$id: $inputs', ({ given, answer }) => {
    const [a = 0, b = 0] = given.legsA ?? [];
    const leg1 = fromPolar(a, 0);
    const leg2 = fromPolar(b, given.angleBetweenDeg ?? 0);
    expect(neutralA([leg1, leg2])).toBeCloseTo(answer.neutralA ?? Number.NaN, 9);
    if (answer.residualAtEachOutletA !== undefined)
      expect(combinerResidualA(leg1, leg2)).toBeCloseTo(answer.residualAtEachOutletA, 9);
    if (answer.neutralShareOf50A !== undefined)
      expect(neutralA([leg1, leg2]) / 50).toBeCloseTo(answer.neutralShareOf50A, 9);
    if (answer.lineToLineV !== undefined)
      expect(magnitude(subtractComplex(fromPolar(120, 0), fromPolar(120, given.angleBetweenDeg ?? 0)))).toBeCloseTo(
        answer.lineToLineV,
        9,
      );
  });

  it('U6: 208 V on a 240 V load', () => {
    const { given, answer } = solved('U6');
    const reduced = reducedVoltage(given.lineToLineV ?? Number.NaN, given.ratedV ?? Number.NaN);
    expect(reduced.shareOfWatts).toBeCloseTo(answer.shareOfWatts ?? Number.NaN, 4);
    expect(reduced.shareOfVolts).toBeCloseTo(answer.shareOfVolts ?? Number.NaN, 4);
    expect(reduced.motorShareOfAmperes).toBeCloseTo(answer.motorShareOfAmperes ?? Number.NaN, 2);
  });
});

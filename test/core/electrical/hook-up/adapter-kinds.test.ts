import { describe, expect, it } from 'vitest';
import type { Inlet } from '../../../../core/boats.ts';
import { judgedHookUp } from '../../../../core/electrical/hook-up/judge.ts';
import type { SupplyOutlet } from '../../../../core/electrical/hook-up/supply-outlet.ts';
import { boat, contextOf, cord, fact, hookUp, inlet, kindsById, noDevice, outlet, request } from './support.ts';

/** One inlet with a cord of its own, through one piece. Facts of the trade are `common practice` unless said. */
function through(kindId: string, outlets: readonly SupplyOutlet[], theInlet: Inlet, frequencyHz = 60) {
  const pattern = theInlet.configurationIds?.value[0] ?? '';
  const ratedA = Number(/(?:-|^)(16|30|32|50|60|63|100)(?:-|$)/.exec(pattern)?.[1]);
  const given = { frequenciesHz: fact([frequencyHz]), cordSets: fact([cord(pattern, ratedA)]) };
  const asked = request(boat([theInlet], given), outlets);
  const judged = judgedHookUp(hookUp(outlets, kindId, theInlet), contextOf(asked));
  const said = judged.findings.filter(({ level }) => level !== 'note').map(({ rule, level }) => `${level} ${rule}`);
  return { ...judged, said };
}

function main(id: string, ratedA: number, needs = false): Inlet {
  return inlet('I1', id, { mainBreakerA: fact(ratedA), needsLineToLine: fact(needs) });
}

const quiet = { groundFault: noDevice };
const european = { systemId: '400Y/230', earthing: 'TT' } as const;

describe('kinds of adapters', () => {
  it.each([
    ['step-down-SS1-50-to-L5-30', outlet('a', 'SS1-50', ['L1']), main('L5-30', 50)],
    ['step-down-SS2-50-to-L14-30', outlet('a', 'SS2-50', ['L1', 'L2']), main('L14-30', 50)],
  ] as const)(
    '%s: a 30 A cord behind a 50 A breaker is to confirm, with a breaker in the piece it is clear',
    (id, from, to) => {
      expect(through(id, [from], to).said).toEqual(['confirm hookup.conductorBelowBreaker']);
      const safe = through(`${id}-breaker`, [from], to);
      expect(safe.said).toEqual([]);
      expect(safe.inlets[0]?.legs.every(({ availableA }) => availableA === 30)).toBe(true);
    },
  );

  it('30 A 125 V on a 125/250 V inlet: one line on both legs leaves 0 V between them, an open leg none at all', () => {
    const l1 = outlet('a', 'L5-30', ['L1']);
    expect(through('single-leg-bridged-L5-30-to-L14-30', [l1], main('L14-30', 30, true)).said).toEqual([
      'refuse hookup.sameLine',
    ]);
    expect(through('single-leg-open-L5-30-to-L14-30', [l1], main('L14-30', 30, true)).said).toEqual([
      'refuse hookup.deadLeg',
    ]);
    // Kirchhoff: both legs return through one 30 A neutral that a 30 A breaker protects.
    expect(through('single-leg-bridged-L5-30-to-L14-30', [l1], main('L14-30', 30)).availableVa).toBe(3_600);
  });

  it('three-phase 30 A to two lines: 208 V between them (ANSI C84.1), to one line: 120 V', () => {
    const three = outlet('a', 'L21-30', ['L1', 'L2', 'L3'], { systemId: '208Y/120' });
    const two = through('two-lines-L21-30-to-L14-30', [three], main('L14-30', 30, true));
    expect(two.inlets[0]?.lineToLineV).toBeCloseTo(207.8, 0);
    expect(two.said).toEqual(['confirm hookup.reducedVoltage']);
    const one = through('one-line-L21-30-to-L5-30', [three], main('L5-30', 30));
    expect(one.said).toEqual([]);
    expect(one.availableVa).toBe(3_600);
  });

  it('a splitter of one line gives both cords the same line; of two lines each its own', () => {
    for (const id of ['splitter-SS1-50-to-2xL5-30-breakers', 'splitter-L14-30-to-2xL5-30']) {
      const lines = kindsById.get(id)?.conductors.filter(({ to }) => to.terminal === 'L1') ?? [];
      const from = id.includes('SS1') ? ['L1', 'L1'] : ['L1', 'L2'];
      expect(lines.map((wire) => wire.from.terminal)).toEqual(from);
      expect(lines.map(({ breakerA }) => breakerA)).toEqual(id.includes('breakers') ? [30, 30] : [null, null]);
    }
    expect(
      through('splitter-L14-30-to-2xL5-30', [outlet('a', 'L14-30', ['L1', 'L2'])], main('L5-30', 30)).said,
    ).toEqual([]);
  });

  it.each([
    ['combiner-2xL5-30-to-L14-30-interlock', 'L5-30', 'L14-30', 30],
    ['combiner-2xSS1-50-to-PS-100-125-250-interlock', 'SS1-50', 'PS-100-125/250-3P4W', 50],
  ] as const)(
    '%s: 240 V from two opposite lines, dead and without exposed contacts when one is pulled',
    (id, from, to, a) => {
      const first = outlet('a', from, ['L1'], quiet);
      const main240 = main(to, a, true);
      const judged = through(id, [first, outlet('b', from, ['L2'], quiet)], main240);
      expect(judged.verdict).toBe('cautioned');
      expect(judged.inlets[0]?.lineToLineV).toBe(240);
      expect(judged.availableVa).toBe(240 * a);
      const same = through(id, [first, outlet('b', from, ['L1'], quiet)], main240);
      expect(same.said).toContain('refuse hookup.sameLine');
      // One plug left hanging: the interlock keeps the other side dead, and a loose plug is refused all the same.
      expect(through(id, [first], main240).said).toContain('refuse hookup.loosePlug');
      // A device at either outlet sees the other's neutral current and trips.
      const fitted = through(id, [outlet('a', from, ['L1']), outlet('b', from, ['L2'])], main240);
      expect(fitted.said).toContain('refuse hookup.residual');
    },
  );

  it('two 50 A 125/250 V into 100 A, one line of each: exposed when one is pulled, unless interlocked', () => {
    const outlets = [outlet('a', 'SS2-50', ['L1', 'L2'], quiet), outlet('b', 'SS2-50', ['L1', 'L2'], quiet)];
    const id = 'combiner-2xSS2-50-to-PS-100-125-250-one-line-each';
    const open = through(id, outlets, main('PS-100-125/250-3P4W', 50, true));
    expect(open.said).toContain('confirm hookup.exposedContacts');
    const locked = through(`${id}-interlock`, outlets, main('PS-100-125/250-3P4W', 50, true));
    expect(locked.said).not.toContain('confirm hookup.exposedContacts');
    expect(locked.inlets[0]?.lineToLineV).toBe(240);
    expect(locked.availableVa).toBe(12_000);
  });

  it('100 A to 60 A: both lines, and three', () => {
    const two = through(
      'step-down-PS-100-125-250-to-PS-60-125-250',
      [outlet('a', 'PS-100-125/250-3P4W', ['L1', 'L2'])],
      main('PS-60-125/250-3P4W', 60, true),
    );
    expect(two.said).toEqual(['caution hookup.conductorBelowBreaker']);
    expect(two.availableVa).toBe(14_400);
    const three = through(
      'step-down-PS-100-120-208-to-PS-60-120-208',
      [outlet('a', 'PS-100-120/208-4P5W', ['L1', 'L2', 'L3'], { systemId: '208Y/120' })],
      main('PS-60-120/208-4P5W', 60, true),
    );
    expect(three.said).toEqual(['caution hookup.conductorBelowBreaker']);
  });

  it('IEC: a smaller cord behind a larger outlet is protected by the breaker in the piece', () => {
    const large = outlet('a', 'IEC-32-2P+E-230-6h', ['L1'], { systemId: '230-single-phase', earthing: 'TT' });
    const small = main('IEC-16-2P+E-230-6h', 32);
    expect(through('step-down-IEC-32-to-16-230', [large], small, 50).said).toEqual([
      'confirm hookup.conductorBelowBreaker',
    ]);
    const safe = through('step-down-IEC-32-to-16-230-breaker', [large], small, 50);
    expect(safe.said).toEqual([]);
    expect(safe.availableVa).toBe(230 * 16);
  });

  it('IEC three-phase to single-phase: 230 V of one line each (IEC 60038: 400Y/230 V), 16 A each', () => {
    const three = outlet('a', 'IEC-32-3P+N+E-400-6h', ['L1', 'L2', 'L3'], european);
    const one = through('single-phase-from-IEC-32-400-to-16-230', [three], main('IEC-16-2P+E-230-6h', 32), 50);
    expect(one.said).toEqual([]);
    expect(one.inlets[0]?.legs[0]?.lineToNeutralV).toBe(230);
    const splitter = kindsById.get('splitter-IEC-32-400-to-3x16-230');
    const lines = splitter?.conductors.filter(({ from }) => from.terminal.startsWith('L')) ?? [];
    expect(lines.map(({ from, to, breakerA }) => [from.terminal, to.fitting, to.terminal, breakerA])).toEqual([
      ['L1', 'C1', 'L1', 16],
      ['L2', 'C2', 'L1', 16],
      ['L3', 'C3', 'L1', 16],
    ]);
    expect(through('splitter-IEC-32-400-to-3x16-230', [three], main('IEC-16-2P+E-230-6h', 16), 50).said).toEqual([]);
  });
});

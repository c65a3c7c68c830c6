import { describe, expect, it } from 'vitest';
import { answerCircuit } from '../../../../../core/electrical/hook-up/circuit/answer-circuit.ts';
import type { HookUp, HookUpContext } from '../../../../../core/electrical/hook-up/hook-up.ts';
import { judgedHookUp } from '../../../../../core/electrical/hook-up/judge.ts';
import type { SupplyOutlet } from '../../../../../core/electrical/hook-up/supply-outlet.ts';
import { boat, cord, fact, hookUp, inlet, kindsById, noDevice, outlet } from '../support.ts';
import { checkPlainly } from './contradictions.ts';

// Hook-ups that a plain nodal solve of random draws once contradicted, each as it was drawn.

/** Every leg at what its main breaker passes, nothing between legs. */
const everyLegFull = () => 0.35;

function contextOf(outlets: readonly SupplyOutlet[], theBoat: HookUpContext['boat'], adapterKinds = kindsById) {
  const byId = new Map(outlets.map((each) => [each.id, each]));
  return { boat: theBoat, outlets: byId, adapterKinds, refuseCordBelowBreaker: false };
}

describe('outlets of one supply that are said to have different systems', () => {
  const wye = outlet('o0', 'SS2-50', ['L3', 'L1'], { systemId: '208Y/120', groundFault: noDevice });
  const highLeg = outlet('o1', 'L6-30', ['L3', 'L1'], { systemId: '240/120-high-leg-delta', groundFault: noDevice });
  const i1 = inlet('I1', 'SS2-50', { mainBreakerA: fact(50), duty: fact('airConditioning') });
  const i2 = inlet('I2', 'L6-30', { mainBreakerA: fact(30) });
  const apart = [hookUp([wye], null, i1), hookUp([highLeg], null, i2)];
  const context = contextOf([wye, highLeg], boat([i1, i2], { frequenciesHz: fact([50, 60]) }));

  it.each([
    ['wye first', apart],
    ['high leg first', [...apart].reverse()],
  ])('each keep their own volts, %s', (_, parts) => {
    const whole: HookUp = { adapters: [], joints: parts.flatMap(({ joints }) => joints) };
    expect(checkPlainly({ hookUp: whole, context }, everyLegFull, 1)).toMatchObject({ contradictions: [], solves: 1 });
    const unloadedV = (inletId: string) =>
      answerCircuit(whole, context, [])
        .volts.filter((each) => each.inletId === inletId)
        .map(({ unloaded }) => unloaded?.magnitude);
    // Line to line of a 240 V delta and of a 120 V wye: 120 V times the square root of 3.
    expect(unloadedV('I2')).toEqual([expect.closeTo(240, 6)]);
    expect(unloadedV('I1')).toEqual([
      expect.closeTo(120, 6),
      expect.closeTo(120, 6),
      expect.closeTo(120 * Math.sqrt(3), 4),
    ]);
  });

  it.each([
    ['120/240-split-phase', '208Y/120'],
    ['208Y/120', '120/240-split-phase'],
  ])('are not joined unasked: %s and %s', (one, other) => {
    const joined = [
      outlet('o0', 'L5-30', ['L1'], { systemId: one, groundFault: noDevice }),
      outlet('o1', 'L5-30', ['L2'], { systemId: other, groundFault: noDevice }),
    ];
    const combiner = 'combiner-2xL5-30-to-SS2-50-interlock';
    const judged = judgedHookUp(hookUp(joined, combiner, i1), contextOf(joined, boat([i1])));
    expect(judged.verdict).toBe('unconfirmed');
    expect(judged.findings).toContainEqual(
      expect.objectContaining({ rule: 'hookup.suppliesUnknown', level: 'confirm', actual: `${one} and ${other}` }),
    );
  });
});

it('neutrals that meet behind a splitter are each held against all that its legs draw', () => {
  const bridged = outlet('o1', 'SS2-50', ['L1', 'L1'], { systemId: '120-single-phase', groundFault: noDevice });
  const theInlet = inlet('I1', 'SS2-50', { mainBreakerA: fact(16) });
  const rejoined: HookUp = {
    adapters: [
      { ref: 'A2', kindId: 'combiner-2xL5-30-to-SS2-50-interlock', from: 'aboard', stockId: null },
      { ref: 'A3', kindId: 'splitter-SS2-50-to-2xL5-30-breakers', from: 'aboard', stockId: null },
    ],
    joints: [
      { from: { kind: 'outlet', outletId: 'o1' }, to: { kind: 'plug', adapter: 'A3', fitting: 'P1' } },
      ...(['1', '2'] as const).map((side) => ({
        from: { kind: 'connector' as const, adapter: 'A3', fitting: `C${side}` },
        to: { kind: 'plug' as const, adapter: 'A2', fitting: `P${side}` },
      })),
      {
        from: { kind: 'connector', adapter: 'A2', fitting: 'C1' },
        to: { kind: 'inlet', inletId: 'I1', configurationId: 'SS2-50' },
      },
    ],
  };
  const cordSets = fact([{ ...cord('SS2-50', 50), lengthM: 60 }]);
  const context = contextOf([bridged], boat([theInlet], { cordSets }));
  const checked = checkPlainly({ hookUp: rejoined, context }, everyLegFull, 1);
  expect(checked.contradictions).toEqual([]);
  // Kirchhoff: 16 A and 16 A on one line are 32 A in the one neutral of two that makes contact.
  expect(checked.judged.findings).toContainEqual(
    expect.objectContaining({ rule: 'hookup.neutralOverload', level: 'refuse', actual: 32, limit: 30 }),
  );
});

describe('a wide-range inlet of a 120 V pattern on both contacts of one 230 V line', () => {
  const european = outlet('o0', 'SS2-50', ['L1', 'L1'], { systemId: '230-single-phase', earthing: 'TT' });
  const judgedWith = (mainA: number | null) => {
    const theInlet = inlet('I1', 'SS2-50', {
      mainBreakerA: mainA === null ? null : fact(mainA),
      accepts: fact({ lowestV: 100, highestV: 250, frequenciesHz: [50, 60] }),
    });
    const cordSets = fact([{ ...cord('SS2-50', 50), lengthM: 60 }]);
    const context = contextOf([european], boat([theInlet], { frequenciesHz: fact([50]), cordSets }));
    return checkPlainly({ hookUp: hookUp([european], null, theInlet), context }, everyLegFull, 1);
  };

  it('has in its neutral what its main breaker passes at any volts: 16 A and 16 A of 50 A', () => {
    expect(judgedWith(16)).toMatchObject({ isSafe: true, solves: 1, contradictions: [] });
  });

  it.each([26, null])('is refused where the main breaker (%s A) leaves the neutral above its 50 A', (mainA) => {
    expect(judgedWith(mainA).judged.findings).toContainEqual(
      expect.objectContaining({ rule: 'hookup.neutralOverload', level: 'refuse', limit: 50 }),
    );
  });
});

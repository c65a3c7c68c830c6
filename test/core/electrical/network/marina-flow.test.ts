import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { usualAssumptions } from '../../../../core/electrical/network/assumptions.ts';
import { type MarinaFlow, marinaFlow } from '../../../../core/electrical/network/marina-flow.ts';
import { marinaNetwork } from '../../../../core/electrical/network/marina-network.ts';
import type { OutletLoad } from '../../../../core/electrical/network/outlet-loads.ts';
import { solvePowerFlow } from '../../../../core/electrical/power-flow/power-flow.ts';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import type { Equipment, Inventory } from '../../../../core/inventory/inventory.ts';
import { sampleInventory } from '../../../support/sample-inventory.ts';
import { anyMarina } from '../demand/random-marina.ts';
import { checkInvariants } from '../power-flow/invariants.ts';
import {
  centreTapped,
  conductor,
  feeder,
  legalIndex,
  linear,
  longDock,
  marinaOf,
  outlet,
  part,
  service,
  threePhase,
} from './marinas.ts';

/** Solves a marina, and holds the solution against Kirchhoff's and Tellegen's laws. */
function flowOf(inventory: Inventory, loads: readonly OutletLoad[], assumed = usualAssumptions): MarinaFlow {
  const index = legalIndex(inventory);
  const { network } = marinaNetwork(index, loads, assumed);
  const solution = solvePowerFlow(network);
  if (solution.status === 'solved') checkInvariants(network, solution);
  return marinaFlow(index, loads, assumed);
}

const voltsAt = (flow: MarinaFlow, outletId: string, between = 'L1-N'): number =>
  flow.outlets.find((each) => each.outletId === outletId)?.volts.find((pair) => pair.between === between)?.voltageV ??
  Number.NaN;
const currentIn = (flow: MarinaFlow, equipmentId: string, name: string): number =>
  flow.parts.find((each) => each.equipmentId === equipmentId)?.currents.find((each) => each.name === name)?.currentA ??
  Number.NaN;
const assessmentOf = (flow: MarinaFlow, outletId: string) =>
  flow.outlets.find((each) => each.outletId === outletId)?.assessment;
const rules = (flow: MarinaFlow) => flow.findings.map(({ rule, subject }) => `${rule} ${subject.id}`);
const rated = (outletId: string, share = 1): OutletLoad => ({
  outletId,
  demand: { basis: 'rated', share },
  powerFactor: 1,
});

/** One line of 120 V: a service, a feeder and a branch circuit, no transformer. */
const oneLine = (feederM: number | null, branchM: number | null): Inventory =>
  marinaOf(
    [
      service('120-single-phase'),
      feeder('f', 'service', conductor('2', feederM), { breakerA: 100 }),
      part('b', 'branchCircuit', 'f', { conductor: conductor('10', branchM), breakerA: 30 }),
    ],
    [outlet('far', 'b', 'L5-30', ['L1']), outlet('near', 'f', 'L5-30', ['L1'])],
  );

describe('volts and amperes of a marina', () => {
  // NEC Chapter 9 Table 9, copper in PVC: 2 AWG 0.19 + j0.045, 10 AWG 1.2 + j0.05 ohm per 1000 ft. A resistor of 120 V
  // and 3,600 VA is 4 ohm, in series with 100 ft of each, out and back.
  it('are those of the series circuit worked by hand', () => {
    const flow = flowOf(oneLine(30.48, 30.48), [linear('far', { 'L1-N': 3600 }, 1)]);
    const ohm = 4 + 0.2 * (0.19 + 1.2);
    const amperes = 120 / Math.hypot(ohm, 0.2 * (0.045 + 0.05));
    expect(voltsAt(flow, 'far')).toBeCloseTo(4 * amperes, 9);
    expect(currentIn(flow, 'b', 'L1')).toBeCloseTo(amperes, 9);
    expect(currentIn(flow, 'f', 'N')).toBeCloseTo(amperes, 9);
    expect(flow.parts.find(({ equipmentId }) => equipmentId === 'f')?.lossW).toBeCloseTo(0.2 * 0.19 * amperes ** 2, 9);
    expect(flow.totals?.lost.powerW).toBeCloseTo(0.2 * (0.19 + 1.2) * amperes ** 2, 9);
    expect(flow.parts.find(({ equipmentId }) => equipmentId === 'b')?.currents[0]?.loading).toBeCloseTo(
      amperes / 30,
      9,
    );
    expect(flow).toMatchObject({ status: 'solved', worst: { outletId: 'far', between: 'L1-N' } });
    expect(flow.pedestals.map(({ pedestalId, volts }) => [pedestalId, volts[0]?.voltageV])).toEqual([
      ['Pb', voltsAt(flow, 'far')],
      ['Pf', voltsAt(flow, 'near')],
    ]);
  });

  it('without load are nominal everywhere, and no finding speaks', () => {
    const flow = flowOf(oneLine(30, 30), []);
    expect(voltsAt(flow, 'far')).toBeCloseTo(120, 9);
    expect(flow.findings).toEqual([]);
  });

  it('follow the share of nominal volts that the service is assumed to have', () => {
    const flow = flowOf(oneLine(30, 30), [], { ...usualAssumptions, serviceVoltageShare: 0.95 });
    expect(voltsAt(flow, 'far')).toBeCloseTo(114, 9);
    expect(flow.assumptions.join(' ')).toContain('95 % of its nominal volts');
  });

  // Kirchhoff: equal loads on opposed legs leave nothing in the neutral, one leg alone all of it.
  it('split-phase: the neutral carries the difference of the legs', () => {
    const inventory = marinaOf(
      [service('120/240-split-phase'), feeder('f', 'service', conductor('3/0', 80))],
      [outlet('both', 'f', 'SS2-50', ['L1', 'L2']), outlet('one', 'f', 'L5-30', ['L1'])],
    );
    const balanced = flowOf(inventory, [rated('both')]);
    expect(currentIn(balanced, 'f', 'N')).toBeLessThan(1e-9);
    expect(voltsAt(balanced, 'both', 'L1-L2')).toBeCloseTo(2 * voltsAt(balanced, 'both', 'L1-N'), 9);
    const unequal = flowOf(inventory, [rated('one')]);
    expect(currentIn(unequal, 'f', 'N')).toBeCloseTo(30, 9);
    // The unloaded leg rises above nominal by the drop in the shared neutral.
    expect(voltsAt(unequal, 'both', 'L2-N')).toBeGreaterThan(120);
  });

  // Kirchhoff: a 240 V load between two lines of a wye leaves the neutral alone; two equal line-to-neutral loads 120
  // degrees apart leave one of them in it.
  it('208Y/120: two lines loaded to neutral load the neutral as much, a load between lines not at all', () => {
    const inventory = marinaOf(
      [service('208Y/120'), feeder('f', 'service', conductor('3/0', 1))],
      [outlet('x', 'f', 'SS2-50', ['L2', 'L3'])],
    );
    const toNeutral = flowOf(inventory, [rated('x')]);
    expect(currentIn(toNeutral, 'f', 'N')).toBeCloseTo(50, 1);
    const across = flowOf(inventory, [linear('x', { 'L1-L2': 10_000 })]);
    expect(currentIn(across, 'f', 'N')).toBeLessThan(1e-9);
    expect(across.outlets[0]?.volts.map(({ nominalV }) => Math.round(nominalV))).toEqual([120, 120, 208]);
  });

  it('gives the loading of each winding against its part of the rating', () => {
    const inventory = marinaOf(
      [service('480Y/277'), centreTapped('service', 24), feeder('f', 'transformer', conductor('3/0', 1))],
      [outlet('a', 'f', 'PS-100-125/250-3P4W', ['L1', 'L2'])],
    );
    const windings = flowOf(inventory, [
      { ...linear('a', { 'L1-N': 12_000 }, 1), model: 'constantCurrent' },
    ]).parts.find(({ equipmentId }) => equipmentId === 'transformer')?.currents;
    expect(windings?.map(({ name }) => name)).toEqual(['h of unit 1', 'x1 of unit 1', 'x2 of unit 1']);
    // 12 kVA on one half of 24 kVA: that half is full, the other idle, the primary half full.
    for (const [at, loading] of [0.5, 1, 0].entries()) expect(windings?.[at]?.loading).toBeCloseTo(loading, 9);
  });

  it('every connection of a three-phase transformer is carried through to the outlets', () => {
    for (const [connection, systemId] of [
      ['deltaWye', '208Y/120'],
      ['wyeWye', '208Y/120'],
      ['highLegBank', '240/120-high-leg-delta'],
    ] as const) {
      const inventory = marinaOf(
        [service('480Y/277'), threePhase(systemId, connection), feeder('f', 'transformer', conductor('1/0', 50))],
        [outlet('a', 'f', 'PS-100-120/208-4P5W', ['L1', 'L2', 'L3'])],
      );
      const flow = flowOf(inventory, [rated('a', 0.5)]);
      expect(flow.status).toBe('solved');
      for (const { voltageV, nominalV } of flow.outlets[0]?.volts ?? []) {
        expect(voltageV).toBeLessThan(nominalV);
        expect(voltageV).toBeGreaterThan(0.9 * nominalV);
      }
    }
  });

  it('counts other loads of the equipment', () => {
    const inventory = marinaOf(
      [
        service('120/240-split-phase'),
        feeder('f', 'service', conductor('4', 40), { otherLoads: [{ label: 'pump', loadVa: { L2: 1200 } }] }),
      ],
      [outlet('a', 'f', 'L5-30', ['L1'])],
    );
    expect(currentIn(flowOf(inventory, []), 'f', 'L2')).toBeGreaterThan(10);
  });
});

describe('findings', () => {
  it('low volts, drop and overload name outlet, figure and limit', () => {
    const flow = flowOf(oneLine(60, 40), [rated('far', 1.1), rated('near', 3)]);
    expect(rules(flow)).toEqual([
      'power.overload f',
      'power.overload b',
      'power.lowVolts far',
      'power.drop far',
      'power.drop near',
      'power.drop f',
      'power.drop b',
    ]);
    const low = flow.findings.find(({ rule }) => rule === 'power.lowVolts');
    // ANSI C84.1 range A, from memory: not below 108 V where equipment is used.
    expect(low).toMatchObject({ level: 'caution', limit: 108, unit: 'V' });
    expect(low?.source).toContain('(from memory)');
    expect(flow.findings.filter(({ rule }) => rule === 'power.drop').map(({ limit, level }) => [limit, level])).toEqual(
      [
        [5, 'note'],
        [5, 'note'],
        [3, 'note'],
        [3, 'note'],
      ],
    );
  });

  it('an outlet beyond its own breaker', () => {
    const outlets = oneLine(5, 5).outlets.map((each) => ({ ...each, breakerA: 20 }));
    const flow = flowOf(marinaOf(oneLine(5, 5).equipment, outlets), [linear('near', { 'L1-N': 3600 }, 1)]);
    expect(rules(flow)).toEqual(['power.overload near']);
    expect(flow.findings[0]).toMatchObject({ level: 'caution', limit: 20, unit: 'A' });
    // A rated load is what the smaller of breaker and pattern lets through.
    expect(rules(flowOf(marinaOf(oneLine(5, 5).equipment, outlets), [rated('near')]))).toEqual([]);
  });

  it('high volts on the light leg of a pier with a thin neutral', () => {
    const inventory = marinaOf(
      [
        service('120/240-split-phase'),
        feeder('f', 'service', conductor('3/0', 150), { conductorAmpacityA: 200, neutralAmpacityA: 30 }),
      ],
      [outlet('a', 'f', 'PS-100-125/250-3P4W', ['L1', 'L2'])],
    );
    const flow = flowOf(inventory, [linear('a', { 'L1-N': 6000 }, 1)]);
    expect(rules(flow)).toContain('power.highVolts a');
    expect(flow.findings.find(({ rule }) => rule === 'power.highVolts')).toMatchObject({ limit: 126 });
  });

  it('a load that no feeder can carry has no volts, and a finding that names where', () => {
    const flow = flowOf(oneLine(3000, 3000), [rated('far', 3)]);
    expect(flow).toMatchObject({ status: 'notConverged', worst: null, totals: null });
    expect(flow.outlets.map(({ assessment, volts }) => [assessment, volts])).toEqual(
      Array(2).fill(['notAssessed', []]),
    );
    expect(rules(flow)).toEqual(['power.notSolved far']);
  });
});

describe('missing data', () => {
  it.each([
    ['b', 'conductor.lengthM', oneLine(30, null)],
    ['b', 'conductor.lengthM', oneLine(30, 0)],
    [
      'b',
      'conductor',
      marinaOf(
        oneLine(30, 30).equipment.map((each) => (each.id === 'b' ? { ...each, conductor: null } : each)),
        oneLine(30, 30).outlets,
      ),
    ],
    [
      'b',
      'conductor.size',
      marinaOf(
        oneLine(30, 30).equipment.map((each) => (each.id === 'b' ? { ...each, conductor: conductor('5', 30) } : each)),
        oneLine(30, 30).outlets,
      ),
    ],
  ])('of %s: %s is asked for, its outlets are not assessed, its load still counts above', (id, fact, inventory) => {
    const flow = flowOf(inventory, [{ outletId: 'far', demand: { basis: 'stated', loadVa: { 'L1-N': 3600 } } }]);
    expect(flow.findings.filter(({ level }) => level === 'confirm')).toMatchObject([
      { rule: 'power.notAssessed', subject: { id }, missingFact: { fact } },
    ]);
    expect(flow.outlets.map(({ outletId, assessment }) => [outletId, assessment])).toEqual([
      ['far', 'notAssessed'],
      ['near', 'atBest'],
    ]);
    expect(flow.outlets[0]).toMatchObject({ volts: [], currents: [] });
    expect(flow.worst?.outletId).toBe('near');
    // A boat of constant power draws 30 A at 120 V, and more of what reaches it.
    expect(currentIn(flow, 'f', 'L1')).toBeGreaterThan(30);
    expect(currentIn(flow, 'b', 'L1')).toBeNaN();
  });

  it.each([
    ['transformer.ratedKva', { ratedKva: null }],
    ['transformer.percentR', { percentR: null }],
    ['transformer.percentX', { percentX: null }],
  ])('of a transformer: %s is asked for, nothing below is assessed, its load still counts above', (fact, unknown) => {
    const whole = threePhase('240/120-high-leg-delta', 'highLegBank');
    if (whole.transformer === null) throw new Error('no transformer');
    const inventory = marinaOf(
      [
        service('480Y/277'),
        { ...whole, transformer: { ...whole.transformer, ...unknown } },
        feeder('f', 'transformer', conductor('1/0', 50)),
      ],
      [outlet('a', 'f', 'PS-100-125/250-3P4W', ['L1', 'L3'])],
    );
    const flow = flowOf(inventory, [rated('a')]);
    expect(flow.findings).toMatchObject([{ subject: { id: 'transformer' }, missingFact: { fact } }]);
    expect(assessmentOf(flow, 'a')).toBe('notAssessed');
    // 100 A at 120 V on each of two legs.
    expect(flow.totals?.supplied.powerW).toBeGreaterThan(23_900);
  });

  it('of the sample marina: each datum by name, and nothing of it read as fine', () => {
    const flow = flowOf(sampleInventory(), [rated('b1a')]);
    expect(flow.findings.map(({ subject, missingFact }) => `${subject.id} ${missingFact?.fact}`)).toEqual([
      'xfmr-a lines',
    ]);
    expect(new Set(flow.outlets.map(({ outletId, assessment }) => `${outletId[0]} ${assessment}`))).toEqual(
      new Set(['a notAssessed', 'b atBest']),
    );
    const lines: Inventory = {
      ...sampleInventory(),
      equipment: sampleInventory().equipment.map((each) =>
        each.id === 'xfmr-a' ? { ...each, lines: ['L1', 'L2'] } : each,
      ),
    };
    const more = flowOf(lines, [rated('b1a'), rated('a4b')]);
    expect(more.findings.map(({ subject, missingFact }) => `${subject.id} ${missingFact?.fact}`)).toEqual([
      'feeder-a2 conductor',
      'a4a lines',
    ]);
    expect(assessmentOf(more, 'a4b')).toBe('notAssessed');
    expect(assessmentOf(more, 'a1a')).toBe('atBest');
  });

  it.each([
    ['unknown', [rated('nowhere')]],
    ['contacts', [linear('far', { 'L1-L2': 100 })]],
    ['VA', [linear('far', { 'L1-N': -100 })]],
    ['VA', [linear('far', { 'L1-N': Number.POSITIVE_INFINITY })]],
    ['VA', [rated('far', Number.NaN)]],
    ['power factor', [{ ...rated('far'), powerFactor: 0 }]],
  ])('a load that cannot be is refused: %s', (_what, loads) => {
    expect(() => flowOf(oneLine(30, 30), loads)).toThrow(RangeError);
  });
});

describe('properties', () => {
  const span = fc.record({
    above: fc.nat(),
    lengthM: fc.double({ min: 1, max: 60, noNaN: true }),
    size: fc.constantFrom('6', '2', '3/0', '350'),
    va: fc.double({ min: 0, max: 1500, noNaN: true }),
    powerFactor: fc.double({ min: 0.5, max: 1, noNaN: true }),
    model: fc.constantFrom('constantPower', 'constantCurrent', 'constantImpedance'),
  });

  it('on a radial single-phase line more load never raises the volts there', () => {
    let solved = 0;
    fc.assert(
      fc.property(
        fc.array(span, { minLength: 1, maxLength: 12 }),
        fc.nat(),
        fc.double({ min: 1, max: 3000, noNaN: true }),
        (spans, chosen, moreVa) => {
          const inventory = marinaOf(
            [
              service('120-single-phase'),
              ...spans.map(({ above, lengthM, size }, at) =>
                feeder(`f${at}`, at === 0 ? 'service' : `f${above % at}`, conductor(size, lengthM)),
              ),
            ],
            spans.map((_, at) => outlet(`o${at}`, `f${at}`, 'L5-30', ['L1'])),
          );
          const loads = spans.map(
            ({ va, powerFactor, model }, at): OutletLoad => ({
              outletId: `o${at}`,
              demand: { basis: 'stated', loadVa: { 'L1-N': va } },
              powerFactor,
              model,
            }),
          );
          const at = chosen % spans.length;
          const raised = loads.map((load, i): OutletLoad => {
            const va = (spans[i]?.va ?? 0) + (i === at ? moreVa : 0);
            return { ...load, demand: { basis: 'stated', loadVa: { 'L1-N': va } } };
          });
          const before = flowOf(inventory, loads);
          const after = flowOf(inventory, raised);
          if (after.status !== 'solved') return;
          expect(before.status).toBe('solved');
          solved++;
          expect(voltsAt(after, `o${at}`)).toBeLessThanOrEqual(voltsAt(before, `o${at}`) + 1e-9);
        },
      ),
      { numRuns: 150 },
    );
    expect(solved).toBeGreaterThan(50);
  });

  it('any marina with any data missing: figures only where every datum on the way is known, and never NaN', () => {
    let assessed = 0;
    fc.assert(
      fc.property(
        anyMarina({ everythingKnown: false }),
        fc.array(fc.boolean(), { minLength: 7, maxLength: 7 }),
        (index, known) => {
          const knows = (at: number): boolean => known[at % known.length] ?? false;
          const equipment = index.inventory.equipment.map((each, at): Equipment => {
            if (each.kind === 'feeder' && knows(at)) return { ...each, conductor: conductor('3/0', 40) };
            if (each.transformer === null || !knows(at)) return each;
            return { ...each, transformer: { ...each.transformer, percentR: 1.4, percentX: 2.8 } };
          });
          const filled = indexInventory({ ...index.inventory, equipment });
          const loads = filled.inventory.outlets.map(({ id }) => rated(id, 0.3));
          const flow = marinaFlow(filled, loads);
          expect(flow.status).toBe('solved');
          const odd = (_: string, value: unknown) =>
            typeof value === 'number' && !Number.isFinite(value) ? 'odd!' : value;
          expect(JSON.stringify(flow, odd)).not.toContain('odd!');
          const asked = new Set(flow.findings.map(({ missingFact }) => missingFact?.subject.id));
          for (const { outletId, assessment, volts } of flow.outlets) {
            const path = filled.pathOfOutlet.get(outletId) ?? [];
            const whole = path.every(
              ({ kind, conductor: wire, transformer }) =>
                (kind !== 'feeder' || wire !== null) &&
                (kind !== 'transformer' || (transformer?.ratedKva != null && transformer.percentR !== null)),
            );
            if (assessment === 'notAssessed') {
              expect(volts).toEqual([]);
              expect([outletId, ...path.map(({ id }) => id)].some((id) => asked.has(id))).toBe(true);
            } else {
              assessed++;
              expect(whole).toBe(true);
              expect(volts.length).toBeGreaterThan(0);
              expect(volts.every(({ voltageV }) => voltageV > 0)).toBe(true);
            }
          }
        },
      ),
      { numRuns: 300 },
    );
    expect(assessed).toBeGreaterThan(50);
  });

  it('a long dock loses volts from pedestal to pedestal, and the last outlet is the worst', () => {
    const loads = Array.from({ length: 40 }, (_, at) => rated(`b${at + 1}`, 0.3));
    const flow = flowOf(longDock(40, 9), loads);
    const along = Array.from({ length: 40 }, (_, at) => voltsAt(flow, `b${at + 1}`, 'L1-L2'));
    for (let at = 1; at < along.length; at++) expect(along[at]).toBeLessThan(along[at - 1] ?? 0);
    expect(flow.worst?.outletId).toMatch(/40$/);
  });
});

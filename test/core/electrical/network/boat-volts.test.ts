import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { OutletUse } from '../../../../core/berths/occupancy.ts';
import { usualAssumptions } from '../../../../core/electrical/network/assumptions.ts';
import { prepareVolts } from '../../../../core/electrical/network/boat-volts.ts';
import { marinaFlow } from '../../../../core/electrical/network/marina-flow.ts';
import { marinaNetwork } from '../../../../core/electrical/network/marina-network.ts';
import type { OutletLoad } from '../../../../core/electrical/network/outlet-loads.ts';
import { pairVoltsOf } from '../../../../core/electrical/network/place-volts.ts';
import { voltModel } from '../../../../core/electrical/network/volt-model.ts';
import { voltScreen } from '../../../../core/electrical/network/volt-screen.ts';
import { solvePowerFlow } from '../../../../core/electrical/power-flow/power-flow.ts';
import type { Equipment, Inventory, Outlet } from '../../../../core/inventory/inventory.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import { demandPractice } from '../../../../core/standards/demand-practices.ts';
import { conductor, feeder, legalIndex, longDock, marinaOf, outlet, part, service } from './marinas.ts';

const practice = demandPractice('nec-555-2020');
if (practice === null) throw new Error('the practice is gone');

const use = (outletId: string, statedVa: number | null = null): OutletUse => ({
  outletId,
  statedVa,
  from: 0,
  until: 1,
  by: { kind: 'assignment', id: outletId, label: outletId },
});

const sizes = ['6', '2', '3/0', '250', '500'] as const;
const supplies = [
  { systemId: '120/240-split-phase', connection: 'centreTapped', lines: ['L1', 'L2'] },
  { systemId: '208Y/120', connection: 'deltaWye', lines: null },
  { systemId: '208Y/120', connection: 'wyeWye', lines: null },
  { systemId: '240/120-high-leg-delta', connection: 'highLegBank', lines: null },
] as const;

const patterns: Readonly<Record<string, readonly [string, LineName[]][]>> = {
  '120/240-split-phase': [
    ['L5-30', ['L1']],
    ['L5-30', ['L2']],
    ['SS2-50', ['L1', 'L2']],
  ],
  '208Y/120': [
    ['L5-30', ['L3']],
    ['SS2-50', ['L1', 'L2']],
    ['SS2-50', ['L2', 'L3']],
    ['PS-100-120/208-4P5W', ['L1', 'L2', 'L3']],
  ],
  '240/120-high-leg-delta': [
    ['L5-30', ['L1']],
    ['SS2-50', ['L1', 'L3']],
  ],
};

/** Trees of transformers on a shared or a stiff primary, feeders one behind the other, outlets at their ends. */
const anyTree: fc.Arbitrary<Inventory> = fc
  .record({
    pier: fc.option(fc.record({ size: fc.constantFrom(...sizes), lengthM: fc.integer({ min: 5, max: 300 }) })),
    banks: fc.array(
      fc.record({
        supply: fc.constantFrom(...supplies),
        ratedKva: fc.constantFrom(50, 100, 167, 300),
        feeders: fc.array(
          fc.record({ size: fc.constantFrom(...sizes), lengthM: fc.integer({ min: 3, max: 120 }), behind: fc.nat(5) }),
          { minLength: 1, maxLength: 4 },
        ),
      }),
      { minLength: 1, maxLength: 3 },
    ),
    lightingVa: fc.constantFrom(0, 800),
  })
  .map(({ pier, banks, lightingVa }) => {
    const equipment: Equipment[] = [service('480Y/277')];
    const outlets: Outlet[] = [];
    const primary = pier === null ? 'service' : 'pier';
    if (pier !== null) equipment.push(feeder('pier', 'service', conductor(pier.size, pier.lengthM)));
    banks.forEach(({ supply: { systemId, connection, lines }, ratedKva, feeders }, b) => {
      const id = `t${b}`;
      equipment.push(
        part(id, 'transformer', primary, {
          systemId,
          lines,
          transformer: { ratedKva, connection, percentR: 1.3, percentX: 3 },
          earthing: 'groundedNeutral',
          otherLoads: lightingVa === 0 ? [] : [{ label: 'lights', loadVa: { L1: lightingVa } }],
        }),
      );
      feeders.forEach(({ size, lengthM, behind }, f) => {
        const parent = f === 0 || behind === 0 ? id : `f${b}-${(behind - 1) % f}`;
        equipment.push(feeder(`f${b}-${f}`, parent, conductor(size, lengthM)));
        for (const [at, [configurationId, on]] of (patterns[systemId] ?? []).entries()) {
          outlets.push(outlet(`o${b}-${f}-${at}`, `f${b}-${f}`, configurationId, on));
        }
      });
    });
    return marinaOf(equipment, outlets);
  });

const anyLoads = fc.array(fc.record({ at: fc.nat(60), share: fc.double({ min: 0.1, max: 12, noNaN: true }) }), {
  minLength: 1,
  maxLength: 12,
});

describe('bounds of volts without a solve', () => {
  it('hold the solved volts of any tree, and tell most that are well within range', () => {
    let bounded = 0;
    fc.assert(
      fc.property(
        anyTree,
        anyLoads,
        fc.nat(60),
        fc.constantFrom('constantCurrent' as const, 'constantPower' as const),
        (inventory, drawn, ownAt, model) => {
          const index = legalIndex(inventory);
          const { outlets } = inventory;
          const loadOn = (at: number, share: number) => {
            const on = outlets[at % outlets.length];
            if (on === undefined) throw new Error('no outlet');
            const load: OutletLoad = { outletId: on.id, demand: { basis: 'rated', share }, model };
            return { outlet: on, share, load };
          };
          const own = loadOn(ownAt, 1);
          const byOutlet = new Map(drawn.map(({ at, share }) => [at % outlets.length, loadOn(at, share)]));
          byOutlet.delete(ownAt % outlets.length);
          const others = [...byOutlet.values()];
          const screened = voltModel(index);
          const inAll = ({ outlet: on, share }: (typeof others)[number]) => ({
            outlet: on,
            totalVa: share * (screened.outletOf(on)?.ratedVa ?? Number.NaN),
          });
          const bounds = voltScreen(screened, others.map(inAll)).bounds([inAll(own)]);
          const built = marinaNetwork(
            index,
            [...others, own].map(({ load }) => load),
            usualAssumptions,
          );
          const solution = solvePowerFlow(built.network);
          // Another tree of the same marina may have no volts; the second property solves each alone.
          if (solution.status !== 'solved') return;
          const place = built.outlets.get(own.outlet.id);
          if (place === undefined) throw new Error('not joined');
          const exact = pairVoltsOf(place, solution);
          if (bounds === null) return;
          expect(bounds.map(({ between }) => between)).toEqual(exact.map(({ between }) => between));
          exact.forEach(({ voltageV, nominalV }, i) => {
            const { leastV = Number.NaN, mostV = Number.NaN } = bounds[i] ?? {};
            expect(leastV).toBeLessThanOrEqual(voltageV * (1 + 1e-9));
            expect(mostV).toBeGreaterThanOrEqual(voltageV * (1 - 1e-9));
            if (mostV - leastV < 0.02 * nominalV) bounded += 1;
          });
        },
      ),
      { numRuns: 250 },
    );
    expect(bounded).toBeGreaterThan(50);
  });
});

const anyUses = fc.array(fc.record({ at: fc.nat(60), statedVa: fc.constantFrom(null, 900, 4_000) }), { maxLength: 14 });

describe('volts that a boat finds', () => {
  it('are never called within range by the bound where the solve says otherwise', () => {
    let low = 0;
    let fine = 0;
    let told = 0;
    fc.assert(
      fc.property(
        anyTree,
        anyUses,
        fc.nat(60),
        fc.constantFrom('rated' as const, 'stated' as const),
        fc.constantFrom(null, 2_000),
        (drawn, uses, ownAt, refusingBasis, statedVa) => {
          const inventory = { ...drawn, settings: { ...drawn.settings, refusingBasis } };
          const index = legalIndex(inventory);
          const own = inventory.outlets[ownAt % inventory.outlets.length];
          if (own === undefined) throw new Error('no outlet');
          const used = uses
            .map((each) => use(inventory.outlets[each.at % inventory.outlets.length]?.id ?? '', each.statedVa))
            .filter(({ outletId }) => outletId !== own.id);
          const volts = prepareVolts(index, practice, used);
          const mayLeave = volts.mayLeaveRange([own], statedVa);
          const { status, lowest, findings } = volts.solve([own], statedVa);
          const isOut = status !== 'solved' || findings.some(({ level }) => level === 'caution');
          if (isOut) {
            low += 1;
            expect(mayLeave, `${own.id}: ${lowest?.voltageV} V`).toBe(true);
          } else {
            fine += 1;
            if (!mayLeave) told += 1;
          }
        },
      ),
      { numRuns: 400 },
    );
    expect(low).toBeGreaterThan(20);
    // A bound that tells nothing would be of no use.
    expect(told / fine).toBeGreaterThan(0.8);
  });

  it('are those of the whole marina solved with the same loads', () => {
    const index = legalIndex(longDock(12, 20));
    const used = ['a1', 'a4', 'b2', 'b5', 'a9'].map((id) => use(id));
    const own = index.outlets.get('a12');
    if (own === undefined) throw new Error('no outlet');
    const { lowest } = prepareVolts(index, practice, used).solve([own], null);
    // Five 30 and 50 A outlets: row 5 to 8 of the demand table, 90 %; four of them alone would be 100 %.
    const share = 0.9;
    const flow = marinaFlow(index, [
      ...used.map(({ outletId }): OutletLoad => ({ outletId, demand: { basis: 'rated', share } })),
      { outletId: 'a12', demand: { basis: 'rated' } },
    ]);
    const whole = flow.outlets.find(({ outletId }) => outletId === 'a12')?.volts[0];
    expect(lowest?.voltageV).toBeCloseTo(whole?.voltageV ?? Number.NaN, 7);
  });

  it('are not assessed where a length is missing: a note, and never within', () => {
    const index = legalIndex(
      marinaOf(
        [service('120/240-split-phase'), feeder('f', 'service', conductor('2', null))],
        [outlet('o', 'f', 'L5-30', ['L1'])],
      ),
    );
    const own = index.outlets.get('o');
    if (own === undefined) throw new Error('no outlet');
    const { status, lowest, findings } = prepareVolts(index, practice, []).solve([own], null);
    expect({ status, lowest }).toEqual({ status: 'notAssessed', lowest: null });
    expect(findings).toMatchObject([{ rule: 'power.notAssessed', level: 'note', subject: { id: 'o' } }]);
    expect(findings[0]?.message).toContain('How long');
  });

  it('caution with their limit and its source below the range, and note a drop beyond the advice', () => {
    // 30 A over 100 m of 6 AWG copper and back: 30 x 2 x 100 m x 1.476 ohm/km (Table 9, PVC, power factor 0.85) = 8.9 V,
    // and three more such boats on it: below 108 V.
    const index = legalIndex(
      marinaOf(
        [service('120/240-split-phase'), feeder('f', 'service', conductor('6', 100))],
        ['o', 'p', 'q', 'r'].map((id) => outlet(id, 'f', 'L5-30', ['L1'])),
      ),
    );
    const own = index.outlets.get('o');
    if (own === undefined) throw new Error('no outlet');
    const alone = prepareVolts(index, practice, []).solve([own], null);
    expect(alone.lowest?.voltageV).toBeCloseTo(120 - 8.9, 0);
    expect(alone.findings).toMatchObject([{ rule: 'power.drop', level: 'note', limit: 5, unit: '%' }]);
    const crowded = prepareVolts(
      index,
      practice,
      ['p', 'q', 'r'].map((id) => use(id)),
    );
    expect(crowded.mayLeaveRange([own], null)).toBe(true);
    const { findings } = crowded.solve([own], null);
    expect(findings[0]).toMatchObject({ rule: 'power.lowVolts', level: 'caution', limit: 108, unit: 'V' });
    expect(findings[0]?.source).toContain('ANSI C84.1');
  });
});

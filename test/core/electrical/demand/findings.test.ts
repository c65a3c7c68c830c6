import { describe, expect, it } from 'vitest';
import { prepareAdmission } from '../../../../core/electrical/demand/admission.ts';
import { demandAt } from '../../../../core/electrical/demand/demand-at.ts';
import type { DemandOfPart } from '../../../../core/electrical/demand/demand-of-part.ts';
import { designDemand } from '../../../../core/electrical/demand/design-demand.ts';
import { peakDemand } from '../../../../core/electrical/demand/peak-demand.ts';
import { receptacleRating } from '../../../../core/electrical/demand/receptacle.ts';
import { type InventoryIndex, indexInventory } from '../../../../core/inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../../../core/inventory/inventory.ts';
import { configuration } from '../../../../core/standards/configurations.ts';
import { demandPractice } from '../../../../core/standards/demand-practices.ts';
import { supplySystem } from '../../../../core/standards/supply-systems.ts';
import { sampleInventory, withPatched } from '../../../support/sample-inventory.ts';
import { everyRating, marinaOf, outletOn, part, use } from './random-marina.ts';

const nec = demandPractice('nec-555-2020') ?? everyRating;
const sample = indexInventory(sampleInventory());
const day = { from: 0, until: 10 };

function rules(of: { readonly findings: readonly { readonly rule: string; readonly level: string }[] }): string[] {
  return of.findings.map(({ rule, level }) => `${level} ${rule}`);
}

function designOf(index: InventoryIndex, id: string, options = {}): DemandOfPart {
  const [demand] = designDemand(index, nec, id, options);
  if (demand === undefined) throw new Error(`no ${id}`);
  return demand;
}

function ratedAt(index: InventoryIndex, id: string, outletIds: readonly string[]): DemandOfPart {
  const uses = outletIds.map((outletId) => use(outletId, 0, 10));
  const found = demandAt(index, everyRating, uses, 5).find(({ rated }) => rated.equipmentId === id);
  if (found === undefined) throw new Error(`no ${id}`);
  return found.rated;
}

/** One split-phase panel with the given outlets. */
function panel(given: Partial<Equipment>, outlets: readonly Outlet[], refusingBasis?: 'rated' | 'stated') {
  const equipment = [part('panel', 'service', null, { systemId: '120/240-split-phase', ...given })];
  return marinaOf(equipment, outlets, refusingBasis);
}

describe('limits, each apart', () => {
  const outlets = [outletOn('panel', 'a', 'L5-30', ['L1']), outletOn('panel', 'b', 'SS2-50', ['L1', 'L2'])];
  const limits = { breakerA: 100, conductorAmpacityA: 80, neutralAmpacityA: 60, busA: 200 };

  it('holds amperes by line against breaker, conductors and bus, and the unbalance against the neutral', () => {
    // L1: 30 + 50 A, L2: 50 A, line to neutral; the neutral's maximum unbalance is the most loaded line (NEC 220.61, from memory).
    const demand = ratedAt(panel(limits, outlets), 'panel', ['a', 'b']);
    expect(demand.lineA).toEqual({ L1: 80, L2: 50 });
    expect(demand.limits.map(({ kind, actual, limit, margin }) => [kind, actual, limit, margin])).toEqual([
      ['breaker', 80, 100, 20],
      ['conductor', 80, 80, 0],
      ['neutral', 80, 60, -20],
      ['bus', 80, 200, 120],
    ]);
    expect(demand.assessment).toBe('over');
    expect(rules(demand)).toEqual(['refuse demand.neutral']);
  });

  it('leaves line-to-line load out of the neutral', () => {
    const demand = ratedAt(panel(limits, [outletOn('panel', 'c', 'L6-30', ['L1', 'L2'])]), 'panel', ['c']);
    expect(demand.lineA).toEqual({ L1: 30, L2: 30 });
    expect(demand.limits.find(({ kind }) => kind === 'neutral')?.actual).toBe(0);
  });

  it('divides a centre-tapped rating over two halves', () => {
    const equipment = [
      part('service', 'service', null, { systemId: '480-delta' }),
      part('transformer', 'transformer', 'service', {
        systemId: '120/240-split-phase',
        lines: ['L2', 'L3'],
        transformer: { ratedKva: 15, connection: 'centreTapped', percentR: null, percentX: null },
      }),
    ];
    const lights = outletOn('transformer', 'a', 'L5-30', ['L1']);
    const index = marinaOf(equipment, [lights, outletOn('transformer', 'b', 'SS2-50', ['L1', 'L2'])]);
    const transformer = ratedAt(index, 'transformer', ['a', 'b']);
    // L1 80 A x 120 V on a half of 7.5 kVA (arithmetic).
    expect(
      transformer.limits.filter(({ kind }) => kind === 'winding').map((w) => [w.winding, w.actual, w.limit]),
    ).toEqual([
      ['L1-N', 9.6, 7.5],
      ['L2-N', 6, 7.5],
    ]);
    expect(rules(transformer)).toEqual(['refuse demand.winding']);
    // 15.6 kVA on one 480 V pair.
    const service = ratedAt(index, 'service', ['a', 'b']);
    expect(service.lineA.L1).toBe(0);
    expect(service.lineA.L2).toBeCloseTo(15600 / 480, 6);
    expect(service.lineA.L3).toBeCloseTo(15600 / 480, 6);
  });

  it('adds two lines 90 degrees apart in the neutral of a high-leg supply', () => {
    const equipment = [part('service', 'service', null, { systemId: '240/120-high-leg-delta', neutralAmpacityA: 40 })];
    const outlets = [outletOn('service', 'a', 'L5-30', ['L1']), outletOn('service', 'b', 'L5-30', ['L2'])];
    const demand = ratedAt(marinaOf(equipment, outlets), 'service', ['a', 'b']);
    // sqrt(30^2 + 30^2) A (Pythagoras).
    expect(demand.limits.find(({ kind }) => kind === 'neutral')?.actual).toBeCloseTo(Math.sqrt(1800), 9);
    expect(rules(demand)).toEqual(['refuse demand.neutral']);
  });
});

describe('what is unknown', () => {
  it('is never within: a part without limits', () => {
    const demand = ratedAt(sample, 'feeder-a2', ['a4b']);
    expect(demand.assessment).toBe('notAssessed');
    expect(demand.findings[0]).toMatchObject({ rule: 'demand.notAssessed', level: 'confirm' });
    expect(demand.findings[0]?.missingFact?.fact).toBe('breakerA');
  });

  it('counts an outlet with unknown lines on every line, once in the whole, and names it', () => {
    const demand = ratedAt(panel({ breakerA: 100 }, [outletOn('panel', 'a', 'L5-30', null)]), 'panel', ['a']);
    expect(demand.lineA).toEqual({ L1: 30, L2: 30 });
    expect(demand.demandVa).toBe(3600);
    expect(rules(demand)).toEqual(['confirm demand.unknownLines']);
    expect(demand.findings[0]?.subject.id).toBe('a');
  });

  it('knows the lines of a two-line outlet where there are only two', () => {
    const demand = ratedAt(panel({ breakerA: 100 }, [outletOn('panel', 'a', 'SS2-50', null)]), 'panel', ['a']);
    expect(demand.findings).toEqual([]);
  });

  it('counts an outlet only on the lines that its feeder carries', () => {
    const equipment = [
      part('service', 'service', null, { systemId: '208Y/120', breakerA: 100 }),
      part('feeder', 'feeder', 'service', { lines: ['L2', 'L3'], breakerA: 100 }),
    ];
    const demand = ratedAt(marinaOf(equipment, [outletOn('feeder', 'a', 'L5-30', null)]), 'service', ['a']);
    expect(demand.lineA.L1).toBe(0);
    expect(demand.lineA.L2).toBeCloseTo(30, 9);
    expect(demand.lineA.L3).toBeCloseTo(30, 9);
  });

  it('narrows the lines down every part of the way', () => {
    const equipment = [
      part('service', 'service', null, { systemId: '208Y/120', breakerA: 100 }),
      part('panel', 'panelboard', 'service', { lines: ['L1', 'L2'], breakerA: 100 }),
      part('feeder', 'feeder', 'panel', { lines: ['L2', 'L3'], breakerA: 100 }),
    ];
    const demand = ratedAt(marinaOf(equipment, [outletOn('feeder', 'a', 'L5-30', null)]), 'service', ['a']);
    expect(demand.lineA).toMatchObject({ L1: 0, L3: 0 });
    expect(demand.findings).toEqual([]);
  });

  it('does not assess a part whose supply is unknown, nor one that carries an unknown load', () => {
    const equipment = [
      part('service', 'service', null, { systemId: '480Y/277', breakerA: 100 }),
      part('transformer', 'transformer', 'service', { systemId: 'nobody-knows', breakerA: 100 }),
    ];
    const index = marinaOf(equipment, [outletOn('transformer', 'a', 'L5-30', ['L1'])]);
    const transformer = ratedAt(index, 'transformer', ['a']);
    expect(transformer.assessment).toBe('notAssessed');
    expect(transformer.lineA).toEqual({});
    expect(rules(transformer)).toContain('confirm demand.unknownSystem');
    const service = ratedAt(index, 'service', ['a']);
    expect(service.assessment).toBe('notAssessed');
    expect(rules(service)).toContain('confirm demand.unknownLoad');
    expect(designOf(index, 'service').assessment).toBe('notAssessed');
    const [peak] = peakDemand(index, nec, [use('a', 0, 10)], day, 'service');
    expect(peak?.rated.assessment).toBe('notAssessed');
  });

  it('puts a transformer with unknown primary lines on every pair', () => {
    const index = indexInventory(sampleInventory());
    const service = ratedAt(index, 'svc', ['a1a']);
    expect(rules(service)).toEqual(['confirm demand.unknownPrimary']);
    for (const line of ['L1', 'L2', 'L3'] as const) {
      expect(service.lineA[line]).toBeGreaterThanOrEqual(3600 / 480);
    }
    expect(rules(ratedAt(index, 'panel-a', ['a1a']))).toEqual([]);
  });

  it('has no rating where the supply cannot feed the pattern', () => {
    const fourPole = configuration('PS-100-120/208-4P5W');
    const splitPhase = supplySystem('120/240-split-phase');
    if (fourPole === null || splitPhase === null) throw new Error('missing standard data');
    expect(receptacleRating({ lines: null }, fourPole, splitPhase)).toBeNull();
  });
});

describe('design check', () => {
  const thirties = (count: number) =>
    Array.from({ length: count }, (_, i) => outletOn('panel', `o${i}`, 'L5-30', [i % 2 === 0 ? 'L1' : 'L2']));

  it('quotes the table as printed and warns on both sides of a step', () => {
    // Examples D11 and D12 of the reference data: 75.6 kVA and 66.96 kVA.
    const at30 = designOf(panel({ breakerA: 400 }, thirties(30)), 'panel');
    const at31 = designOf(panel({ breakerA: 400 }, thirties(31)), 'panel');
    expect([at30.demandVa, at31.demandVa]).toEqual([75600, 66960]);
    expect(at30.findings[0]).toMatchObject({ rule: 'demand.step', level: 'caution' });
    expect(at31.findings[0]).toMatchObject({ rule: 'demand.step', limit: 75600 });
    for (const { findings } of [at30, at31]) {
      expect(findings[0]?.message).toMatch(/75600 VA/);
      expect(findings[0]?.message).toMatch(/66960 VA/);
    }
    expect(rules(designOf(panel({ breakerA: 400 }, thirties(20)), 'panel'))).toEqual([]);
  });

  it('states the counting basis and lets it be chosen', () => {
    const index = panel({ breakerA: 400 }, thirties(20));
    expect(designOf(index, 'panel').appliedFactor).toMatchObject({ countingBasis: 'all', count: 20, factor: 0.7 });
    const byLine = designOf(index, 'panel', { countingBasis: 'mostLoadedLine' });
    expect(byLine.appliedFactor).toMatchObject({ countingBasis: 'mostLoadedLine', count: 10, factor: 0.8 });
    expect(byLine.lineA.L1).toBeCloseTo(10 * 30 * 0.8, 9);
  });

  it('counts only the larger of two voltages dedicated to one slip, here and not in use', () => {
    const pair = (slip: string): Outlet[] => [
      { ...outletOn('panel', `${slip}-30`, 'L5-30', ['L1']), dedicatedBerthId: slip },
      { ...outletOn('panel', `${slip}-50`, 'SS2-50', ['L1', 'L2']), dedicatedBerthId: slip },
    ];
    // Example D4: ten such slips are 10 receptacles of 12 kVA.
    const ten = Array.from({ length: 10 }, (_, i) => pair(`slip ${i}`)).flat();
    const index = panel({ breakerA: 600 }, ten);
    const demand = designOf(index, 'panel');
    expect([demand.receptacles, demand.connectedVa, demand.demandVa]).toEqual([10, 120000, 96000]);
    const inUse = demandAt(
      index,
      nec,
      ten.map(({ id }) => use(id, 0, 10)),
      5,
    )[0]?.rated;
    expect(inUse?.receptacles).toBe(20);
    // Two of one voltage are both counted.
    const alike = ten.map((outlet) => ({ ...outlet, configurationId: 'L5-30', lines: ['L1'] as const }));
    expect(designOf(panel({ breakerA: 600 }, alike), 'panel').receptacles).toBe(20);
  });

  it('applies the sub-meter factor only when asked and only where every receptacle has a meter', () => {
    const metered = thirties(10).map((outlet) => ({ ...outlet, subMetered: true }));
    const index = panel({ breakerA: 400 }, metered);
    expect(designOf(index, 'panel').demandVa).toBeCloseTo(28800, 9);
    expect(designOf(index, 'panel', { subMeterFactor: true }).demandVa).toBeCloseTo(25920, 9);
    const one = panel({ breakerA: 400 }, [...metered, outletOn('panel', 'bare', 'L5-30', ['L1'])]);
    const refused = designOf(one, 'panel', { subMeterFactor: true });
    expect(refused.demandVa).toBeCloseTo(11 * 3600 * 0.8, 9);
    expect(rules(refused)).toContain('caution demand.subMeters');
  });

  it('adds other loads at 100 % and leaves general-purpose outlets to a caution', () => {
    const lit = panel({ breakerA: 400, otherLoads: [{ label: 'office', loadVa: { L1: 2400 } }] }, [
      ...thirties(10),
      outletOn('panel', 'tools', '5-20', ['L1']),
    ]);
    const demand = designOf(lit, 'panel');
    expect(demand.otherLoadVa).toBe(2400);
    expect(demand.demandVa).toBe(10 * 3600 * 0.8 + 2400);
    expect(rules(demand)).toEqual(['caution demand.generalPurpose']);
  });

  it('names equipment that does not exist', () => {
    expect(() => designDemand(sample, nec, 'nowhere')).toThrow(/"nowhere"/);
  });
});

describe('admission', () => {
  const outlets = ['a', 'b', 'c', 'd'].map((id) => outletOn('panel', id, 'L5-30', ['L1']));

  it('refuses on the basis of the setting and cautions on the other', () => {
    const uses = ['a', 'b'].map((id) => use(id, 0, 10, 600));
    const judge = (basis: 'rated' | 'stated') =>
      prepareAdmission(panel({ breakerA: 80 }, outlets, basis), everyRating, uses, day).judge(['c'], 600);
    expect(rules(judge('rated'))).toEqual(['refuse demand.breaker']);
    expect(rules(judge('stated'))).toEqual(['caution demand.breaker']);
    expect(judge('rated').tightest).toMatchObject({ actual: 90, limit: 80, marginShare: -0.125, basis: 'rated' });
    expect(judge('stated').tightest).toMatchObject({ actual: 15, limit: 80, basis: 'stated' });
  });

  it('says so where the part is over already, and still refuses', () => {
    const uses = ['a', 'b'].map((id) => use(id, 0, 10));
    const { findings } = prepareAdmission(panel({ breakerA: 50 }, outlets), everyRating, uses, day).judge(['c'], null);
    expect(findings[0]).toMatchObject({ rule: 'demand.breaker', level: 'refuse', actual: 90, limit: 50 });
    expect(findings[0]?.message).toMatch(/already without this boat \(60 A\)/);
  });

  it('finds the peak when it occurs, leavers gone before comers', () => {
    const uses = [use('a', 0, 4), use('b', 4, 8), use('c', 6, 9)];
    const admission = prepareAdmission(panel({ breakerA: 100 }, outlets), everyRating, uses, day);
    expect(admission.judge(['d'], null).tightest).toMatchObject({ actual: 90, at: 6 });
  });

  it('says when a limit is passed and when that ends, by the clock given', () => {
    const said = (...uses: readonly ReturnType<typeof use>[]) =>
      prepareAdmission(panel({ breakerA: 80 }, outlets), everyRating, uses, day, (at) => `${at} h`)
        .judge(['d'], null)
        .findings[0]?.message.replace(/.*feeder\. /, '');
    // Three of 30 A pass 80 A, two do not.
    expect(said(use('a', 0, 10), use('b', 0, 10))).toBe('That holds all through the stay.');
    expect(said(use('a', 0, 10), use('b', 0, 4))).toBe('That passes at 4 h.');
    expect(said(use('a', 0, 10), use('b', 3, 10))).toBe('That begins at 3 h and holds to the end of the stay.');
    expect(said(use('a', 0, 10), use('b', 3, 5), use('c', 5, 7))).toBe('That begins at 3 h and passes at 7 h.');
    expect(said(use('a', 0, 10), use('b', 1, 2), use('b', 3, 5), use('c', 4, 7))).toBe(
      'That begins at 3 h and passes at 7 h.',
    );
  });

  it('confirms what has no limit and names the fact', () => {
    const { findings, tightest } = prepareAdmission(sample, nec, [], day).judge(['a4a'], null);
    expect(rules({ findings })).toEqual([
      'confirm demand.notAssessed',
      'confirm demand.unknownLines',
      'confirm demand.unknownPrimary',
    ]);
    expect(findings[0]).toMatchObject({ subject: { id: 'feeder-a2' }, missingFact: { fact: 'breakerA' } });
    expect(tightest).not.toBeNull();
    const bare = indexInventory(withPatched(sampleInventory(), 'outlets', 'a4a', { lines: ['L1'] }));
    expect(rules(prepareAdmission(bare, nec, [], day).judge(['a4a'], null))).not.toContain(
      'confirm demand.unknownLines',
    );
  });

  it('confirms an outlet whose load cannot be computed', () => {
    const index = panel({ breakerA: 100 }, [outletOn('panel', 'a', 'no such pattern', ['L1'])]);
    expect(rules(prepareAdmission(index, nec, [], day).judge(['a'], null))).toEqual(['confirm demand.unknownLoad']);
  });

  it('names an outlet that does not exist', () => {
    expect(() => prepareAdmission(sample, nec, [], day).judge(['nowhere'], null)).toThrow(/"nowhere"/);
  });
});

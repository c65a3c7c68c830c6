import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitWaste, judgeFit } from '../../../core/berths/fit.ts';
import { type LowTide, lowestTide } from '../../../core/berths/tide.ts';
import type { Boat } from '../../../core/boats.ts';
import { isOverridable, verdictOf } from '../../../core/findings.ts';
import type { Berth } from '../../../core/inventory/inventory.ts';
import berthing from '../../reference/berthing.json' with { type: 'json' };
import { assumed, berthOf, boatOf, firstMetres, told } from './builders.ts';

// Clearances, overhang and under-keel allowance have no published figure: a marina's own settings (common practice).
const settings = { overhangAllowedM: 0.5, beamClearanceM: 0.3, underKeelAllowanceM: 0.3 };
const tide: LowTide = { heightM: -0.2, unknownFrom: null, source: 'test' };
const spoken = (boat: Boat, berth: Berth, low: LowTide = tide) =>
  judgeFit(boat, berth, low, settings).map(({ rule, level }) => `${level} ${rule}`);

describe('fit', () => {
  it('says nothing of a boat that fits', () => {
    expect(spoken(boatOf(), berthOf())).toEqual([]);
  });

  it('cautions within the overhang and refuses beyond it', () => {
    expect(spoken(boatOf({ lengthOverallM: told(12.5) }), berthOf())).toEqual(['caution fit.length']);
    const [finding] = judgeFit(boatOf({ lengthOverallM: told(12.7) }), berthOf(), tide, settings);
    expect(finding).toMatchObject({ level: 'refuse', actual: 12.7, limit: 12.5, unit: 'm' });
    expect(finding?.message).toContain('It needs 12.20 m of berth');
    expect(firstMetres(finding?.mend)).toBe(0.2);
    // No berth grows by metres: far too long is mended by nothing here.
    const [far] = judgeFit(boatOf({ lengthOverallM: told(14.2) }), berthOf(), tide, settings);
    expect(far).toMatchObject({ level: 'refuse', rule: 'fit.length' });
    expect(far?.mend).toBeUndefined();
  });

  it('allows no overhang on a face and measures its metre range', () => {
    const face = berthOf({ faceFromM: 10, faceUntilM: 22, lengthM: null, mooring: 'alongside' });
    expect(spoken(boatOf(), face)).toEqual([]);
    expect(spoken(boatOf({ lengthOverallM: told(12.1) }), face)).toEqual(['refuse fit.length']);
  });

  it('takes the clearance on both sides, and sums of decimals do not refuse an exact fit', () => {
    expect(spoken(boatOf({ beamM: told(3.9) }), berthOf({ beamM: 4.5 }))).toEqual([]);
    expect(spoken(boatOf({ beamM: told(3.95) }), berthOf({ beamM: 4.5 }))).toEqual(['refuse fit.beam']);
  });

  it('judges a multihull in a shared slip by the berth that several units make together', () => {
    const catamaran = boatOf({ beamM: told(7), hull: told<'monohull' | 'multihull'>('multihull') });
    expect(spoken(catamaran, berthOf({ beamM: 5 }))).toEqual(['refuse fit.beam']);
    expect(spoken(catamaran, berthOf({ unitIds: ['u1', 'u2'], beamM: 10 }))).toEqual([]);
    // The units' own widths say nothing of the berth: a piling may stand between them.
    expect(spoken(catamaran, berthOf({ unitIds: ['u1', 'u2'], beamM: null }))).toEqual(['confirm fit.beam']);
  });

  it('cautions of a multihull, or an unknown hull, on a raft place', () => {
    const raft = berthOf({ mooring: 'rafted' });
    expect(spoken(boatOf(), raft)).toEqual([]);
    expect(spoken(boatOf({ hull: told<'monohull' | 'multihull'>('multihull') }), raft)).toEqual([
      'caution fit.mooring',
    ]);
    expect(spoken(boatOf({ hull: null }), raft)).toEqual(['caution fit.mooring']);
  });

  it('tells a berth too shallow at datum from one that only the tide makes too shallow', () => {
    expect(spoken(boatOf({ draftM: told(2.3) }), berthOf())).toEqual(['refuse fit.depth']);
    expect(spoken(boatOf({ draftM: told(2.1) }), berthOf())).toEqual(['refuse fit.tide']);
  });

  it('asks for the tide where it is not on record, and refuses already on the part that is', () => {
    const unknown: LowTide = { heightM: null, unknownFrom: '2031-07-01', source: 'test' };
    const partly: LowTide = { heightM: -0.5, unknownFrom: '2031-07-03', source: 'test' };
    expect(spoken(boatOf(), berthOf(), unknown)).toEqual(['confirm fit.tide']);
    expect(spoken(boatOf({ draftM: told(1.7) }), berthOf(), partly)).toEqual(['confirm fit.tide']);
    expect(spoken(boatOf({ draftM: told(1.8) }), berthOf(), partly)).toEqual(['refuse fit.tide']);
  });

  it('names the missing fact and its question; an assumed value decides nothing', () => {
    const boat = boatOf({ lengthOverallM: null, beamM: assumed(3), draftM: null });
    const findings = judgeFit(boat, berthOf({ depthM: null }), tide, settings);
    expect(findings.map(({ missingFact }) => `${missingFact?.subject.kind} ${missingFact?.fact}`)).toEqual([
      'boat lengthOverallM',
      'boat beamM',
      'boat draftM',
      'berth depthM',
    ]);
    for (const { missingFact } of findings) expect(missingFact?.question).toMatch(/\?/);
  });

  it.each(berthing.waterUnderKeel)('water under the keel: $source', ({ depthM, tideM, draftM, clearM }) => {
    const low: LowTide = { heightM: tideM, unknownFrom: null, source: 'example' };
    const judge = (underKeelAllowanceM: number) =>
      verdictOf(
        judgeFit(boatOf({ draftM: told(draftM) }), berthOf({ depthM }), low, { ...settings, underKeelAllowanceM }),
      );
    expect(judge(clearM)).toBe('clear');
    expect(judge(clearM + 0.001)).toBe('refused');
  });

  it('weighs waste with assumed figures too, and no length on a face', () => {
    expect(fitWaste(boatOf({ beamM: assumed(4) }), berthOf({ lengthM: 14 }))).toEqual({ lengthLeftM: 2, beamLeftM: 1 });
    expect(fitWaste(boatOf({ beamM: null }), berthOf({ faceFromM: 0, faceUntilM: 60 }))).toEqual({
      lengthLeftM: 0,
      beamLeftM: null,
    });
  });
});

describe('lowest tide of a stay', () => {
  const predictedLowTides = [
    { from: '2031-07-03', until: '2031-07-05', heightM: -0.4 },
    { from: '2031-07-01', until: '2031-07-03', heightM: 0.1 },
  ];

  it('takes the lowest of the days touched only', () => {
    const at = (from: string, until: string) =>
      lowestTide({ from, until }, { predictedLowTides, lowestTideM: null }).heightM;
    expect(at('2031-07-01', '2031-07-03')).toBe(0.1);
    expect(at('2031-07-02', '2031-07-04')).toBe(-0.4);
  });

  it('counts a day without prediction with the lowest tide, and calls it unknown without one', () => {
    const days = { from: '2031-07-04', until: '2031-07-06' };
    expect(lowestTide(days, { predictedLowTides, lowestTideM: -0.6 })).toMatchObject({
      heightM: -0.6,
      unknownFrom: null,
    });
    expect(lowestTide(days, { predictedLowTides, lowestTideM: null })).toMatchObject({
      heightM: -0.4,
      unknownFrom: '2031-07-05',
    });
    expect(lowestTide(days, { predictedLowTides: [], lowestTideM: null })).toMatchObject({
      heightM: null,
      unknownFrom: '2031-07-04',
    });
    const apart = predictedLowTides.map((entry) => (entry.heightM < 0 ? { ...entry, from: '2031-07-04' } : entry));
    expect(
      lowestTide({ from: '2031-07-02', until: '2031-07-05' }, { predictedLowTides: apart, lowestTideM: null })
        .unknownFrom,
    ).toBe('2031-07-03');
  });
});

describe('properties of fit', () => {
  const cm = (min: number, max: number) => fc.integer({ min: min * 100, max: max * 100 }).map((value) => value / 100);
  const maybe = (arbitrary: fc.Arbitrary<number>) => fc.option(arbitrary, { freq: 5 });
  const boats = fc
    .record({
      length: maybe(cm(5, 30)),
      beam: maybe(cm(2, 9)),
      draft: maybe(cm(0, 4)),
      multihull: fc.option(fc.boolean()),
    })
    .map(({ length, beam, draft, multihull }) =>
      boatOf({
        lengthOverallM: told(length),
        beamM: told(beam),
        draftM: told(draft),
        hull: told(multihull === null ? null : multihull ? ('multihull' as const) : ('monohull' as const)),
      }),
    );
  const berths = fc
    .record({
      lengthM: maybe(cm(6, 30)),
      beamM: maybe(cm(3, 10)),
      depthM: maybe(cm(1, 6)),
      mooring: fc.constantFrom('fingerPier' as const, 'rafted' as const),
    })
    .map(berthOf);
  const tides = fc.oneof(
    cm(-1, 2).map((heightM): LowTide => ({ heightM, unknownFrom: null, source: 'test' })),
    maybe(cm(-1, 2)).map((heightM): LowTide => ({ heightM, unknownFrom: '2031-07-01', source: 'test' })),
  );
  const rank = { refused: 3, unconfirmed: 2, cautioned: 1, clear: 0 };
  const grave = (boat: Boat, berth: Berth, low: LowTide) => rank[verdictOf(judgeFit(boat, berth, low, settings))];
  const unsure = (level: number) => level >= rank.unconfirmed;

  it('a wider, longer, deeper berth never turns fit into no fit', () => {
    fc.assert(
      fc.property(boats, berths, tides, cm(0, 5), (boat, berth, low, more) => {
        for (const key of ['lengthM', 'beamM', 'depthM'] as const) {
          const size = berth[key];
          if (size === null) continue;
          expect(grave(boat, { ...berth, [key]: size + more }, low)).toBeLessThanOrEqual(grave(boat, berth, low));
        }
      }),
    );
  });

  it('every refusal names a rule, may be overridden, and a mend says by how much, while the hull itself has room', () => {
    fc.assert(
      fc.property(boats, berths, tides, (boat, berth, low) => {
        for (const refusal of judgeFit(boat, berth, low, settings).filter(({ level }) => level === 'refuse')) {
          expect(isOverridable(refusal)).toBe(true);
          const key = refusal.rule === 'fit.length' ? 'lengthM' : refusal.rule === 'fit.beam' ? 'beamM' : 'depthM';
          const room = key === 'depthM' ? (berth.depthM ?? 0) + (low.heightM ?? 0) : berth[key];
          const taken = { lengthM: boat.lengthOverallM, beamM: boat.beamM, depthM: boat.draftM }[key]?.value ?? 0;
          if (refusal.mend === undefined) {
            if (key !== 'lengthM') expect(taken).toBeGreaterThan(room ?? 0);
            continue;
          }
          if (key !== 'lengthM') expect(taken).toBeLessThanOrEqual((room ?? 0) + 1e-6);
          const wider = (berth[key] ?? 0) + firstMetres(refusal.mend);
          const mended = judgeFit(boat, { ...berth, [key]: wider }, low, settings);
          const lifted = mended.filter(({ level, rule }) => level === 'refuse' && rule === refusal.rule);
          expect(lifted).toEqual([]);
        }
      }),
    );
  });

  it('a missing fact never makes a refused or unconfirmed fit certain, nor a caution clear', () => {
    fc.assert(
      fc.property(boats, berths, tides, (boat, berth, low) => {
        const before = grave(boat, berth, low);
        const after = [
          ...(['lengthOverallM', 'beamM', 'draftM', 'hull'] as const).map((key) =>
            grave({ ...boat, [key]: null }, berth, low),
          ),
          ...(['lengthM', 'beamM', 'depthM'] as const).map((key) => grave(boat, { ...berth, [key]: null }, low)),
          grave(boat, berth, { ...low, heightM: null, unknownFrom: '2031-07-01' }),
        ];
        for (const level of after) {
          if (unsure(before)) expect(unsure(level)).toBe(true);
          else expect(level).toBeGreaterThanOrEqual(before);
        }
      }),
    );
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { OutletUse } from '../../../../core/berths/occupancy.ts';
import { prepareAdmission } from '../../../../core/electrical/demand/admission.ts';
import { type DemandOnBothBases, demandAt } from '../../../../core/electrical/demand/demand-at.ts';
import type { DemandOfPart, LimitCheck } from '../../../../core/electrical/demand/demand-of-part.ts';
import { peakDemand } from '../../../../core/electrical/demand/peak-demand.ts';
import type { InventoryIndex } from '../../../../core/inventory/index-inventory.ts';
import type { Outlet } from '../../../../core/inventory/inventory.ts';
import { configuration } from '../../../../core/standards/configurations.ts';
import type { DemandPractice } from '../../../../core/standards/demand-practice.ts';
import { anyMarina, anyPractice, anyUses, marinaOf } from './random-marina.ts';

const marinaWithUses = anyMarina({ everythingKnown: false }).chain((index) =>
  fc.record({ index: fc.constant(index), uses: anyUses(index) }),
);
const period = { from: 5, until: 20 };
const bases = ['rated', 'stated'] as const;

/** Every instant at which load can grow, each asked from the plain computation. */
function snapshots(
  index: InventoryIndex,
  practice: DemandPractice,
  uses: readonly OutletUse[],
  within: { readonly from: number; readonly until: number },
): { readonly at: number; readonly parts: DemandOnBothBases[] }[] {
  const starts = uses.map(({ from }) => from).filter((at) => at > within.from && at < within.until);
  return [within.from, ...starts].map((at) => ({ at, parts: demandAt(index, practice, uses, at) }));
}

function partAt(parts: readonly DemandOnBothBases[], id: string): DemandOnBothBases {
  const found = parts.find(({ rated }) => rated.equipmentId === id);
  if (found === undefined) throw new Error(`no part ${id}`);
  return found;
}

function limitOf(demand: Pick<DemandOfPart, 'limits'>, like: Pick<LimitCheck, 'kind' | 'winding'>): LimitCheck {
  const found = demand.limits.find(({ kind, winding }) => kind === like.kind && winding === like.winding);
  if (found === undefined) throw new Error(`no limit ${like.kind}`);
  return found;
}

/** Everything that is measured on a part, for comparison: whole VA, amperes by line, every limit. */
function measuresOf(demand: DemandOfPart): number[] {
  return [demand.demandVa, ...Object.values(demand.lineA), ...demand.limits.map(({ actual }) => actual)];
}

function expectNoneLower(after: readonly DemandOnBothBases[], before: readonly DemandOnBothBases[]) {
  for (const [i, one] of before.entries()) {
    for (const basis of bases) {
      const later = after[i];
      if (later === undefined) throw new Error('parts differ');
      for (const [m, value] of measuresOf(one[basis]).entries()) {
        expect(measuresOf(later[basis])[m]).toBeGreaterThanOrEqual(value - 1e-6);
      }
    }
  }
}

describe('demand at an instant', () => {
  it('never falls anywhere when one more outlet is used', () => {
    fc.assert(
      fc.property(marinaWithUses, anyPractice, fc.nat(), ({ index, uses }, practice, pick) => {
        const { outlets } = index.inventory;
        const outlet = outlets[pick % outlets.length];
        if (outlet === undefined) throw new Error('no outlets');
        const added: OutletUse = {
          outletId: outlet.id,
          from: 0,
          until: 40,
          statedVa: null,
          by: { kind: 'assignment', id: 'one more', label: 'one more' },
        };
        expectNoneLower(demandAt(index, practice, [...uses, added], 10), demandAt(index, practice, uses, 10));
      }),
    );
  });

  it('does not depend on the order of uses', () => {
    fc.assert(
      fc.property(marinaWithUses, anyPractice, ({ index, uses }, practice) => {
        const there = demandAt(index, practice, uses, 10);
        const back = demandAt(index, practice, [...uses].reverse(), 10);
        expectNoneLower(there, back);
        expectNoneLower(back, there);
      }),
    );
  });

  it('never falls on any line when an outlet loses its known lines', () => {
    fc.assert(
      fc.property(marinaWithUses, anyPractice, fc.nat(), ({ index, uses }, practice, pick) => {
        const { outlets, equipment } = index.inventory;
        const forgotten: Outlet[] = outlets.map((outlet, i) =>
          i === pick % outlets.length ? { ...outlet, lines: null } : outlet,
        );
        const unknown = marinaOf(equipment, forgotten);
        expectNoneLower(demandAt(unknown, practice, uses, 10), demandAt(index, practice, uses, 10));
      }),
    );
  });

  it('is nothing but other loads while outlets are out of service', () => {
    fc.assert(
      fc.property(marinaWithUses, anyPractice, ({ index, uses }, practice) => {
        const closed = uses.map((use): OutletUse => ({ ...use, by: { ...use.by, kind: 'outOfService' } }));
        for (const { rated, stated } of demandAt(index, practice, closed, 10)) {
          expect(rated.demandVa).toBe(rated.otherLoadVa);
          expect(stated.demandVa).toBe(rated.otherLoadVa);
        }
      }),
    );
  });
});

describe('peak demand over a period', () => {
  it('is the largest of the instants, each value at a time that has it', () => {
    fc.assert(
      fc.property(marinaWithUses, anyPractice, ({ index, uses }, practice) => {
        const instants = snapshots(index, practice, uses, period);
        for (const peak of peakDemand(index, practice, uses, period)) {
          for (const basis of bases) {
            const { equipmentId, limits, demandVa, lineA } = peak[basis];
            const at = (time: number) => partAt(demandAt(index, practice, uses, time), equipmentId)[basis];
            const all = instants.map(({ parts }) => partAt(parts, equipmentId)[basis]);
            for (const limit of limits) {
              expect(limit.actual).toBeCloseTo(Math.max(...all.map((one) => limitOf(one, limit).actual)), 6);
              expect(limit.actual).toBeCloseTo(limitOf(at(limit.at), limit).actual, 6);
            }
            expect(demandVa.value).toBeCloseTo(Math.max(...all.map((one) => one.demandVa)), 6);
            expect(at(demandVa.at).demandVa).toBeCloseTo(demandVa.value, 6);
            for (const line of ['L1', 'L2', 'L3'] as const) {
              const value = lineA[line];
              if (value === undefined) continue;
              expect(value.value).toBeCloseTo(Math.max(...all.map((one) => one.lineA[line] ?? 0)), 6);
              expect(at(value.at).lineA[line]).toBeCloseTo(value.value, 6);
            }
          }
        }
      }),
    );
  });

  it('is the larger of the peaks of two parts of the period', () => {
    fc.assert(
      fc.property(marinaWithUses, anyPractice, fc.integer({ min: 6, max: 19 }), ({ index, uses }, practice, middle) => {
        const whole = peakDemand(index, practice, uses, period);
        const first = peakDemand(index, practice, uses, { from: period.from, until: middle });
        const second = peakDemand(index, practice, uses, { from: middle, until: period.until });
        for (const [i, peak] of whole.entries()) {
          for (const basis of bases) {
            const halves = [first[i]?.[basis].demandVa.value ?? 0, second[i]?.[basis].demandVa.value ?? 0];
            expect(peak[basis].demandVa.value).toBeCloseTo(Math.max(...halves), 6);
          }
        }
      }),
    );
  });
});

describe('admission of one more boat', () => {
  const anyBoat = fc.record({
    picks: fc.uniqueArray(fc.nat(17), { minLength: 1, maxLength: 3 }),
    statedVa: fc.option(fc.nat(20000), { nil: null }),
  });

  it('agrees with the plain computation at every instant, path by path', () => {
    fc.assert(
      fc.property(
        marinaWithUses,
        anyPractice,
        fc.array(anyBoat, { minLength: 1, maxLength: 4 }),
        fc.constantFrom(...bases),
        ({ index: drawn, uses }, practice, boats, refusingBasis) => {
          const index = marinaOf(drawn.inventory.equipment, drawn.inventory.outlets, refusingBasis);
          const admission = prepareAdmission(index, practice, uses, period);
          for (const { picks, statedVa } of boats) {
            const { outlets } = index.inventory;
            const ids = [...new Set(picks.map((pick) => outlets[pick % outlets.length]?.id ?? ''))];
            const instants = snapshots(index, practice, [...uses, ...usesOfBoat(index, ids, statedVa)], period);
            const path = new Set(ids.flatMap((id) => (index.pathOfOutlet.get(id) ?? []).map((part) => part.id)));
            const { findings, tightest } = admission.judge(ids, statedVa);

            const refused = new Set<string>();
            let smallest: number | null = null;
            for (const { parts } of instants) {
              for (const { rated, stated } of parts) {
                if (!path.has(rated.equipmentId)) continue;
                const refusing = refusingBasis === 'rated' ? rated : stated;
                for (const { kind, winding, actual, limit } of refusing.limits) {
                  if (limit === null) continue;
                  if (actual > limit * (1 + 1e-9)) refused.add(`${rated.equipmentId} ${kind} ${winding}`);
                  const share = (limit - actual) / limit;
                  smallest = smallest === null ? share : Math.min(smallest, share);
                }
              }
            }
            const said = findings.filter(({ level }) => level === 'refuse');
            expect(said).toHaveLength(refused.size);
            for (const { rule, subject } of said) {
              const kind = rule.replace('demand.', '');
              expect([...refused].some((one) => one.startsWith(`${subject.id} ${kind}`))).toBe(true);
            }
            if (smallest === null) expect(tightest).toBeNull();
            else expect(tightest?.marginShare).toBeCloseTo(smallest, 9);
          }
        },
      ),
    );
  });

  function usesOfBoat(index: InventoryIndex, ids: readonly string[], statedVa: number | null): OutletUse[] {
    const ratings = ids.map((id) => leastVa(index, id));
    const sum = ratings.reduce((total, va) => total + va, 0);
    return ids.map((outletId, i) => ({
      outletId,
      ...period,
      statedVa: statedVa === null ? null : (statedVa * (ratings[i] ?? 0)) / sum,
      by: { kind: 'assignment', id: 'boat', label: 'boat' },
    }));
  }

  /** Rated amperes x the lowest nominal volts it could be on, written apart from the code under test. */
  function leastVa(index: InventoryIndex, id: string): number {
    const [feeder] = index.pathOfOutlet.get(id) ?? [];
    const system = index.systemOfEquipment.get(feeder?.id ?? '')?.id;
    const pattern = configuration(index.outlets.get(id)?.configurationId ?? '');
    if (pattern === null) throw new Error(`no pattern for ${id}`);
    const lines = pattern.terminals.filter((terminal) => terminal.startsWith('L')).length;
    const lineToLineV = system === '208Y/120' ? 208 : system?.startsWith('480') ? 480 : 240;
    const onHighLeg = system === '240/120-high-leg-delta' && index.outlets.get(id)?.lines?.[0] === 'L2';
    if (lines === 1) return pattern.ratedA * (onHighLeg ? 208 : 120);
    return pattern.ratedA * lineToLineV * (lines === 3 ? Math.sqrt(3) : 1);
  }
});

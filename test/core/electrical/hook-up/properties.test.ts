import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findHookUps } from '../../../../core/electrical/hook-up/find-hook-ups.ts';
import type { HookUp, HookUpBoat, HookUpContext } from '../../../../core/electrical/hook-up/hook-up.ts';
import { judgedHookUp } from '../../../../core/electrical/hook-up/judge.ts';
import { hookUpClassKey } from '../../../../core/electrical/hook-up/like-outlets.ts';
import type { SupplyOutlet } from '../../../../core/electrical/hook-up/supply-outlet.ts';
import { verdictOf } from '../../../../core/findings.ts';
import { adapterKinds } from '../../../../core/standards/adapter-kinds.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import { knownBoat, knownOutlet } from './generators.ts';
import { boat, contextOf, fact, request, unknownDevice } from './support.ts';

const kindIds = adapterKinds.map((kind) => kind.id);
/** Enough pieces that most random boats and outlets find some way. */
const bridging = kindIds.filter((id) => /L5-30|SS1-50-to|L14-30/.test(id));
const someKinds = fc.array(fc.constantFrom(...kindIds), { maxLength: 4 });
const outlets = (count: number) => fc.tuple(...Array.from({ length: count }, (_, i) => knownOutlet(`o${i}`)));
const gravity = { clear: 0, cautioned: 1, unconfirmed: 2, refused: 3 } as const;

interface Case {
  readonly boat: HookUpBoat;
  readonly outlets: readonly SupplyOutlet[];
  readonly hookUp: HookUp;
}

/** A random hook-up that mates: adapters are drawn until the search finds some way. */
const cases: fc.Arbitrary<Case> = fc
  .record({ boat: knownBoat(2), outlets: outlets(3), kinds: someKinds, pick: fc.nat(5), generous: fc.boolean() })
  .map(({ boat, outlets: list, kinds, pick, generous }) => {
    const found = findHookUps(request(boat, list, generous ? [...kinds, ...bridging] : kinds, { most: 6 })).hookUps;
    return {
      boat,
      outlets: list,
      hookUp: found[pick % Math.max(1, found.length)]?.hookUp ?? { adapters: [], joints: [] },
    };
  });

function verdict(given: Case, settings: Partial<HookUpContext> = {}) {
  return judgedHookUp(given.hookUp, { ...contextOf(request(given.boat, given.outlets)), ...settings });
}

/** Its supplies aboard, of which nobody knows what parts them from shore power. */
function unknownTransfer({ ownSupplies }: HookUpBoat) {
  return ownSupplies == null ? null : fact(ownSupplies.value.map(({ kind }) => ({ kind, transfer: null })));
}

/** Every way to forget one fact of the boat or of an outlet. */
function forgotten({ boat, outlets: list, hookUp }: Case): Case[] {
  const ofOutlets = list.flatMap((outlet, i) =>
    (
      [
        { lines: null },
        { system: null },
        { breakerA: null },
        { supplyId: null },
        { earthing: null },
        { groundFault: unknownDevice },
        { groundFault: { ...outlet.groundFault, settingMa: null } },
        { devicesAbove: outlet.devicesAbove.map((each) => ({ ...each, device: 'unknown' as const })) },
      ] satisfies Partial<SupplyOutlet>[]
    ).map((patch) => ({ boat, hookUp, outlets: list.map((each, j) => (i === j ? { ...each, ...patch } : each)) })),
  );
  const ofInlets = boat.inlets.flatMap((_, i) =>
    [
      { mainBreakerA: null },
      { needsLineToLine: null },
      { duty: null },
      { configurationIds: null },
      { accepts: null },
    ].map((patch) => {
      const inlets = boat.inlets.map((each, j) => (i === j ? { ...each, ...patch } : each));
      return { hookUp, outlets: list, boat: { ...boat, inlets } };
    }),
  );
  const ofBoat = [
    { frequenciesHz: null },
    { cordSets: null },
    { adapterKindIds: null },
    { neutralBond: null },
    { ownSupplies: null },
    { ownSupplies: unknownTransfer(boat) },
    { wantsPower: null },
  ].map((patch) => {
    return { hookUp, outlets: list, boat: { ...boat, ...patch } };
  });
  return [...ofOutlets, ...ofInlets, ...ofBoat];
}

describe('hook-ups', () => {
  it('a missing fact never makes a verdict safe: what was refused or unconfirmed stays at least unconfirmed', () => {
    fc.assert(
      fc.property(cases, (given) => {
        const known = gravity[verdict(given).verdict];
        for (const without of forgotten(given)) {
          const judged = verdict(without);
          // A refusal that hung on the forgotten fact becomes a question; nothing else may get better.
          expect(gravity[judged.verdict], JSON.stringify(judged.findings)).toBeGreaterThanOrEqual(Math.min(known, 2));
        }
      }),
      { numRuns: 300 },
    );
  });

  it('a transformer that nobody told takes nothing with it but the drop of its own windings', () => {
    fc.assert(
      fc.property(cases, (given) => {
        const besidesDrop = verdictOf(verdict(given).findings.filter(({ rule }) => rule !== 'hookup.voltageDrop'));
        const inlets = given.boat.inlets.map((each) => ({ ...each, transformer: null }));
        const without = verdict({ ...given, boat: { ...given.boat, inlets } });
        expect(gravity[without.verdict], JSON.stringify(without.findings)).toBeGreaterThanOrEqual(
          Math.min(gravity[besidesDrop], 2),
        );
      }),
      { numRuns: 500 },
    );
  });

  it('every refusal says what would lift it, every question which fact decides', () => {
    fc.assert(
      fc.property(cases, (given) => {
        for (const finding of verdict(given).findings) {
          if (finding.level === 'refuse') expect(finding.mend, finding.rule).toBeTruthy();
          if (finding.level === 'confirm') expect(finding.missingFact?.question, finding.rule).toBeTruthy();
          expect(finding.source).not.toBe('');
        }
      }),
      { numRuns: 200 },
    );
  });

  it('renaming L1 and L2 everywhere changes names only', () => {
    const other: Record<LineName, LineName> = { L1: 'L2', L2: 'L1', L3: 'L3' };
    fc.assert(
      fc.property(cases, (given) => {
        const renamed = given.outlets.map((outlet) => ({
          ...outlet,
          lines: outlet.lines?.map((line) => other[line]) ?? null,
          system:
            outlet.system === null
              ? null
              : { ...outlet.system, lines: outlet.system.lines.map((line) => ({ ...line, name: other[line.name] })) },
        }));
        const before = verdict(given);
        const after = verdict({ ...given, outlets: renamed });
        const spoken = (judged: typeof before) => judged.findings.map(({ rule, level, limit }) => [rule, level, limit]);
        expect(spoken(after)).toEqual(spoken(before));
        expect(after.availableVa).toBe(before.availableVa);
      }),
      { numRuns: 200 },
    );
  });

  it('another outlet never makes the best verdict worse', () => {
    fc.assert(
      fc.property(knownBoat(2), outlets(3), knownOutlet('more'), someKinds, (boat, list, more, kinds) => {
        const best = (some: readonly SupplyOutlet[]) => {
          const found = findHookUps(request(boat, some, kinds)).hookUps[0];
          return found === undefined ? 4 : gravity[found.verdict];
        };
        expect(best([...list, more])).toBeLessThanOrEqual(best(list));
      }),
      { numRuns: 300 },
    );
  });

  it('refusing cords below the breaker never makes a verdict better', () => {
    fc.assert(
      fc.property(cases, (given) => {
        const strict = verdict(given, { refuseCordBelowBreaker: true });
        expect(gravity[strict.verdict]).toBeGreaterThanOrEqual(gravity[verdict(given).verdict]);
      }),
      { numRuns: 200 },
    );
  });

  it('outlets of one class have the same hook-ups, whatever their names', () => {
    fc.assert(
      fc.property(knownBoat(2), outlets(3), someKinds, (boat, list, kinds) => {
        const alike = list.map((outlet) => ({
          ...outlet,
          id: `x-${outlet.id}`,
          label: `X ${outlet.label}`,
          supplyId: `x-${outlet.supplyId}`,
          devicesAbove: outlet.devicesAbove.map((each) => ({ ...each, equipmentId: `x-${each.equipmentId}` })),
        }));
        expect(hookUpClassKey(alike)).toBe(hookUpClassKey(list));
        const spoken = (some: readonly SupplyOutlet[]) =>
          findHookUps(request(boat, some, kinds)).hookUps.map((each) => [
            each.findings.map(({ rule, level, actual }) => [rule, level, typeof actual === 'number' ? actual : null]),
            each.availableVa,
            each.outletIds.map((id) => id.replace('x-', '')),
          ]);
        expect(spoken(alike)).toEqual(spoken(list));
      }),
      { numRuns: 150 },
    );
  });

  it('a change of any fact that the judgement reads changes the class', () => {
    fc.assert(
      fc.property(outlets(2), ([a, b]) => {
        if (a === undefined || b === undefined) return;
        const key = hookUpClassKey([a, b]);
        for (const without of forgotten({
          boat: boat([]),
          outlets: [a, b],
          hookUp: { adapters: [], joints: [] },
        }))
          if (JSON.stringify(without.outlets) !== JSON.stringify([a, b]))
            expect(hookUpClassKey(without.outlets)).not.toBe(key);
      }),
      { numRuns: 100 },
    );
  });
});

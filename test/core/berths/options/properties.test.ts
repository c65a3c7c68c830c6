import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { berthOptions } from '../../../../core/berths/options/berth-options.ts';
import type { BerthOption, OptionsQuestion } from '../../../../core/berths/options/options.ts';
import { noWishes } from '../../../../core/berths/options/options.ts';
import { prepare } from '../../../../core/berths/options/prepare.ts';
import { rankBerths } from '../../../../core/berths/options/rank-berths.ts';
import type { Boat, Inlet } from '../../../../core/boats.ts';
import { type Verdict, verdictOf } from '../../../../core/findings.ts';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import type { Berth, Inventory } from '../../../../core/inventory/inventory.ts';
import { configurations } from '../../../../core/standards/configurations.ts';
import { anyOutletUse, anyQuestion, anySpaceUse, told } from './random-question.ts';

const gravityOf: Record<Verdict, number> = { clear: 0, cautioned: 1, unconfirmed: 2, refused: 3 };
const everything = { options: 100, refused: 100 };
const runs = { numRuns: 150 };

function judgedAll(question: OptionsQuestion): BerthOption[] {
  const { options, refused } = berthOptions(question, everything);
  return [...options, ...refused];
}

function verdicts(question: OptionsQuestion): Map<string, number> {
  return new Map(berthOptions(question, everything).all.map(({ berthId, verdict }) => [berthId, gravityOf[verdict]]));
}

function withInventory(question: OptionsQuestion, patch: Partial<Inventory>): OptionsQuestion {
  return { ...question, index: indexInventory({ ...question.index.inventory, ...patch }) };
}

describe('berth options', () => {
  it('name every berth once, and say in words what they say in figures', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const { all } = berthOptions(question, everything);
        const ids = question.index.inventory.berths.map(({ id }) => id);
        expect(all.map(({ berthId }) => berthId).sort()).toEqual([...ids].sort());
        for (const { verdict, findings, berthId } of judgedAll(question)) {
          expect(verdictOf(findings), berthId).toBe(verdict);
          expect(all.find((each) => each.berthId === berthId)?.verdict).toBe(verdict);
          for (const finding of findings) {
            expect(finding.message).not.toBe('');
            if (finding.level === 'confirm') expect(finding.missingFact?.question, finding.rule).toBeTruthy();
          }
        }
      }),
      runs,
    );
  });

  it('come best first by the score that is shown, refused ones last', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const shown = judgedAll(question);
        shown.forEach((option, i) => {
          const next = shown[i + 1];
          if (next === undefined) return;
          const part = option.score.find(({ value }, at) => value !== next.score[at]?.value);
          if (part === undefined) return;
          const other = next.score[option.score.indexOf(part)]?.value ?? Number.NaN;
          expect(part.better === 'lower' ? part.value < other : part.value > other, part.name).toBe(true);
        });
        const refusals = shown.map(({ verdict }) => verdict === 'refused');
        expect(refusals).toEqual([...refusals].sort());
      }),
      runs,
    );
  });

  it('never offer space or an outlet that somebody has at any time of the stay', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const { index, spaceUses, outletUses, period, occupiedUntil } = question;
        for (const { berthId, place, outletIds } of berthOptions(question, everything).options) {
          const berth = index.berths.get(berthId);
          for (const use of spaceUses) {
            if (use.from >= occupiedUntil || use.until <= period.from || !berth?.unitIds.includes(use.unitId)) continue;
            expect(place, `${berthId} is taken by ${use.by.label}`).not.toBeNull();
            if (place !== null) expect(place.untilM <= use.fromM || use.untilM <= place.fromM).toBe(true);
          }
          for (const use of outletUses) {
            if (use.from < occupiedUntil && period.from < use.until) expect(outletIds).not.toContain(use.outletId);
          }
          if (place !== null && berth?.faceFromM !== null && berth?.faceUntilM !== null) {
            expect(place.fromM).toBeGreaterThanOrEqual(berth?.faceFromM ?? Number.NaN);
            expect(place.untilM).toBeLessThanOrEqual(berth?.faceUntilM ?? Number.NaN);
          }
          // NEC 555.33: shore power is 30 A at least.
          for (const id of outletIds) expect(index.outlets.get(id)?.configurationId).not.toBe('5-20');
        }
      }),
      runs,
    );
  });

  it("are no better with another boat's space or outlet in use", () => {
    fc.assert(
      fc.property(anyQuestion, anySpaceUse, anyOutletUse, (question, space, outlet) => {
        const before = verdicts(question);
        const more: OptionsQuestion[] = [{ ...question, spaceUses: [...question.spaceUses, space] }];
        // What is known to be plugged in is no doubt lifted: an outlet that is out of service carries nothing.
        if (outlet.by.kind !== 'outOfService' || !question.outletUses.some((use) => use.outletId === outlet.outletId)) {
          more.push({ ...question, outletUses: [...question.outletUses, outlet] });
        }
        for (const crowded of more) {
          for (const [id, gravity] of verdicts(crowded))
            expect(gravity, id).toBeGreaterThanOrEqual(before.get(id) ?? 0);
        }
      }),
      runs,
    );
  });

  it('are no better for a fact that nobody states: what is refused may become a question, never more', () => {
    const ofBoat = [
      'lengthOverallM',
      'beamM',
      'draftM',
      'wantsPower',
      'frequenciesHz',
      'neutralBond',
      'ownSupplies',
      'cordSets',
      'statedLoadVa',
    ] as const;
    const ofInlet = ['configurationIds', 'mainBreakerA', 'fromBowM', 'side', 'duty', 'needsLineToLine'] as const;
    const ofBerth = ['lengthM', 'beamM', 'depthM'] as const;
    const forgotten = (question: OptionsQuestion): OptionsQuestion[] => {
      const { boat, index } = question;
      const boats: Boat[] = [
        ...ofBoat.map((fact) => ({ ...boat, [fact]: null })),
        { ...boat, adapterKindIds: null },
        { ...boat, inlets: [] },
        ...ofInlet.map((fact) => ({
          ...boat,
          inlets: boat.inlets.map((inlet): Inlet => ({ ...inlet, [fact]: null })),
        })),
      ];
      const berths = index.inventory.berths;
      return [
        ...boats.map((each) => ({ ...question, boat: each })),
        ...ofBerth.map((fact) => {
          return withInventory(question, { berths: berths.map((berth): Berth => ({ ...berth, [fact]: null })) });
        }),
        withInventory(question, {
          outlets: index.inventory.outlets.map((outlet) => ({ ...outlet, breakerA: null, lines: null })),
        }),
      ];
    };
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const known = verdicts(question);
        forgotten(question).forEach((without, i) => {
          for (const [id, gravity] of verdicts(without)) {
            expect(gravity, `${id}, fact ${i}`).toBeGreaterThanOrEqual(Math.min(known.get(id) ?? 0, 2));
          }
        });
      }),
      { numRuns: 80 },
    );
  });

  it('keep verdicts and scores whatever the order of the document and the names in it', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const { berths, outlets, equipment } = question.index.inventory;
        const scores = (asked: OptionsQuestion) =>
          new Map(rankBerths(prepare(asked)).map(({ berth, verdict, score }) => [berth.label, { verdict, score }]));
        const before = scores(question);
        const turned = withInventory(question, {
          berths: [...berths].reverse(),
          outlets: [...outlets].reverse(),
          equipment: [...equipment].reverse(),
        });
        const renamed = withInventory(question, {
          berths: berths.map((berth) => ({ ...berth, id: `x ${berth.id}` })),
        });
        const others = { ...question.wishes, berthId: null };
        expect(scores({ ...turned, wishes: others })).toEqual(scores({ ...question, wishes: others }));
        expect(scores({ ...renamed, wishes: others })).toEqual(scores({ ...question, wishes: others }));
        expect(scores(turned)).toEqual(before);
      }),
      runs,
    );
  });

  it('rank by wishes and never judge by them', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        expect(verdicts(question)).toEqual(verdicts({ ...question, wishes: noWishes }));
      }),
      runs,
    );
  });

  it('refuse a cause at a time: mended, it refuses no more', () => {
    let mended = 0;
    fc.assert(
      fc.property(anyQuestion, (question) => {
        for (const { berthId, findings } of berthOptions(question, everything).refused) {
          const refusals = findings.filter(({ level }) => level === 'refuse');
          expect(refusals.length).toBeGreaterThan(0);
          for (const { rule, subject } of refusals) {
            const without = mend(question, berthId, rule, subject.id);
            if (without === null) continue;
            mended++;
            const after = judgedAll(without).find((option) => option.berthId === berthId);
            const still = after?.findings.filter(
              (each) => each.level === 'refuse' && each.rule === rule && each.subject.id === subject.id,
            );
            expect(still, `${rule} at ${berthId}`).toEqual([]);
          }
        }
      }),
      runs,
    );
    expect(mended).toBeGreaterThan(100);
  });
});

/** The question with the cause of one rule's refusal at one berth taken away; null for rules not mended here. */
function mend(question: OptionsQuestion, berthId: string, rule: string, subjectId: string): OptionsQuestion | null {
  const { boat, index, spaceUses, outletUses } = question;
  const { berths, equipment } = index.inventory;
  const berth = index.berths.get(berthId);
  const withBerth = (patch: Partial<Berth>) =>
    withInventory(question, { berths: berths.map((each) => (each.id === berthId ? { ...each, ...patch } : each)) });
  switch (rule) {
    case 'space.taken':
    case 'space.held':
    case 'space.outOfService':
      return { ...question, spaceUses: spaceUses.filter(({ unitId }) => !berth?.unitIds.includes(unitId)) };
    case 'space.lengthUnknown':
      return { ...question, boat: { ...boat, lengthOverallM: told(9) } };
    case 'outlet.taken': {
      const reached = berth?.reaches.map(({ outletId }) => outletId) ?? [];
      return { ...question, outletUses: outletUses.filter(({ outletId }) => !reached.includes(outletId)) };
    }
    case 'outlet.none':
      return { ...question, boat: { ...boat, wantsPower: told(false) } };
    case 'fit.length':
      return berth?.faceFromM === null ? withBerth({ lengthM: 15 }) : null;
    case 'fit.beam':
      return withBerth({ beamM: 5 });
    case 'fit.depth':
    case 'fit.tide':
      return withBerth({ depthM: 3 });
    case 'reach.cord':
    case 'reach.distance':
    case 'hookup.cordMissing': {
      // One for each inlet that may take it.
      const ofEach = configurations.flatMap(({ id, ratedA }) =>
        ['a', 'b'].map((name) => ({ id: `${id} ${name}`, lengthM: 80, configurationId: id, ratedA })),
      );
      return { ...question, boat: { ...boat, cordSets: told(ofEach) } };
    }
    case 'hookup.adapterMissing':
      return {
        ...question,
        boat: { ...boat, adapterKindIds: told([...(boat.adapterKindIds?.value ?? []), subjectId]) },
      };
    case 'demand.breaker':
      return withInventory(question, {
        equipment: equipment.map((part) => (part.breakerA === null ? part : { ...part, breakerA: 2_000 })),
      });
    default:
      return null;
  }
}

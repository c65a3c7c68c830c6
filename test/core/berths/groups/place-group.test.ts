import { describe, expect, it } from 'vitest';
import { type Adjacency, type GroupAnswer, placeGroup } from '../../../../core/berths/groups/place-group.ts';
import { runsOf, unitNumbers } from '../../../../core/berths/groups/side-by-side.ts';
import type { PlanQuestion } from '../../../../core/berths/plan/question.ts';
import { planQuestion } from '../../../support/plan-marina.ts';
import { faultsOf, type PlainChoice, plainChoices } from '../../../support/plan-oracle.ts';
import { sampleInventory } from '../../../support/sample-inventory.ts';

const alone = { besideBerthIds: new Set<string>() };
const berthIdsOf = ({ index }: PlanQuestion) => new Set(index.inventory.berths.map(({ id }) => id));

/** A small marina and boats that all come together for the same two nights. */
function groupOf(seed: number, stays: number, feederA: number): PlanQuestion {
  const question = planQuestion({
    seed,
    docks: 2,
    slips: 4,
    pairs: 1,
    stays,
    nights: 2,
    feederA,
    held: 0.3,
    stepDowns: 1,
  });
  const { period, occupiedUntil, localDays } = question.stays[0] ?? {};
  if (!period || !occupiedUntil || !localDays) throw new Error('no stays');
  return { ...question, stays: question.stays.map((stay) => ({ ...stay, period, occupiedUntil, localDays })) };
}

/** The best set of places, found by looking at every combination of every choice, each checked by itself. */
function naiveBest(question: PlanQuestion, adjacency: Adjacency): { runs: number; cost: number } | null {
  const choices = plainChoices(question);
  const costOf = (chosen: readonly PlainChoice[]) =>
    chosen.reduce((sum, { costs }) => sum + 1_000 * costs.notNative + costs.waste, 0);
  let best: { runs: number; cost: number } | null = null;
  const visit = (chosen: readonly PlainChoice[]) => {
    const stay = question.stays[chosen.length];
    if (stay === undefined) {
      const runs = naiveRuns(question, chosen);
      const found = { runs: adjacency === 'none' ? 0 : runs, cost: costOf(chosen) };
      if (adjacency === 'demand' && runs > 1) return;
      if (best === null || found.runs < best.runs || (found.runs === best.runs && found.cost < best.cost)) best = found;
      return;
    }
    for (const choice of choices) {
      if (choice.stay !== stay) continue;
      const next = [...chosen, choice];
      if (faultsOf(question, next).length === 0) visit(next);
    }
  };
  visit([]);
  return best;
}

/** Counts berths that have no taken unit just before them on their dock: plainly, by the order of the document. */
function naiveRuns({ index }: PlanQuestion, chosen: readonly PlainChoice[]): number {
  const taken = new Set(chosen.flatMap(({ unitIds }) => unitIds));
  let runs = 0;
  for (const dock of index.inventory.docks) {
    const units = index.inventory.spaceUnits.filter(({ dockId }) => dockId === dock.id);
    units.forEach(({ id, kind }, i) => {
      const before = units[i - 1];
      const follows = before !== undefined && before.kind === kind && taken.has(before.id);
      if (taken.has(id) && !follows) runs += 1;
    });
  }
  return runs;
}

function foundBest({ placed, runs }: GroupAnswer, adjacency: Adjacency) {
  if (placed.length === 0) return null;
  const cost = placed.reduce((sum, { costs }) => sum + 1_000 * costs.notNative + costs.waste, 0);
  return { runs: adjacency === 'none' ? 0 : runs, cost };
}

describe('placing a group', () => {
  it('finds the best set of places that a search of every combination finds, or none where there is none', () => {
    const seen = { placed: 0, apart: 0, refused: 0 };
    for (let seed = 1; seed <= 12; seed++) {
      const question = groupOf(seed, 3, seed % 3 === 0 ? 60 : 200);
      for (const adjacency of ['none', 'wish', 'demand'] as const) {
        const answer = placeGroup({ ...alone, plan: question, berthIds: berthIdsOf(question), adjacency });
        expect(answer.isProven).toBe(true);
        expect(foundBest(answer, adjacency), `seed ${seed}, ${adjacency}`).toEqual(naiveBest(question, adjacency));
        if (answer.placed.length === 0) {
          seen.refused += 1;
          expect(answer.findings.length).toBeGreaterThan(0);
          expect(answer.findings.every(({ level }) => level === 'refuse')).toBe(true);
          continue;
        }
        expect(answer.findings).toEqual([]);
        expect(new Set(answer.placed.map(({ stay }) => stay.id)).size).toBe(question.stays.length);
        seen.placed += 1;
        if (answer.runs > 1) seen.apart += 1;
      }
    }
    // All three ends were met: otherwise this shows nothing.
    expect(Math.min(...Object.values(seen)), JSON.stringify(seen)).toBeGreaterThan(1);
  });

  it('answers the same whatever the order of the members', () => {
    for (let seed = 1; seed <= 10; seed++) {
      const question = groupOf(seed, 4, 200);
      const asked = { ...alone, berthIds: berthIdsOf(question), adjacency: 'wish' } as const;
      const there = placeGroup({ plan: question, ...asked });
      const back = placeGroup({ plan: { ...question, stays: [...question.stays].reverse() }, ...asked });
      expect(foundBest(back, 'wish')).toEqual(foundBest(there, 'wish'));
      expect(back.findings.length > 0).toBe(there.findings.length > 0);
    }
  });

  it('names who could not be placed and what spoke against it, and keeps to the berths that it may have', () => {
    const question = groupOf(2, 3, 200);
    const [only] = question.index.inventory.berths;
    const { findings, placed, isProven } = placeGroup({
      ...alone,
      plan: question,
      berthIds: new Set([only?.id ?? '']),
      adjacency: 'none',
    });
    expect({ placed, isProven }).toEqual({ placed: [], isProven: true });
    expect(findings.length).toBeGreaterThanOrEqual(2);
    for (const { subject, limit, message } of findings) {
      expect(question.stays.map(({ id }) => id)).toContain(subject.id);
      expect(limit).toBe(1);
      expect(message).toContain('at 1 of 1');
    }
  });

  it('says so where all would fit and only neighbours are missing', () => {
    const question = { ...groupOf(3, 2, 400), spaceUses: [], outletUses: [] };
    const { berths } = question.index.inventory;
    const single = berths.filter(({ unitIds, faceFromM }) => unitIds.length === 1 && faceFromM === null);
    const apart = new Set([single[0], single[2], single[5]].map((berth) => berth?.id ?? ''));
    const small = question.stays.map((stay) => ({
      ...stay,
      boat: { ...(question.stays[0]?.boat ?? stay.boat), id: stay.id },
    }));
    const asked = { ...alone, plan: { ...question, stays: small }, berthIds: apart };
    const wished = placeGroup({ ...asked, adjacency: 'wish' });
    expect(wished.runs).toBe(2);
    expect(placeGroup({ ...asked, adjacency: 'demand' })).toMatchObject({
      placed: [],
      findings: [{ rule: 'space.notAdjacent', actual: 2, limit: 1 }],
    });
  });
});

it('lies beside members that have a berth already', () => {
  const question = { ...groupOf(3, 2, 400), spaceUses: [], outletUses: [] };
  const single = question.index.inventory.berths.filter(({ unitIds }) => unitIds.length === 1).map(({ id }) => id);
  const [one] = question.stays;
  const [, second, third, fourth] = single;
  if (one === undefined || second === undefined || third === undefined || fourth === undefined) throw new Error('few');
  const asked = { plan: { ...question, stays: [one] }, berthIds: new Set(single), adjacency: 'demand' } as const;
  const placed = (besideBerthIds: Set<string>) =>
    placeGroup({ ...asked, besideBerthIds }).placed.map(({ berth }) => berth.id);
  expect([second, fourth]).toContain(placed(new Set([third]))[0]);
});

describe('neighbours', () => {
  it('are units that follow each other on one dock and are of one kind', () => {
    const inventory = sampleInventory();
    const numbers = unitNumbers({ inventory });
    const [dock] = inventory.docks;
    const slips = inventory.spaceUnits.filter(({ dockId, kind }) => dockId === dock?.id && kind === 'slip');
    const at = (...ids: (string | undefined)[]) => ids.map((id) => ({ unitIds: [id ?? ''] }));
    expect(runsOf(numbers, at(slips[0]?.id, slips[1]?.id, slips[2]?.id))).toBe(1);
    expect(runsOf(numbers, at(slips[2]?.id, slips[0]?.id))).toBe(2);
    expect(runsOf(numbers, [{ unitIds: [slips[0]?.id ?? '', slips[1]?.id ?? ''] }, ...at(slips[2]?.id)])).toBe(1);
    const elsewhere = inventory.spaceUnits.find(({ dockId }) => dockId !== dock?.id);
    expect(runsOf(numbers, at(slips.at(-1)?.id, elsewhere?.id))).toBe(2);
  });
});

import type { PlanQuestion, PlanStay } from '../../core/berths/plan/question.ts';
import type { Boat } from '../../core/boats.ts';
import { readInventoryDocument } from '../../core/inventory/expand-patterns.ts';
import { type InventoryIndex, indexInventory } from '../../core/inventory/index-inventory.ts';
import { overlaps, type Period } from '../../core/periods.ts';
import { addDays, localDay, localMoment } from '../../seed-demo/days.ts';
import { generateDemo } from '../../seed-demo/generate.ts';
import {
  assignmentId,
  heldOutlets,
  heldSpace,
  outletsOf,
  type Placement,
  placeStays,
  spaceOf,
  stockOf,
} from '../../seed-demo/place-stays.ts';
import { createRandom } from '../../seed-demo/random.ts';
import { type DemoStay, season } from '../../seed-demo/season.ts';
import { practiceOf } from '../../server/berth-options/question.ts';
import { runPlan } from '../../server/plans/run-plan.ts';
import { type Figures, rounded } from './measure.ts';

const seed = 1905;
const today = '2030-07-04';
/** The holiday that is planned as a whole: arrivals of these nights. */
const nights = 7;
const timeLimitS = 60;

/**
 * A holiday: the demo's season with 150 % of its requests, each given the best berth that is left in the order
 * of the calls; then the busiest week of it planned as a whole, beside everybody who came before.
 */
export async function run(): Promise<readonly Figures[]> {
  const figures: Figures[] = [];
  for (const share of [1.5]) {
    const demo = generateDemo({ today, seed });
    const { inventory, faults } = readInventoryDocument(demo.inventory);
    if (faults[0] !== undefined) throw new Error(faults[0].message);
    const index = indexInventory(inventory);
    const practice = practiceOf(index);
    let named = 0;
    const nextName = () => `Visitor ${++named}`;
    const place = { today, timeZone: inventory.timeZone };
    const { stays, boats } = season(createRandom(seed + 3), place, Math.round(demo.stays.length * share), nextName);
    const known = new Map(boats.map((boat) => [boat.id, boat]));
    const inOrder = [...stays].sort((a, b) => a.calledAt - b.calledAt || (a.id < b.id ? -1 : 1));
    const name = `${share * 100} % of the requests`;

    const start = performance.now();
    const placements = placeStays(index, practice, demo.holdings, known, inOrder);
    const seconds = rounded((performance.now() - start) / 1_000);
    figures.push({ name: `${name}, season by the order of the calls`, ...outcome(placements), seconds });

    const week = busiestWeek(stays, inventory.timeZone);
    const isOfWeek = ({ from }: Period) => week.from <= from && from < week.until;
    const question = { ...questionOf(index, known, demo.holdings, placements, isOfWeek), practice };
    const before = placements.filter(({ stay }) => isOfWeek(stay));
    figures.push({ name: `${name}, busiest ${nights} nights by the order of the calls`, ...outcome(before) });
    const plan = await runPlan(question, { timeLimitS });
    const rules = plan.unplaced.map(({ stoppedBy }) => stoppedBy[0]?.rule ?? 'none');
    const [aim] = plan.aims;
    figures.push({
      name: `${name}, busiest ${nights} nights as one plan`,
      requests: question.stays.length,
      served: question.stays.length - plan.unplaced.length,
      turnedAway: plan.unplaced.length,
      ...counted(rules),
      status: plan.status,
      bound: aim?.bound ?? 'none',
      seconds: rounded(plan.figures.secondsInAll),
    });
  }
  return figures;
}

function outcome(placements: readonly Placement[]) {
  const refused = placements.flatMap((placed) => (placed.option === null ? [placed.refusals] : []));
  // What turned a call away is what the best of its berths was refused by.
  const rules = refused.flatMap((findings) => [...new Set(findings.map(({ rule }) => rule))]);
  return {
    requests: placements.length,
    served: placements.length - refused.length,
    turnedAway: refused.length,
    ...counted(rules),
  };
}

function counted(rules: readonly string[]): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const rule of [...rules].sort()) counts[`by ${rule}`] = (counts[`by ${rule}`] ?? 0) + 1;
  return counts;
}

/** The week with the most arrivals. */
function busiestWeek(stays: readonly DemoStay[], timeZone: string): Period {
  const days = [...new Set(stays.map(({ from }) => localDay(from, timeZone)))];
  const weeks = days.map((day): Period => {
    return { from: localMoment(day, 0, timeZone), until: localMoment(addDays(day, nights), 0, timeZone) };
  });
  const arrivals = (week: Period) => stays.filter(({ from }) => week.from <= from && from < week.until).length;
  return weeks.reduce((best, week) => (arrivals(week) > arrivals(best) ? week : best));
}

/** Everybody of the week is to be placed anew; who came before or comes later, and holders, keep what they have. */
function questionOf(
  index: InventoryIndex,
  boats: ReadonlyMap<string, Boat>,
  holdings: Parameters<typeof heldSpace>[0],
  placements: readonly Placement[],
  isOfWeek: (stay: DemoStay) => boolean,
): Omit<PlanQuestion, 'practice'> {
  const { timeZone, settings } = index.inventory;
  const turnoverMs = settings.turnoverMinutes * 60_000;
  const members = placements.filter(({ stay }) => isOfWeek(stay));
  const span = {
    from: Math.min(...members.map(({ stay }) => stay.from)),
    until: Math.max(...members.map(({ stay }) => stay.until)) + turnoverMs,
  };
  const others = placements.flatMap((placed) =>
    placed.option === null || isOfWeek(placed.stay)
      ? []
      : [{ ...placed, from: placed.stay.from, until: placed.occupiedUntil }].filter((each) => overlaps(each, span)),
  );
  const kept = others.map(({ stay, boat, option, from, until }) => ({
    boat,
    option,
    use: { from, until, by: { kind: 'assignment', id: assignmentId(stay), label: boat.name } as const },
  }));
  const during = <P extends Period>(uses: readonly P[]) => uses.filter((use) => overlaps(use, span));
  return {
    index,
    stays: members.map(({ stay }): PlanStay => {
      const boat = boats.get(stay.boatId);
      if (boat === undefined) throw new Error(`stay "${stay.id}" names no boat`);
      const { id, from, until, wishes } = stay;
      return {
        id,
        label: boat.name,
        boat,
        wishes,
        period: { from, until },
        occupiedUntil: until + turnoverMs,
        localDays: { from: localDay(from, timeZone), until: addDays(localDay(until, timeZone), 1) },
        nights: Math.max(1, Math.round((until - from) / 86_400_000)),
        priority: 0,
        promised: false,
        present: null,
        movesAt: [],
        part: null,
      };
    }),
    settings: { serve: 'boats', movePromised: true, moveInside: false },
    spaceUses: [
      ...during(heldSpace(holdings)),
      ...kept.flatMap(({ option, use }) => spaceOf(index, option).map((part) => ({ ...part, ...use }))),
    ],
    outletUses: [
      ...during(heldOutlets(holdings)),
      ...kept.flatMap(({ boat, option, use }) =>
        outletsOf(index, boat, option).map((outlet) => ({ ...outlet, ...use })),
      ),
    ],
    stockUses: kept.flatMap(({ option, use: { by, ...period } }) =>
      stockOf(option).map((use) => ({ ...use, ...period, assignmentId: by.id })),
    ),
  };
}

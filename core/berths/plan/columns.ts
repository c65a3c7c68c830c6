import { overlaps } from '../../periods.ts';
import type { PlanClasses } from './classes.ts';
import { movesOf } from './parts.ts';
import type { AdapterOfPlan, PlanStay } from './question.ts';
import type { PlanScene } from './scene.ts';
import type { WayToLie } from './ways-to-lie.ts';

/** One stay, or part of one, in some berth of a class, taking outlets of these classes. */
export interface PlanColumn {
  readonly stay: PlanStay;
  /** -1: the berth of a kept place is none that the plan could give. */
  readonly berthClass: number;
  /** Null: the stay keeps the place that it has. */
  readonly way: WayToLie | null;
  readonly outletClasses: readonly number[];
  readonly adapters: readonly AdapterOfPlan[];
  readonly statedVa: readonly (number | null)[];
  readonly costs: PlanCosts;
}

/** What a placed stay costs in each of the later aims. */
export interface PlanCosts {
  readonly moves: number;
  /** 1 where the hook-up is not native, and 1 more for each adapter to bring. */
  readonly notNative: number;
  readonly waste: number;
  /** The boater's wishes that are not met. */
  readonly unmet: number;
}

/** Every way to place every stay, by classes. Ways that take the same of the same classes are one: the cheapest. */
export function planColumns(scene: PlanScene, classes: PlanClasses): PlanColumn[] {
  return scene.question.stays.flatMap((stay) =>
    [stay, ...scene.partsOf(stay).flat()].flatMap((each) => columnsOf(scene, classes, each)),
  );
}

function columnsOf(scene: PlanScene, classes: PlanClasses, stay: PlanStay): PlanColumn[] {
  const period = scene.periodOf(stay);
  const isFree = ({ taken }: { readonly taken: readonly { from: number; until: number }[] }) =>
    taken.every((each) => !overlaps(each, period));
  const columns: PlanColumn[] = [];
  const { settings } = scene.question;
  if (stay.present !== null && scene.mayKeep(stay)) columns.push(keepColumn(scene, classes, stay, stay.present));
  if (stay.promised && stay.present !== null && !settings.movePromised) return columns;
  classes.berths.forEach((berthClass, number) => {
    if (!isFree(berthClass)) return;
    const best = new Map<string, PlanColumn>();
    for (const way of scene.judge.ways(stay, berthClass.berths[0]).ways) {
      if (!scene.mayTake(stay, way)) continue;
      const outletClasses = way.positions.map((position) => berthClass.outletClasses[position] ?? -1);
      if (!outletClasses.every((outlet) => isFree(classes.outlets[outlet] ?? { taken: [] }))) continue;
      const costs = {
        moves: movesOf(stay),
        notNative: notNative(way),
        waste: way.waste,
        unmet: scene.unmetWishes(stay, berthClass.berths[0], way.orientation),
      };
      const stated = scene.isRated ? '' : way.statedVa.join();
      const key = `${[...outletClasses].sort((a, b) => a - b)} ${stockIdsOf(way.adapters)} ${stated}`;
      const before = best.get(key);
      if (before !== undefined && !isCheaper(costs, before.costs)) continue;
      const { adapters, statedVa } = way;
      best.set(key, { stay, berthClass: number, way, outletClasses, adapters, statedVa, costs });
    }
    columns.push(...best.values());
  });
  return columns;
}

function keepColumn(
  scene: PlanScene,
  classes: PlanClasses,
  stay: PlanStay,
  { berthId, orientation, outletIds, adapters, statedVa }: NonNullable<PlanStay['present']>,
): PlanColumn {
  const berth = scene.question.index.berths.get(berthId);
  const same =
    berth === undefined
      ? undefined
      : scene.judge
          .ways(stay, berth)
          .ways.find((way) => scene.outletIdsOf(berth, way).sort().join() === [...outletIds].sort().join());
  const toBring = adapters.filter(({ from }) => from === 'toBring').length;
  return {
    stay,
    berthClass: classes.berthClassOf.get(berthId) ?? -1,
    way: null,
    outletClasses: outletIds.map((id) => classes.outletClassOf.get(id) ?? -1),
    adapters,
    statedVa,
    costs: {
      moves: 0,
      notNative: same === undefined ? (adapters.length > 0 ? 1 : 0) + toBring : notNative(same),
      waste: same?.waste ?? 0,
      unmet: berth === undefined ? 0 : scene.unmetWishes(stay, berth, orientation),
    },
  };
}

export function notNative({ isNative, adaptersToBring }: Pick<WayToLie, 'isNative' | 'adaptersToBring'>): number {
  return (isNative ? 0 : 1) + adaptersToBring;
}

export function stockIdsOf(adapters: readonly AdapterOfPlan[]): string[] {
  return adapters.flatMap(({ from, stockId }) => (from === 'stock' && stockId !== null ? [stockId] : [])).sort();
}

export function isCheaper(a: PlanCosts, b: PlanCosts): boolean {
  return a.moves - b.moves < 0 || (a.moves === b.moves && isCheaperHere(a, b));
}

function isCheaperHere(a: PlanCosts, b: PlanCosts): boolean {
  if (a.notNative !== b.notNative) return a.notNative < b.notNative;
  return a.waste < b.waste || (a.waste === b.waste && a.unmet < b.unmet);
}

export function prioritiesOf(stays: readonly { readonly priority: number }[]): number[] {
  return [...new Set(stays.map(({ priority }) => priority))].sort((a, b) => b - a);
}

export function servedAim(serve: 'boats' | 'nights', priority: number): string {
  return `${serve} served, priority ${priority}`;
}

export const costAims: readonly {
  readonly name: string;
  readonly unit: string;
  readonly of: (placed: { readonly costs: PlanCosts } | undefined) => number;
}[] = [
  { name: 'promised stays moved, and moves inside a stay', unit: 'move', of: (placed) => placed?.costs.moves ?? 0 },
  { name: 'hook-ups not native, and adapters to bring', unit: 'piece', of: (placed) => placed?.costs.notNative ?? 0 },
  { name: 'room (m) and outlet rating (10 A) left over', unit: 'm or 10 A', of: (placed) => placed?.costs.waste ?? 0 },
  { name: "boaters' wishes not met", unit: 'wish', of: (placed) => placed?.costs.unmet ?? 0 },
];

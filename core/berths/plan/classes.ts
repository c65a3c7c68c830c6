import type { Berth } from '../../inventory/inventory.ts';
import { numbering } from '../../numbering.ts';
import type { Period } from '../../periods.ts';
import { berthFacts } from '../options/reached-outlets.ts';
import type { PlanScene } from './scene.ts';
import type { WayToLie } from './ways-to-lie.ts';

/** Berths that are alike for every rule and every stay of the plan, and for what others take of them. */
export interface BerthClass {
  readonly berths: readonly [Berth, ...Berth[]];
  /** Unit classes that one of its berths takes a unit of, one entry for each unit. */
  readonly unitClasses: readonly number[];
  /** Outlet class at each place of a berth's list of shore-power outlets. */
  readonly outletClasses: readonly number[];
  readonly isFace: boolean;
  /** When its berths, and its outlets by place, are not free; the same for all of them. */
  readonly taken: readonly Period[];
}

/** So many units, or outlets, of which any one does as well as another. */
export interface ThingClass {
  readonly ids: readonly string[];
  /** When none of them is free; the same for all of them. */
  readonly taken: readonly Period[];
}

export interface PlanClasses {
  readonly berths: readonly BerthClass[];
  readonly units: readonly ThingClass[];
  readonly outlets: readonly ThingClass[];
  readonly unitClassOf: ReadonlyMap<string, number>;
  readonly outletClassOf: ReadonlyMap<string, number>;
  readonly berthClassOf: ReadonlyMap<string, number>;
}

// Each round looks one step further: from a berth to its outlets, to the berths that share them.
const rounds = 3;

/**
 * Sorts berths, units and outlets into classes. Two berths are in one class where every stay has the same ways to lie
 * there, they are taken by others at the same times, and their outlets and units are shared alike with like berths. Any
 * finer sorting gives the same plans with more columns: `alone` names what is to be a class of its own.
 */
export function planClasses(scene: PlanScene, alone: ReadonlySet<string>): PlanClasses {
  const { index, stays, spaceUses, outletUses } = scene.question;
  const kinds = [
    ...new Map(
      stays.flatMap((stay) => [stay, ...scene.partsOf(stay).flat()]).map((stay) => [scene.judge.kindOf(stay), stay]),
    ).values(),
  ];
  const signatures = new Map<number, number>();
  const signatureNumbers = numbering();
  /** Berths of different likeness are one for the plan where all its boats have the same ways in them. */
  const signatureOf = (berth: Berth): number => {
    const likeness = scene.judge.likenessOf(berth);
    const known = signatures.get(likeness);
    if (known !== undefined) return known;
    const key = kinds.map((stay) => scene.judge.ways(stay, berth).ways.map(wayKey).join('|')).join('\n');
    const isUsed = /[^\n|]/.test(key);
    const signature = isUsed ? signatureNumbers(key) : -1;
    signatures.set(likeness, signature);
    return signature;
  };
  const usable = index.inventory.berths.filter((berth) => signatureOf(berth) >= 0);
  const outletsOf = new Map(usable.map((berth) => [berth, shorePowerIds(scene, berth)]));

  const span: Period = {
    from: stays.reduce((least, { period }) => Math.min(least, period.from), Number.POSITIVE_INFINITY),
    until: stays.reduce((most, { occupiedUntil }) => Math.max(most, occupiedUntil), Number.NEGATIVE_INFINITY),
  };
  const takenUnits = periodsBy(within(spaceUses, span), ({ unitId }) => unitId);
  const takenOutlets = periodsBy(within(outletUses, span), ({ outletId }) => outletId);
  const isFaceUnit = (id: string) => index.spaceUnits.get(id)?.kind === 'face';
  const unitIds = [...new Set(usable.flatMap(({ unitIds: ids }) => ids))];
  const outletIds = [...new Set([...outletsOf.values()].flat())];

  const numberAll = (ids: readonly string[], keyOf: (id: string) => string): Map<string, number> => {
    const number = numbering();
    return new Map(ids.map((id) => [id, number(keyOf(id))]));
  };
  // Along a face others take some of the metres: that is counted in metres, and no two faces are alike.
  const unitKey = (id: string) => (alone.has(id) || isFaceUnit(id) ? `! ${id}` : patternOf(takenUnits.get(id)));
  const outletKey = (id: string) => {
    if (alone.has(id)) return `! ${id}`;
    const loads = scene.limits.map((limit, i) => [i, limit.indexOf(id)]).filter(([, load]) => (load ?? -1) >= 0);
    return `${JSON.stringify(loads)} ${patternOf(takenOutlets.get(id))}`;
  };
  const wished = new Set(stays.flatMap(({ wishes }) => [wishes.berthId, wishes.dockId]));
  /** What of a berth some boater wishes for by name. */
  const wishedOf = (berth: Berth) =>
    [berth.id, berthFacts(index, berth).dock.id].map((id) => (wished.has(id) ? id : '')).join('|');
  let units = numberAll(unitIds, unitKey);
  let outlets = numberAll(outletIds, outletKey);
  const berthKey = (berth: Berth) =>
    [
      alone.has(berth.id) ? `! ${berth.id}` : signatureOf(berth),
      wishedOf(berth),
      berth.unitIds.map((id) => units.get(id)),
      outletsOf.get(berth)?.map((id) => outlets.get(id)),
      // Which of its outlets are the very same matters to nobody; which are shared with whom is found by the rounds.
    ].join(';');
  const numberBerths = () => {
    const number = numbering();
    return new Map(usable.map((berth) => [berth, number(berthKey(berth))]));
  };
  let berths = numberBerths();
  for (let round = 0; round < rounds; round++) {
    const seenByUnit = new Map<string, string[]>();
    const seenByOutlet = new Map<string, string[]>();
    for (const berth of usable) {
      const number = berths.get(berth);
      for (const id of berth.unitIds) push(seenByUnit, id, `${number}`);
      outletsOf.get(berth)?.forEach((id, position) => {
        push(seenByOutlet, id, `${number}@${position}`);
      });
    }
    const [unitsBefore, outletsBefore] = [units, outlets];
    units = numberAll(unitIds, (id) => `${unitsBefore.get(id)} ${seenByUnit.get(id)?.sort().join()}`);
    outlets = numberAll(outletIds, (id) => `${outletsBefore.get(id)} ${seenByOutlet.get(id)?.sort().join()}`);
    berths = numberBerths();
  }

  const things = (ids: readonly string[], classOf: ReadonlyMap<string, number>, taken: typeof takenUnits) => {
    const members: { ids: string[]; taken: readonly Period[] }[] = [];
    for (const id of ids) {
      const number = classOf.get(id) ?? -1;
      members[number] ??= { ids: [], taken: isFaceUnit(id) ? [] : (taken.get(id) ?? []) };
      members[number].ids.push(id);
    }
    return members;
  };
  const unitThings = things(unitIds, units, takenUnits);
  const outletThings = things(outletIds, outlets, takenOutlets);
  const byClass = new Map<number, [Berth, ...Berth[]]>();
  for (const berth of usable) {
    const number = berths.get(berth) ?? -1;
    const members = byClass.get(number);
    if (members === undefined) byClass.set(number, [berth]);
    else members.push(berth);
  }
  const classes = [...byClass]
    .sort(([a], [b]) => a - b)
    .map(([, members]): BerthClass => {
      const [berth] = members;
      const unitClasses = berth.unitIds.map((id) => units.get(id) ?? -1);
      return {
        berths: members,
        unitClasses,
        outletClasses: (outletsOf.get(berth) ?? []).map((id) => outlets.get(id) ?? -1),
        isFace: berth.faceFromM !== null,
        taken: unitClasses.flatMap((unit) => unitThings[unit]?.taken ?? []),
      };
    });
  return {
    berths: classes,
    units: unitThings,
    outlets: outletThings,
    unitClassOf: units,
    outletClassOf: outlets,
    berthClassOf: new Map(classes.flatMap(({ berths: members }, i) => members.map(({ id }) => [id, i] as const))),
  };
}

function wayKey({ orientation, positions, adapters, cordsM, statedVa, isNative, adaptersToBring, waste }: WayToLie) {
  return JSON.stringify([orientation, positions, adapters, cordsM, statedVa, isNative, adaptersToBring, waste]);
}

function shorePowerIds(scene: PlanScene, berth: Berth): string[] {
  const most = berth.reaches.length;
  const positions = Array.from({ length: most }, (_, i) => i);
  return scene.outletIdsOf(berth, { positions });
}

function patternOf(taken: readonly Period[] | undefined): string {
  return (taken ?? []).map(({ from, until }) => `${from}-${until}`).join();
}

/** What is taken before the first of the stays or after the last makes no difference. */
function within<T extends Period>(uses: readonly T[], span: Period): T[] {
  return uses
    .map((use) => ({ ...use, from: Math.max(use.from, span.from), until: Math.min(use.until, span.until) }))
    .filter(({ from, until }) => from < until);
}

/** Merged, so that the same times taken by one or by two look the same. */
function periodsBy<T extends Period>(uses: readonly T[], keyOf: (use: T) => string): Map<string, Period[]> {
  const by = new Map<string, T[]>();
  for (const use of uses) push(by, keyOf(use), use);
  return new Map(
    [...by].map(([key, ofKey]) => {
      const merged: { from: number; until: number }[] = [];
      for (const { from, until } of ofKey.sort((a, b) => a.from - b.from)) {
        const last = merged.at(-1);
        if (last !== undefined && from <= last.until) last.until = Math.max(last.until, until);
        else merged.push({ from, until });
      }
      return [key, merged];
    }),
  );
}

function push<K, T>(map: Map<K, T[]>, key: K, item: T): void {
  const items = map.get(key);
  if (items === undefined) map.set(key, [item]);
  else items.push(item);
}

import type { LinearModel } from '../../linear/linear-model.ts';
import { type ModelBuilder, modelBuilder } from '../../linear/model-builder.ts';
import { cliqueRows, type Taking } from './clique-rows.ts';
import { costAims, type PlanColumn, prioritiesOf, servedAim, stockIdsOf } from './columns.ts';
import type { LimitBound } from './limit-cuts.ts';
import { isCounted } from './parts.ts';
import type { PlanState } from './plan-state.ts';
import type { PlanScene } from './scene.ts';

/** The linear model of a state: column i is `state.columns[i]`; further columns choose between bounds. */
export interface PlanModel {
  readonly model: LinearModel;
  /** Completes values of the plan's columns to a solution. */
  readonly complete: (values: ReadonlyMap<number, number>) => Float64Array;
}

interface Choice {
  readonly column: number;
  readonly columns: readonly number[];
  readonly amounts: readonly number[];
  readonly most: number;
}

const none = Number.NEGATIVE_INFINITY;

/**
 * Aims, in order: served by priority, fewest moves, native hook-ups, least waste. Rows: each stay once, promised ones
 * always; units of space, outlets and the dock's adapters at every moment; metres of a face; limits of the equipment.
 */
export function buildModel(state: PlanState, promisedIds: ReadonlySet<string> | null = null): PlanModel {
  const builder = modelBuilder();
  const { scene, columns } = state;
  for (const _ of columns) builder.addColumn(0, 1);
  const choices: Choice[] = [];
  addStays(builder, state, promisedIds);
  addParts(builder, state);
  addThings(builder, state);
  addFaces(builder, state);
  addStock(builder, state);
  addLimits(builder, state, choices);
  addSetCuts(builder, state);
  addAims(builder, scene, columns);
  return {
    model: builder.build(),
    complete: (given) => {
      const values = new Float64Array(builder.columnCount());
      for (const [column, value] of given) values[column] = value;
      for (const { column, columns: of, amounts, most } of choices) {
        const sum = of.reduce((total, each, i) => total + (amounts[i] ?? 0) * (values[each] ?? 0), 0);
        values[column] = sum <= most + 1e-9 ? 1 : 0;
      }
      return values;
    },
  };
}

/** @param promisedIds which promises to keep; null: all */
function addStays(builder: ModelBuilder, { scene, columns }: PlanState, promisedIds: ReadonlySet<string> | null) {
  const ofStay = new Map<string, number[]>(scene.question.stays.map(({ id }) => [id, []]));
  columns.forEach(({ stay }, i) => {
    if (isCounted(stay)) ofStay.get(stay.id)?.push(i);
  });
  for (const stay of scene.question.stays) {
    const own = ofStay.get(stay.id) ?? [];
    const isKept = stay.promised && (promisedIds === null || promisedIds.has(stay.id));
    if (own.length > 0 || isKept)
      builder.addRow(
        isKept ? 1 : none,
        1,
        own,
        own.map(() => 1),
      );
  }
}

/** Of a divided stay either both parts are placed or none. */
function addParts(builder: ModelBuilder, { columns }: PlanState) {
  const ofMove = new Map<string, number[]>();
  columns.forEach(({ stay: { id, part } }, i) => {
    if (part === null) return;
    const key = `${part.movesAt} ${id}`;
    const own = ofMove.get(key);
    if (own === undefined) ofMove.set(key, [i]);
    else own.push(i);
  });
  for (const own of ofMove.values())
    builder.addRow(
      0,
      0,
      own,
      own.map((i) => (columns[i]?.stay.part?.isFirst ? 1 : -1)),
    );
}

function addThings(builder: ModelBuilder, { scene, classes, columns }: PlanState) {
  const ofUnits = classes.units.map((): Taking[] => []);
  const ofOutlets = classes.outlets.map((): Taking[] => []);
  columns.forEach(({ stay, berthClass, outletClasses }, column) => {
    const period = scene.periodOf(stay);
    const taking = (amount: number): Taking => ({ ...period, column, amount });
    const berth = classes.berths[berthClass];
    if (berth !== undefined && !berth.isFace) for (const unit of berth.unitClasses) ofUnits[unit]?.push(taking(1));
    for (const outlet of outletClasses) ofOutlets[outlet]?.push(taking(1));
  });
  const addAll = (takings: readonly Taking[][], things: readonly { readonly ids: readonly string[] }[]) =>
    takings.forEach((ofClass, i) => {
      addCapacity(builder, ofClass, things[i]?.ids.length ?? 0);
    });
  addAll(ofUnits, classes.units);
  addAll(ofOutlets, classes.outlets);
}

/** Boats along a face, each with the clearance after it, fit into the face and one clearance more. */
function addFaces(builder: ModelBuilder, { scene, classes, columns }: PlanState) {
  const { index, spaceUses } = scene.question;
  const { beamClearanceM } = index.inventory.settings;
  classes.berths.forEach(({ berths: [berth], isFace }, berthClass) => {
    const { faceFromM, faceUntilM } = berth;
    if (!isFace || faceFromM === null || faceUntilM === null) return;
    const takings: Taking[] = columns.flatMap((each, column) => {
      const amount = each.berthClass === berthClass ? scene.faceTakesM(each.stay) : null;
      return amount === null ? [] : [{ ...scene.periodOf(each.stay), column, amount }];
    });
    for (const { unitId, fromM, untilM, from, until } of spaceUses) {
      const metres = Math.min(untilM, faceUntilM) - Math.max(fromM, faceFromM);
      if (!berth.unitIds.includes(unitId) || metres <= 0) continue;
      takings.push({ from, until, column: -1, amount: metres + beamClearanceM });
    }
    addCapacity(builder, takings, faceUntilM - faceFromM + beamClearanceM + 1e-6);
  });
}

function addStock(builder: ModelBuilder, { scene, columns }: PlanState) {
  const { index, stockUses } = scene.question;
  for (const { id, quantity } of index.inventory.adapterStock) {
    const takings: Taking[] = columns.flatMap(({ stay, adapters }, column) => {
      const amount = stockIdsOf(adapters).filter((stockId) => stockId === id).length;
      return amount === 0 ? [] : [{ ...scene.periodOf(stay), column, amount }];
    });
    for (const use of stockUses) {
      if (use.stockId === id) takings.push({ from: use.from, until: use.until, column: -1, amount: use.quantity });
    }
    addCapacity(builder, takings, quantity);
  }
}

function addLimits(builder: ModelBuilder, state: PlanState, choices: Choice[]) {
  const { scene, cuts } = state;
  const known = scene.limits.map((_, limit) => loadsOf(state, limit));
  for (const { limit, oneOf } of cuts) {
    const ofLimit = known[limit] ?? [];
    const [only] = oneOf;
    if (only !== undefined && oneOf.length === 1) addCapacity(builder, weighted(ofLimit, only), only.most);
    else addChoice(builder, ofLimit, oneOf, choices);
  }
}

interface LoadTaking extends Omit<Taking, 'amount'> {
  readonly amounts: readonly number[];
}

/** What every column, and what is there anyway, takes of a limit's part, by load. */
function loadsOf({ scene, classes, columns }: PlanState, limit: number): LoadTaking[] {
  const capacity = scene.limits[limit];
  if (capacity === undefined) return [];
  const { outletUses } = scene.question;
  const loadOfClass = classes.outlets.map(({ ids }) => capacity.indexOf(ids[0] ?? ''));
  const takings: LoadTaking[] = [];
  columns.forEach((column, i) => {
    const amounts = new Array<number>(capacity.loadCount).fill(0);
    let any = false;
    outletsWithIds(column, classes).forEach(({ outletClass, outletId }, place) => {
      const load = outletClass < 0 ? capacity.indexOf(outletId) : (loadOfClass[outletClass] ?? -1);
      if (load < 0) return;
      const share = scene.isRated ? 1 : scene.shareOf(outletId, column.statedVa[place] ?? null);
      amounts[load] = (amounts[load] ?? 0) + share;
      any = true;
    });
    if (any) takings.push({ ...scene.periodOf(column.stay), column: i, amounts });
  });
  for (const { outletId, by, statedVa, from, until } of outletUses) {
    const load = capacity.indexOf(outletId);
    if (load < 0 || by.kind === 'outOfService') continue;
    const amounts = new Array<number>(capacity.loadCount).fill(0);
    amounts[load] = scene.isRated ? 1 : scene.shareOf(outletId, statedVa);
    takings.push({ from, until, column: -1, amounts });
  }
  return takings;
}

/** Outlets of a column, each by its class and by one of that class; a kept place may have outlets that no class holds. */
function outletsWithIds({ stay, way, outletClasses }: PlanColumn, classes: PlanState['classes']) {
  return outletClasses.map((outletClass, place) => ({
    outletClass,
    outletId: (way === null ? stay.present?.outletIds[place] : classes.outlets[outletClass]?.ids[0]) ?? '',
  }));
}

function weighted(takings: readonly LoadTaking[], { perLoad }: LimitBound): Taking[] {
  return takings.flatMap(({ amounts, ...taking }) => {
    const amount = amounts.reduce((sum, each, load) => sum + each * (perLoad[load] ?? 0), 0);
    return amount === 0 ? [] : [{ ...taking, amount }];
  });
}

/** At every moment one of several bounds holds: a column for each says whether it is that one. */
function addChoice(
  builder: ModelBuilder,
  takings: readonly LoadTaking[],
  oneOf: readonly LimitBound[],
  choices: Choice[],
) {
  for (const { columns, at } of cliqueRows(takings.map(({ amounts: _, ...taking }) => ({ ...taking, amount: 1 })))) {
    const present = takings.filter(({ column, from, until }) => column < 0 && from <= at && at < until);
    const chosen = new Set(columns);
    const active = takings.filter(({ column }) => chosen.has(column));
    const bounds = oneOf.map((bound) => {
      const most = bound.most - sumOf(weighted(present, bound));
      const planned = weighted(active, bound);
      return { most: Math.max(0, most), planned, isHard: mostAtOnce(planned) > most };
    });
    if (bounds.some(({ isHard }) => !isHard)) continue;
    const picks = bounds.map(({ most, planned }) => {
      const pick = builder.addColumn(0, 1);
      const of = planned.map(({ column }) => column);
      const amounts = planned.map(({ amount }) => amount);
      const slack = Math.max(0, sumOf(planned) - most);
      builder.addRow(none, most + slack, [...of, pick], [...amounts, slack]);
      choices.push({ column: pick, columns: of, amounts, most });
      return pick;
    });
    builder.addRow(
      1,
      Number.POSITIVE_INFINITY,
      picks,
      picks.map(() => 1),
    );
  }
}

function sumOf(takings: readonly Taking[]): number {
  return takings.reduce((sum, { amount }) => sum + amount, 0);
}

/** A stay is placed once: of its columns the one that takes most counts. Known only as an upper bound here. */
function mostAtOnce(takings: readonly Taking[]): number {
  return sumOf(takings);
}

function addSetCuts(builder: ModelBuilder, state: PlanState) {
  for (const { limit, at, stays } of state.setCuts) {
    const takings = loadsOf(state, limit);
    const amountsOf = new Map(stays.map(({ stayId, amounts }) => [stayId, amounts]));
    const columns = takings.flatMap(({ column, amounts, from, until }) => {
      if (at < from || until <= at) return [];
      const least = column < 0 ? undefined : amountsOf.get(state.columns[column]?.stay.id ?? '');
      return least?.every((each, load) => (amounts[load] ?? 0) >= each) ? [column] : [];
    });
    builder.addRow(
      none,
      stays.length - 1,
      columns,
      columns.map(() => 1),
    );
  }
}

function addCapacity(builder: ModelBuilder, takings: readonly Taking[], most: number) {
  for (const { columns, amounts, fixed } of cliqueRows(takings)) {
    const left = Math.max(0, most - fixed);
    if (amounts.reduce((sum, amount) => sum + amount, 0) > left) builder.addRow(none, left, columns, amounts);
  }
}

/** The aims of a plan that the model proves, in their order. */
function addAims(builder: ModelBuilder, { question }: PlanScene, columns: readonly PlanColumn[]) {
  const { serve } = question.settings;
  const all = columns.map((_, i) => i);
  const add = (
    name: string,
    unit: string,
    sense: 'most' | 'least',
    own: readonly number[],
    of: (column: PlanColumn) => number,
  ) => {
    const weights = own.map((i) => of(columns[i] as PlanColumn));
    // A stay is placed once at most, or each of its parts.
    const mostOfStay = new Map<string, number>();
    own.forEach((i, k) => {
      const stay = columns[i]?.stay;
      const id = `${stay?.id} ${stay === undefined || isCounted(stay)}`;
      mostOfStay.set(id, Math.max(mostOfStay.get(id) ?? 0, weights[k] ?? 0));
    });
    const range = [...mostOfStay.values()].reduce((sum, most) => sum + most, 0);
    builder.addLevel({ name, unit, sense, range }, own, weights);
  };
  for (const priority of prioritiesOf(question.stays)) {
    const own = all.filter((i) => {
      const stay = columns[i]?.stay;
      return stay?.priority === priority && isCounted(stay);
    });
    const unit = serve === 'boats' ? 'boat' : 'night';
    add(servedAim(serve, priority), unit, 'most', own, ({ stay }) => (serve === 'boats' ? 1 : stay.nights));
  }
  for (const { name, unit, of } of costAims)
    add(
      name,
      unit,
      'least',
      all.filter((i) => of(columns[i]) > 0),
      of,
    );
}

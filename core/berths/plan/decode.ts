import { type Book, createBook } from './book.ts';
import { costAims, isCheaper, type PlanColumn, prioritiesOf } from './columns.ts';
import { cutOf, type LimitCut, type SetCut } from './limit-cuts.ts';
import { placesOf } from './place.ts';
import type { Placed } from './placed.ts';
import { type PlanState, sharpened } from './plan-state.ts';
import type { PlanStay } from './question.ts';

/** A plan as far as it could be read from a solution, and what the next model must know where it could not. */
export interface Reading {
  readonly book: Book;
  /** Stays that the solution places and that found no berth of their class, or that pass a limit together. */
  readonly lost: readonly PlanStay[];
  /** The state to go on with; null where the solution was read in full. */
  readonly next: PlanState | null;
}

/** Reads a solution: berths and outlets by name, by colouring the stays of each class. */
export function readSolution(state: PlanState, values: ArrayLike<number>): Reading {
  const chosen = state.columns.filter((_, i) => Math.round(values[i] ?? 0) === 1);
  const { cuts, setCuts } = passedLimits(state, chosen);
  const book = createBook(state.scene);
  const lost: PlanColumn[] = [];
  for (const column of inOrderOfPlacing(chosen)) if (!place(state, book, column)) lost.push(column);
  const still = lost.filter((column) => !makeRoom(state, book, column));
  const alone = new Set(state.alone);
  const before = alone.size;
  // A limit that is passed explains a stay that finds no place: its classes may well be fine.
  if (cuts.length + setCuts.length === 0) for (const column of still) splitClasses(state, column, alone);
  for (const { stay } of still) takeOut(book, stay);
  fill(state, book);
  const isLearned = cuts.length + setCuts.length > 0 || alone.size > before;
  const next = isLearned ? sharpened(state, alone, cuts, setCuts) : null;
  return { book, lost: still.map(({ stay }) => stay), next };
}

/** A plan without a solver: each stay in its turn where it costs least. To begin with, and where the time is short. */
export function placeInTurn(state: PlanState): Book {
  const book = createBook(state.scene);
  const keeps = state.columns.filter(({ way, stay }) => way === null && stay.promised);
  for (const column of keeps) place(state, book, column);
  fill(state, book);
  return book;
}

function inOrderOfPlacing(columns: readonly PlanColumn[]): PlanColumn[] {
  const rank = ({ way, stay }: PlanColumn) => (way === null ? 0 : stay.promised ? 1 : 2);
  return [...columns].sort((a, b) => rank(a) - rank(b) || a.stay.period.from - b.stay.period.from);
}

function place(state: PlanState, book: Book, column: PlanColumn): boolean {
  for (const placed of placesOf(state, book, column)) {
    if (book.conflicts(placed).length > 0) continue;
    book.add(placed);
    return true;
  }
  return false;
}

/** Takes a stay out of the book with both its parts. */
function takeOut(book: Book, stay: PlanStay): void {
  for (let placed = book.of(stay); placed !== undefined; placed = book.of(stay)) book.remove(placed);
}

const mostEjected = 400;

/** Makes room for a stay by finding others of the plan another berth or outlet of their own classes. */
function makeRoom(state: PlanState, book: Book, column: PlanColumn): boolean {
  const columnOf = new Map<PlanStay, PlanColumn[]>();
  let tries = mostEjected;
  const done: { readonly placed: Placed; readonly isAdded: boolean }[] = [];
  const change = (placed: Placed, isAdded: boolean) => {
    if (isAdded) book.add(placed);
    else book.remove(placed);
    done.push({ placed, isAdded });
  };
  /** Takes back everything since, whoever was moved by whom. */
  const backTo = (count: number) => {
    for (const { placed, isAdded } of done.splice(count).reverse()) {
      if (isAdded) book.remove(placed);
      else book.add(placed);
    }
  };
  const settle = (wanted: PlanColumn, depth: number, settled: ReadonlySet<PlanStay>): boolean => {
    for (const placed of placesOf(state, book, wanted)) {
      if (tries-- <= 0) return false;
      const conflicts = book.conflicts(placed, true);
      if (conflicts.length === 0) {
        change(placed, true);
        return true;
      }
      if (depth === 0) continue;
      const others = [...new Set(conflicts.map((conflict) => conflict.with))];
      if (others.some((other) => other === null || other.isKept || settled.has(other.stay))) continue;
      const moved = others.flatMap((other) => (other === null ? [] : [other]));
      const before = done.length;
      for (const other of moved) change(other, false);
      if (book.conflicts(placed).length === 0) {
        change(placed, true);
        const known = new Set([...settled, wanted.stay]);
        if (moved.every((other) => settle(columnFor(other), depth - 1, known))) return true;
      }
      backTo(before);
    }
    return false;
  };
  const columnFor = ({ stay, berth, outletIds }: Placed): PlanColumn => {
    const own = columnOf.get(stay) ?? state.columns.filter((each) => each.stay === stay && each.way !== null);
    columnOf.set(stay, own);
    const berthClass = state.classes.berthClassOf.get(berth.id);
    const outlets = outletIds.map((id) => state.classes.outletClassOf.get(id) ?? -1).sort((a, b) => a - b);
    const same = own.find(
      (each) =>
        each.berthClass === berthClass && [...each.outletClasses].sort((a, b) => a - b).join() === outlets.join(),
    );
    if (same === undefined) throw new Error(`stay "${stay.id}" lies where no column of the plan puts it`);
    return same;
  };
  return settle(column, 2, new Set());
}

/** Every berth and outlet that a column's stay could have had becomes a class of its own. */
function splitClasses({ classes }: PlanState, { berthClass, outletClasses }: PlanColumn, alone: Set<string>): void {
  const of = classes.berths[berthClass];
  for (const berth of of?.berths ?? []) {
    alone.add(berth.id);
    for (const id of berth.unitIds) alone.add(id);
  }
  for (const outlet of new Set([...outletClasses, ...(of?.outletClasses ?? [])])) {
    for (const id of classes.outlets[outlet]?.ids ?? []) alone.add(id);
  }
}

/** Places what is not placed yet where nothing stands in the way: most important first, then who leaves first. */
function fill(state: PlanState, book: Book): void {
  const columnsOf = new Map<PlanStay, PlanColumn[]>();
  for (const column of state.columns) {
    if (book.isPlaced(column.stay)) continue;
    const own = columnsOf.get(column.stay);
    if (own === undefined) columnsOf.set(column.stay, [column]);
    else own.push(column);
  }
  const order = state.scene.question.stays
    .filter((stay) => !book.isPlaced(stay))
    .sort(
      (a, b) => Number(b.promised) - Number(a.promised) || b.priority - a.priority || a.occupiedUntil - b.occupiedUntil,
    );
  const placeCheapest = (stay: PlanStay): boolean => {
    const columns = columnsOf.get(stay) ?? [];
    columns.sort((a, b) => (isCheaper(a.costs, b.costs) ? -1 : isCheaper(b.costs, a.costs) ? 1 : 0));
    return columns.some((column) => place(state, book, column));
  };
  const unplaced = order.filter((stay) => !placeCheapest(stay));
  for (const stay of unplaced) {
    for (const [first, second] of state.scene.partsOf(stay)) {
      if (placeCheapest(first) && placeCheapest(second)) break;
      takeOut(book, stay);
    }
  }
}

/** Limits that the chosen columns pass together, and what the model has to know to choose otherwise. */
function passedLimits(state: PlanState, chosen: readonly PlanColumn[]) {
  const { scene, classes } = state;
  const cuts: LimitCut[] = [];
  const setCuts: SetCut[] = [];
  scene.limits.forEach((capacity, limit) => {
    interface Loading {
      readonly stayId: string | null;
      readonly from: number;
      readonly until: number;
      readonly amounts: number[];
    }
    const takings: Loading[] = [];
    const take = (stayId: string | null, period: { from: number; until: number }, amounts: number[]) => {
      if (amounts.some((amount) => amount > 0)) takings.push({ stayId, ...period, amounts });
    };
    const nothing = () => new Array<number>(capacity.loadCount).fill(0);
    for (const column of chosen) {
      const amounts = nothing();
      column.outletClasses.forEach((outletClass, i) => {
        const id = column.way === null ? column.stay.present?.outletIds[i] : classes.outlets[outletClass]?.ids[0];
        const load = capacity.indexOf(id ?? '');
        const share = scene.isRated ? 1 : scene.shareOf(id ?? '', column.statedVa[i] ?? null);
        if (load >= 0) amounts[load] = (amounts[load] ?? 0) + share;
      });
      take(column.stay.id, scene.periodOf(column.stay), amounts);
    }
    for (const { outletId, by, from, until, statedVa } of scene.question.outletUses) {
      const load = capacity.indexOf(outletId);
      if (load < 0 || by.kind === 'outOfService') continue;
      const amounts = nothing();
      amounts[load] = scene.isRated ? 1 : scene.shareOf(outletId, statedVa);
      take(null, { from, until }, amounts);
    }
    const seen = new Set<string>();
    for (const at of new Set(takings.map(({ from }) => from))) {
      const active = takings.filter(({ from, until }) => from <= at && at < until);
      const sums = Float64Array.from(nothing(), (_, load) =>
        active.reduce((sum, each) => sum + (each.amounts[load] ?? 0), 0),
      );
      const own = active.filter(({ stayId }) => stayId !== null);
      if (own.length === 0 || !capacity.isOver(sums)) continue;
      if (scene.isRated) {
        const key = sums.join();
        if (!seen.has(key)) cuts.push(cutOf(capacity, limit, sums));
        seen.add(key);
      } else {
        setCuts.push({ limit, at, stays: own.map(({ stayId, amounts }) => ({ stayId: stayId ?? '', amounts })) });
      }
    }
  });
  return { cuts, setCuts };
}

/** What a plan reaches in each aim, in their order. */
export function aimsReached({ scene }: PlanState, placed: readonly Placed[]): number[] {
  const { serve } = scene.question.settings;
  const stays = new Map(placed.map((each) => [each.stay.id, each]));
  const served = prioritiesOf(scene.question.stays).map((priority) =>
    [...stays.values()]
      .filter(({ stay }) => stay.priority === priority)
      .reduce((sum, { stay }) => sum + (serve === 'boats' ? 1 : stay.nights), 0),
  );
  return [...served, ...costAims.map(({ of }) => placed.reduce((sum, each) => sum + of(each), 0))];
}

/** A plan as values of the model's columns; null where it holds a place that no column stands for. */
export function columnsOfPlan({ classes, columns }: PlanState, placed: readonly Placed[]): Map<number, number> | null {
  const byStay = new Map(placed.map((each) => [each.stay, each]));
  const values = new Map<number, number>();
  const keyOf = (berthClass: number, outletClasses: readonly number[]) =>
    `${berthClass} ${[...outletClasses].sort((a, b) => a - b)}`;
  const found = new Set<PlanStay>();
  columns.forEach(({ stay, way, berthClass, outletClasses }, i) => {
    const each = byStay.get(stay);
    if (each === undefined || found.has(stay) || each.isKept !== (way === null)) return;
    const own = keyOf(
      classes.berthClassOf.get(each.berth.id) ?? -1,
      each.outletIds.map((id) => classes.outletClassOf.get(id) ?? -1),
    );
    if (way !== null && own !== keyOf(berthClass, outletClasses)) return;
    values.set(i, 1);
    found.add(stay);
  });
  return found.size === byStay.size ? values : null;
}

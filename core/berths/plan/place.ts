import { statedVaOf } from '../../electrical/boat-load/load-of-boat.ts';
import { spreadStatedVa } from '../../electrical/demand/spread-stated.ts';
import type { Berth } from '../../inventory/inventory.ts';
import { judgeChoice } from '../options/judge-choice.ts';
import type { BerthOption } from '../options/options.ts';
import { prepare } from '../options/prepare.ts';
import { toldValue } from '../told-value.ts';
import type { Book } from './book.ts';
import { notNative, type PlanColumn } from './columns.ts';
import { movesOf } from './parts.ts';
import type { Placed } from './placed.ts';
import type { PlanState } from './plan-state.ts';
import type { PlanStay } from './question.ts';
import type { PlanScene } from './scene.ts';
import type { WayToLie } from './ways-to-lie.ts';

/** Every way to give a column's stay a berth and outlets of its classes, whoever else is there. */
export function* placesOf({ scene, classes }: PlanState, book: Book, column: PlanColumn): Generator<Placed> {
  const { stay, way, berthClass } = column;
  if (way === null) {
    const kept = keptPlace(scene, column);
    if (kept !== null) yield kept;
    return;
  }
  const members = classes.berths[berthClass];
  if (members === undefined) return;
  if (members.isFace) {
    for (const berth of members.berths) {
      const placed = placeOnFace(scene, book, stay, berth);
      if (placed !== null) yield placed;
    }
    return;
  }
  const wanted = [...column.outletClasses].sort((a, b) => a - b).join();
  const { from } = stay.period;
  // The berth that was left last: gaps stay as long as they can be.
  const berths = [...members.berths].map((berth) => ({ berth, idleSince: book.lastUseBefore(berth, from) }));
  berths.sort((a, b) => b.idleSince - a.idleSince);
  for (const { berth } of berths) {
    for (const own of scene.judge.ways(stay, berth).ways) {
      if (!scene.mayTake(stay, own)) continue;
      const taken = own.positions.map((position) => members.outletClasses[position] ?? -1).sort((a, b) => a - b);
      if (taken.join() === wanted && isAsGood(own, way)) yield placedBy(scene, stay, berth, own);
    }
  }
}

function isAsGood(a: WayToLie, b: WayToLie): boolean {
  return notNative(a) <= notNative(b) && a.waste <= b.waste;
}

export function placedBy(scene: PlanScene, stay: PlanStay, berth: Berth, way: WayToLie): Placed {
  const { orientation, adapters, statedVa, waste } = way;
  return {
    stay,
    isKept: false,
    berth,
    orientation,
    place: null,
    outletIds: scene.outletIdsOf(berth, way),
    adapters,
    statedVa,
    costs: {
      moves: movesOf(stay),
      notNative: notNative(way),
      waste,
      unmet: scene.unmetWishes(stay, berth, orientation),
    },
    period: scene.periodOf(stay),
  };
}

function keptPlace(scene: PlanScene, { stay, costs }: PlanColumn): Placed | null {
  const { present } = stay;
  const berth = present === null ? undefined : scene.question.index.berths.get(present.berthId);
  if (present === null || berth === undefined) return null;
  const { orientation, place, outletIds, adapters, statedVa } = present;
  const period = scene.periodOf(stay);
  return { stay, isKept: true, berth, orientation, place, outletIds, adapters, statedVa, costs, period };
}

/** Metres of a face and outlets there, by the rules of the options, with everybody of the book there. */
export function placeOnFace(scene: PlanScene, book: Book, stay: PlanStay, berth: Berth): Placed | null {
  const option = judgedAt(scene, book, stay, berth, null);
  if (option.verdict === 'refused') return null;
  const { positions: _, ...like } = wayOf(scene, stay, berth, option);
  const way: WayToLie = { ...like, positions: [] };
  if (!scene.mayTake(stay, way)) return null;
  return { ...placedBy(scene, stay, berth, way), place: option.place, outletIds: option.outletIds };
}

/** A berth for a stay as core's own rules judge it with everybody of the book there. */
export function judgedAt(
  scene: PlanScene,
  book: Book,
  stay: PlanStay,
  berth: Berth,
  fixed: Pick<Placed, 'orientation' | 'place' | 'outletIds'> | null,
): BerthOption {
  const { index, practice } = scene.question;
  const { boat, period, occupiedUntil, localDays, wishes } = stay;
  const uses = book.uses({ from: period.from, until: occupiedUntil }, stay);
  const prepared = prepare({ index, practice, boat, period, occupiedUntil, localDays, wishes, ...uses });
  const choice =
    fixed === null
      ? { orientation: null, place: null, hookUp: null }
      : { orientation: fixed.orientation, place: fixed.place, hookUp: null, outletIds: fixed.outletIds };
  return judgeChoice(prepared, berth, choice).describe();
}

function wayOf(scene: PlanScene, stay: PlanStay, berth: Berth, option: BerthOption): WayToLie {
  const { index } = scene.question;
  const { hookUp, outletIds, orientation, cords } = option;
  const adapters = (hookUp?.hookUp.adapters ?? []).map(({ kindId, from, stockId }) => ({ kindId, from, stockId }));
  const drawnVa = hookUp === null ? null : statedVaOf(stay.boat);
  const spread = spreadStatedVa(index, outletIds, drawnVa);
  const known = scene.judge
    .ways(stay, berth)
    .ways.find((way) => scene.outletIdsOf(berth, way).join() === [...outletIds].join());
  const unfed = stay.boat.inlets.length - (hookUp?.inlets.length ?? 0);
  const wantsNone = toldValue(stay.boat.wantsPower) === false;
  return {
    orientation,
    positions: [],
    adapters,
    cordsM: cords.map(({ inletId, lengthM }) => ({ inletId, lengthM })),
    statedVa: outletIds.map((id) => spread.get(id) ?? null),
    isNative: known?.isNative ?? (wantsNone || (hookUp !== null && adapters.length === 0 && unfed <= 0)),
    adaptersToBring: adapters.filter(({ from }) => from === 'toBring').length,
    waste: known?.waste ?? 0,
  };
}

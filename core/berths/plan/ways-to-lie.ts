import { statedVaOf } from '../../electrical/boat-load/load-of-boat.ts';
import { spreadStatedVa } from '../../electrical/demand/spread-stated.ts';
import { hookUpClassKey } from '../../electrical/hook-up/like-outlets.ts';
import type { Finding } from '../../findings.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Berth, Orientation } from '../../inventory/inventory.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { cordsNeeded, doubtOfCords, type Lying, measureCords } from '../options/cords.ts';
import { noDemand } from '../options/demand-figures.ts';
import { addDoubt, isRefused } from '../options/doubt.ts';
import { countUnmet } from '../options/judge-wishes.ts';
import { noWishes } from '../options/options.ts';
import { outletsAt } from '../options/outlets-at.ts';
import type { PowerWay } from '../options/power-way.ts';
import { powerWays } from '../options/power-ways.ts';
import { prepare } from '../options/prepare.ts';
import type { Prepared } from '../options/prepared.ts';
import { rankBerth } from '../options/rank-berths.ts';
import { berthFacts, type ReachedOutlet } from '../options/reached-outlets.ts';
import { roomIn } from '../options/room.ts';
import { compareScores, type Score, scoreOf } from '../options/score.ts';
import { toldValue } from '../told-value.ts';
import type { AdapterOfPlan, PlanStay } from './question.ts';

/** One way for a stay to lie and be powered in a berth, were it alone in the marina. Not refused by any rule. */
export interface WayToLie {
  readonly orientation: Orientation;
  /** Places of its outlets in the berth's list of shore-power outlets, ascending. */
  readonly positions: readonly number[];
  readonly adapters: readonly AdapterOfPlan[];
  readonly cordsM: readonly { readonly inletId: string; readonly lengthM: number | null }[];
  /** What the boat says it draws, over its outlets; null: their ratings count. */
  readonly statedVa: readonly (number | null)[];
  /** Neither an adapter nor an inlet left out, and the hook-up is known. */
  readonly isNative: boolean;
  readonly adaptersToBring: number;
  /** Length and width left over, in metres, and outlet rating left over, in tens of amperes: whole numbers. */
  readonly waste: number;
}

export interface WaysInBerth {
  readonly ways: readonly WayToLie[];
  /** Rules that refuse the berth, where there is no way. */
  readonly refusedBy: readonly string[];
}

export interface PlanJudge {
  /** A number for stays whose boats are alike for every rule, tide included, and for how they wish to lie. */
  readonly kindOf: (stay: PlanStay) => number;
  /** Berths with the same number are alike for every rule, whatever their place in the marina. */
  readonly likenessOf: (berth: Berth) => number;
  /** Judged once for each kind of boat and likeness of berths. */
  readonly ways: (stay: PlanStay, berth: Berth) => WaysInBerth;
}

const mostWays = 12;
const mostWaste = 30;

/**
 * Judges stays and berths by the rules of the options, with nobody else in the marina: what others take, and the load of
 * the equipment, are the plan's own constraints.
 */
export function planJudge(index: InventoryIndex, practice: DemandPractice): PlanJudge {
  const kinds = new Map<string, number>();
  const prepared: Prepared[] = [];
  const likenessOf = likenesses(index);
  const known = new Map<string, WaysInBerth>();
  const kindOfStay = new Map<PlanStay, number>();
  const kindOf = (stay: PlanStay): number => {
    const found = kindOfStay.get(stay) ?? newKindOf(stay);
    kindOfStay.set(stay, found);
    return found;
  };
  const newKindOf = (stay: PlanStay): number => {
    const { id: _, name: __, ...facts } = stay.boat;
    const key = JSON.stringify([facts, lowTideKey(stay, index), stay.wishes.orientation], (name, value) =>
      name === 'at' ? undefined : value,
    );
    const kind = kinds.get(key) ?? kinds.size;
    if (kind === kinds.size) {
      kinds.set(key, kind);
      prepared.push(alone(index, practice, stay));
    }
    return kind;
  };
  return {
    kindOf,
    likenessOf,
    ways: (stay, berth) => {
      const kind = kindOf(stay);
      const key = `${kind} ${likenessOf(berth)}`;
      const found = known.get(key);
      if (found !== undefined) return found;
      const of = prepared[kind];
      if (of === undefined) throw new Error(`kind ${kind} of boats was not prepared`);
      const ways = waysIn(of, berth);
      known.set(key, ways);
      return ways;
    },
  };
}

function alone(index: InventoryIndex, practice: DemandPractice, stay: PlanStay): Prepared {
  const { boat, period, occupiedUntil, localDays } = stay;
  return prepare({
    index,
    practice,
    boat,
    period,
    occupiedUntil,
    localDays,
    // Where it wishes to lie is a matter of the berth; which way round, one of the way.
    wishes: { ...noWishes, orientation: stay.wishes.orientation },
    spaceUses: [],
    outletUses: [],
    stockUses: [],
  });
}

/** The tide of a stay's days matters only where a marina has predictions. */
function lowTideKey({ localDays }: PlanStay, { inventory }: InventoryIndex): unknown {
  const { predictedLowTides } = inventory.settings;
  return predictedLowTides.length === 0 ? null : localDays;
}

/** Berths alike in measures, dock, mooring, and in what they reach from where. */
function likenesses(index: InventoryIndex): (berth: Berth) => number {
  const numbers = new Map<string, number>();
  const ofBerths = new Map<Berth, number>();
  return (berth) => {
    const found = ofBerths.get(berth);
    if (found !== undefined) return found;
    const { fitClass, dock, shorePower } = berthFacts(index, berth);
    const reached = shorePower.map(({ reach: { alongM, acrossM, detourM }, outlet }) => [
      alongM,
      acrossM,
      detourM,
      outlet.heightM,
    ]);
    const supplies = hookUpClassKey(shorePower.map(({ supply }) => supply));
    const units = berth.unitIds.length;
    const key = JSON.stringify([fitClass, dock.kind, berth.orientations, units, supplies, reached]);
    const number = numbers.get(key) ?? numbers.size;
    numbers.set(key, number);
    ofBerths.set(berth, number);
    return number;
  };
}

interface Judged {
  readonly way: PowerWay;
  readonly outlets: readonly ReachedOutlet[];
  readonly lying: Lying;
  readonly score: Score;
}

function waysIn(prepared: Prepared, berth: Berth): WaysInBerth {
  const facts = prepared.factsOf(berth);
  const fit = prepared.fitOf(facts);
  const { said, places } = roomIn(prepared, berth);
  const none = (): WaysInBerth => ({ ways: [], refusedBy: refusalsIn(prepared, berth) });
  if (isRefused(fit.doubt) || isRefused(said.doubt)) return none();
  const best = new Map<string, Judged>();
  const units = berth.unitIds.length;
  for (const place of places) {
    const { free, first, more } = powerWays(prepared, berth, outletsAt(prepared, facts, place.metres));
    for (const way of [...first, ...more()]) {
      if (isRefused(way.least)) continue;
      const { doubt: ofHookUp, feeds } = way.hookUp();
      const judged = addDoubt(addDoubt(fit.doubt, said.doubt), ofHookUp);
      if (isRefused(judged)) continue;
      for (const outlets of way.choices(free)) {
        for (const orientation of berth.orientations) {
          const lying: Lying = { facts, orientation, place: place.metres };
          const doubt = addDoubt(judged, doubtOfCords(measureCords(prepared, lying, feeds, outlets)));
          if (isRefused(doubt)) continue;
          const unmet = countUnmet(prepared.question.wishes, lying);
          const score = scoreOf(doubt, way, units, fit.roomLeftM, noDemand, 0, unmet);
          const key = positionsOf(facts.shorePower, outlets).join();
          const before = best.get(key);
          if (before === undefined || compareScores(score, before.score) < 0) {
            best.set(key, { way, outlets, lying, score });
          }
        }
      }
    }
  }
  if (best.size === 0) return none();
  const ways = [...best.values()].sort((a, b) => compareScores(a.score, b.score)).slice(0, mostChosen(berth));
  return { ways: ways.map((judged) => wayOf(prepared, fit.roomLeftM, judged)), refusedBy: [] };
}

/** A face has outlets all along it, and which of them are near is a matter of where the boat comes to lie. */
function mostChosen(berth: Berth): number {
  return berth.faceFromM === null ? mostWays : 4 * mostWays;
}

function positionsOf(shorePower: readonly ReachedOutlet[], outlets: readonly ReachedOutlet[]): number[] {
  return outlets
    .map(({ outlet }) => shorePower.findIndex((reached) => reached.outlet.id === outlet.id))
    .sort((a, b) => a - b);
}

function wayOf(prepared: Prepared, roomLeftM: number, { way, outlets, lying }: Judged): WayToLie {
  const { index, boat } = prepared.question;
  const { hookUp } = way.words(outlets);
  const cords = cordsNeeded(measureCords(prepared, lying, way.hookUp().feeds, outlets));
  const positions = positionsOf(lying.facts.shorePower, outlets);
  const inOrder = positions.flatMap((position) => lying.facts.shorePower[position]?.outlet.id ?? []);
  // While its inlets are unknown the outlet's rating is kept, whatever the boat says it draws.
  const drawnVa = hookUp === null ? null : statedVaOf(boat);
  const spread = spreadStatedVa(index, inOrder, drawnVa);
  const adapters = (hookUp?.hookUp.adapters ?? []).map(({ kindId, from, stockId }) => ({ kindId, from, stockId }));
  const wantsNone = toldValue(boat.wantsPower) === false;
  return {
    orientation: lying.orientation,
    positions,
    adapters,
    cordsM: cords.map(({ inletId, lengthM }) => ({ inletId, lengthM })),
    statedVa: inOrder.map((id) => spread.get(id) ?? null),
    isNative: wantsNone || (hookUp !== null && way.adapters === 0 && way.inletsUnfed === 0),
    adaptersToBring: way.adaptersToBring,
    waste: Math.min(mostWaste, Math.round(roomLeftM)) + Math.min(mostWaste, Math.round(way.outletLeftA / 10)),
  };
}

function refusalsIn(prepared: Prepared, berth: Berth): string[] {
  const { findings } = rankBerth(prepared, berth).describe();
  return [...new Set(findings.filter(({ level }: Finding) => level === 'refuse').map(({ rule }) => rule))];
}

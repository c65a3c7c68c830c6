import { fitWaste, judgeFit } from '../core/berths/fit.ts';
import type { OutletUse, SpaceUse, StockUse } from '../core/berths/occupancy.ts';
import type { BerthOption } from '../core/berths/options/options.ts';
import { prepare } from '../core/berths/options/prepare.ts';
import type { Prepared } from '../core/berths/options/prepared.ts';
import { type RankedBerth, rankBerth, rankBerths } from '../core/berths/options/rank-berths.ts';
import { compareScores } from '../core/berths/options/score.ts';
import { deriveOutletUses } from '../core/berths/outlet-uses.ts';
import { deriveSpaceUses } from '../core/berths/space-uses.ts';
import { toldValue } from '../core/berths/told-value.ts';
import type { Boat } from '../core/boats.ts';
import { spreadStatedVa } from '../core/electrical/demand/spread-stated.ts';
import type { Finding } from '../core/findings.ts';
import type { InventoryIndex } from '../core/inventory/index-inventory.ts';
import type { Berth } from '../core/inventory/inventory.ts';
import type { Period } from '../core/periods.ts';
import type { DemandPractice } from '../core/standards/demand-practice.ts';
import { addDays, localDay } from './days.ts';
import type { DemoHolding } from './holders.ts';
import type { DemoStay } from './season.ts';

/** Where a stay lies, or the words of the berths that came nearest. */
export type Placement =
  | { readonly stay: DemoStay; readonly boat: Boat; readonly option: BerthOption; readonly occupiedUntil: number }
  | { readonly stay: DemoStay; readonly option: null; readonly refusals: readonly Finding[] };

/**
 * Gives each stay the best berth that the rules leave it, in the order given, each seeing those before it: the service's
 * own judgement, on occupancy kept in memory so that a season takes seconds.
 */
export function placeStays(
  index: InventoryIndex,
  practice: DemandPractice,
  holdings: readonly DemoHolding[],
  boats: ReadonlyMap<string, Boat>,
  stays: readonly DemoStay[],
): Placement[] {
  const { timeZone, settings } = index.inventory;
  let spaceUses: SpaceUse[] = heldSpace(holdings);
  let outletUses: OutletUse[] = heldOutlets(holdings);
  let stockUses: StockUse[] = [];
  const yetToCome = earliestOfRest(stays);
  return stays.map((stay, i): Placement => {
    const boat = boats.get(stay.boatId);
    if (boat === undefined) throw new Error(`stay "${stay.id}" names no boat of the demo`);
    const { from, until } = stay;
    const occupiedUntil = until + settings.turnoverMinutes * 60_000;
    if (i % 50 === 0) {
      const matters = (use: Period) => use.until > (yetToCome[i] ?? 0);
      spaceUses = spaceUses.filter(matters);
      outletUses = outletUses.filter(matters);
      stockUses = stockUses.filter(matters);
    }
    const during = (use: Period) => use.from < occupiedUntil && from < use.until;
    const prepared = prepare({
      index,
      practice,
      boat,
      period: { from, until },
      occupiedUntil,
      localDays: { from: localDay(from, timeZone), until: addDays(localDay(until, timeZone), 1) },
      wishes: stay.wishes,
      spaceUses: spaceUses.filter(during),
      outletUses: outletUses.filter(during),
      stockUses: stockUses.filter(during),
    });
    const option = (preferred(prepared, stay) ?? bestOfTheSnug(prepared) ?? rankBerths(prepared)[0])?.describe();
    if (option === undefined) throw new Error('the demo marina has no berth');
    if (option.verdict === 'refused') {
      return { stay, option: null, refusals: option.findings.filter(({ level }) => level === 'refuse') };
    }
    const by = { kind: 'assignment', id: assignmentId(stay), label: boat.name } as const;
    const kept = { from, until: occupiedUntil };
    spaceUses.push(...spaceOf(index, option).map((part) => ({ ...part, ...kept, by })));
    outletUses.push(...outletsOf(index, boat, option).map((outlet) => ({ ...outlet, ...kept, by })));
    stockUses.push(...stockOf(option).map((use) => ({ ...use, ...kept, assignmentId: by.id })));
    return { stay, boat, option, occupiedUntil };
  });
}

/** For each stay the earliest arrival among it and those after it: what ended before is of no more interest. */
function earliestOfRest(stays: readonly DemoStay[]): number[] {
  const earliest: number[] = [];
  let least = Number.POSITIVE_INFINITY;
  for (let i = stays.length - 1; i >= 0; i--) {
    least = Math.min(least, stays[i]?.from ?? least);
    earliest[i] = least;
  }
  return earliest;
}

export function assignmentId(stay: { readonly id: string }): string {
  return `${stay.id}-berth`;
}

function preferred(prepared: Prepared, stay: DemoStay): RankedBerth | undefined {
  for (const id of stay.preferredBerthIds) {
    const berth = prepared.question.index.berths.get(id);
    const ranked = berth === undefined ? undefined : rankBerth(prepared, berth);
    if (ranked !== undefined && ranked.verdict !== 'refused') return ranked;
  }
  return undefined;
}

const snugAtOnce = 4;

/**
 * The best of the four free berths that leave the least room over, or of the next four where all of these are refused:
 * what a harbormaster looks at, and a tenth of the work of ranking every berth. Undefined where none will do.
 */
function bestOfTheSnug(prepared: Prepared): RankedBerth | undefined {
  const { question, lowTide, usesOfUnit } = prepared;
  const { boat, index } = question;
  const isRefused = (findings: readonly Finding[]) => findings.some(({ level }) => level === 'refuse');
  const snug = index.inventory.berths
    .filter((berth) => berth.faceFromM !== null || berth.unitIds.every((id) => !usesOfUnit.has(id)))
    .filter((berth) => !isRefused(judgeFit(boat, berth, lowTide, index.inventory.settings)))
    .map((berth) => ({ berth, roomLeftM: roomLeftM(boat, berth) }))
    .sort((a, b) => a.roomLeftM - b.roomLeftM);
  for (let i = 0; i < snug.length; i += snugAtOnce) {
    const [best] = snug
      .slice(i, i + snugAtOnce)
      .map(({ berth }) => rankBerth(prepared, berth))
      .sort((a, b) => compareScores(a.score, b.score));
    if (best !== undefined && best.verdict !== 'refused') return best;
  }
  return undefined;
}

/** The face is kept for boats that the slips do not take. */
function roomLeftM(boat: Boat, berth: Berth): number {
  if (berth.faceFromM !== null) return 100;
  const { lengthLeftM, beamLeftM } = fitWaste(boat, berth);
  return (lengthLeftM ?? 20) + (beamLeftM ?? 5);
}

/** The units, whole or in metres, that an option takes. */
export function spaceOf(index: InventoryIndex, { berthId, place }: Pick<BerthOption, 'berthId' | 'place'>) {
  const { fromM, untilM } = place ?? { fromM: 0, untilM: 1 };
  return (index.berths.get(berthId)?.unitIds ?? []).map((unitId) => ({ unitId, fromM, untilM }));
}

/** The outlets that an option takes, with what each carries of what the boat says it draws. */
export function outletsOf(index: InventoryIndex, boat: Boat, { outletIds, hookUp }: BerthOption) {
  const drawnVa = hookUp === null ? null : toldValue(boat.statedLoadVa);
  return [...spreadStatedVa(index, outletIds, drawnVa)].map(([outletId, statedVa]) => ({ outletId, statedVa }));
}

/** What an option takes from the dock's stock. */
export function stockOf({ hookUp }: Pick<BerthOption, 'hookUp'>): { stockId: string; quantity: number }[] {
  const quantities = new Map<string, number>();
  for (const { stockId } of hookUp?.hookUp.adapters ?? []) {
    if (stockId !== null) quantities.set(stockId, (quantities.get(stockId) ?? 0) + 1);
  }
  return [...quantities].map(([stockId, quantity]) => ({ stockId, quantity }));
}

export function heldSpace(holdings: readonly DemoHolding[]): SpaceUse[] {
  return deriveSpaceUses({
    assignments: [],
    outOfService: [],
    holdings: holdings.map(({ berthId, from, until, absences, ...holding }) => ({
      by: heldBy(holding),
      from,
      until,
      parts: [{ unitId: berthId, fromM: 0, untilM: 1 }],
      absences: absences.map((absence) => ({ ...absence, recalledFrom: null })),
    })),
    groups: [],
  });
}

export function heldOutlets(holdings: readonly DemoHolding[]): OutletUse[] {
  return deriveOutletUses({
    assignments: [],
    outOfService: [],
    holdings: holdings.flatMap(({ outlets, from, until, absences, ...holding }) =>
      outlets.map(({ outletId, loadVa }) => ({
        by: heldBy(holding),
        from,
        until,
        absences: absences.map((absence) => ({ ...absence, recalledFrom: null })),
        outletIds: [outletId],
        statedVa: loadVa,
      })),
    ),
  });
}

function heldBy({ id, holderName }: Pick<DemoHolding, 'id' | 'holderName'>) {
  return { kind: 'holding', id, label: holderName } as const;
}

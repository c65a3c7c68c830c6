import type { Boat } from '../core/boats.ts';
import type { InventoryIndex } from '../core/inventory/index-inventory.ts';
import { rulesEdition } from '../core/rules-edition.ts';
import { connectionDocument, tightestDocument } from '../server/berth-options/schema.ts';
import { instant } from './bulk-insert.ts';
import { localDay } from './days.ts';
import type { DemoHolding } from './holders.ts';
import { type Reasons, reasonsOf } from './judge-turned-away.ts';
import { assignmentId, outletsOf, type Placement, spaceOf, stockOf } from './place-stays.ts';
import type { DemoStay } from './season.ts';
import type { DemoTurnedAway } from './turned-away.ts';

/** What has been asked for and given, as rows of the database. */

export function boatRow({ id, name, ...facts }: Boat, createdAt: number) {
  return { id, name, facts, created_at: instant(createdAt) };
}

export function holdingRow({ id, berthId, boat, holderName, from, until, outlets }: DemoHolding) {
  return {
    id,
    berth_id: berthId,
    boat_id: boat.id,
    holder_name: holderName,
    from_at: instant(from),
    until_at: instant(until),
    outlets,
  };
}

export function absenceRows({ id, absences }: DemoHolding) {
  return absences.map((absence) => ({
    id: absence.id,
    holding_id: id,
    from_at: instant(absence.from),
    until_at: instant(absence.until),
  }));
}

function stayRow(stay: Omit<DemoStay, 'course' | 'preferredBerthIds'>, state: string) {
  return {
    id: stay.id,
    boat_id: stay.boatId,
    contact_name: stay.contactName,
    contact_phone: stay.contactPhone,
    arrival_at: instant(stay.from),
    departure_at: instant(stay.until),
    state,
    wishes: stay.wishes,
    note: stay.note,
    created_at: instant(stay.calledAt),
  };
}

export function turnedAwayRow({ otherwise: _, ...call }: DemoTurnedAway, reasons: Reasons) {
  return { ...stayRow(call, 'turnedAway'), turned_away_reasons: reasons };
}

/** A stay that got no berth: open, or never come. */
export function unplacedStayRow(stay: DemoStay) {
  const states = { place: 'requested', leaveOpen: 'requested', cancelled: 'cancelled', noShow: 'noShow' } as const;
  return stayRow(stay, states[stay.course]);
}

/** A stay as it went: gone, here, or expected. One that no berth would take was turned away if its time has come. */
export function placedStayRow(placement: Placement, now: number, timeZone: string) {
  const { stay } = placement;
  if (placement.option === null) {
    if (stay.from > now) return stayRow(stay, 'requested');
    const reasons = reasonsOf(placement.refusals);
    return { ...stayRow(stay, 'turnedAway'), turned_away_reasons: reasons };
  }
  if (stay.until <= now) return stayRow(stay, 'departed');
  return stayRow(stay, localDay(stay.from, timeZone) < localDay(now, timeZone) ? 'arrived' : 'promised');
}

/** The rows of one placement: the assignment as it was judged, and what it takes of space, outlets and stock. */
export function assignmentRows(index: InventoryIndex, inventoryRevision: number, placement: Placement) {
  if (placement.option === null) return { assignment: [], spaces: [], outlets: [], stock: [] };
  const { stay, boat, option, occupiedUntil } = placement;
  const id = assignmentId(stay);
  const period = { from_at: instant(stay.from), until_at: instant(occupiedUntil), assignment_id: id };
  const assignment = {
    id,
    stay_id: stay.id,
    berth_id: option.berthId,
    face_from_m: option.place?.fromM ?? null,
    face_until_m: option.place?.untilM ?? null,
    orientation: option.orientation,
    from_at: instant(stay.from),
    until_at: instant(stay.until),
    occupied_until: instant(occupiedUntil),
    hook_up: {
      connection: connectionDocument(option.hookUp),
      outletIds: option.outletIds,
      cords: option.cords,
      tightest: tightestDocument(option.tightest),
    },
    findings: option.findings,
    verdict: option.verdict,
    overrides: [],
    rules_edition: rulesEdition,
    inventory_revision: inventoryRevision,
    created_at: instant(stay.calledAt),
  };
  const spaces = spaceOf(index, option).map(({ unitId, fromM, untilM }) => ({
    unit_id: unitId,
    from_m: fromM,
    until_m: untilM,
    ...period,
  }));
  const outlets = outletsOf(index, boat, option).map(({ outletId, statedVa }) => ({
    outlet_id: outletId,
    stated_va: statedVa,
    ...period,
  }));
  const stock = stockOf(option).map(({ stockId, quantity }) => ({ stock_id: stockId, quantity, ...period }));
  return { assignment: [assignment], spaces, outlets, stock };
}

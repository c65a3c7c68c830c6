import { createHash } from 'node:crypto';
import type { OutletUse, SpaceUse } from '../../core/berths/occupancy.ts';
import type { PlanQuestion, PlanStay, PresentPlace } from '../../core/berths/plan/question.ts';
import { toldValue } from '../../core/berths/told-value.ts';
import { spreadStatedVa } from '../../core/electrical/demand/spread-stated.ts';
import { applyInventoryChange, type InventoryChange } from '../../core/inventory/change.ts';
import { type InventoryIndex, indexInventory } from '../../core/inventory/index-inventory.ts';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { validateInventory } from '../../core/inventory/validate.ts';
import { overlaps, type Period } from '../../core/periods.ts';
import { assignmentDocument } from '../assignments/schema.ts';
import { practiceOf } from '../berth-options/question.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment, Boat, Stay } from '../db/generated/client.ts';
import { Problem } from '../errors.ts';
import { collectionSchemas } from '../inventory/schema.ts';
import { localDaysOf } from '../local-time.ts';
import { loadOccupancy, type Occupancy } from '../occupancy/load.ts';
import type { Services } from '../services.ts';
import { storedWishes } from '../stays/stored-stay.ts';
import type { NewPlan } from './schema.ts';

/** What a plan stands on: what must still be so when it is accepted. */
export interface StandsOn {
  readonly inventoryRevision: number;
  /** Version of each stay of the plan. */
  readonly stays: Readonly<Record<string, number>>;
  /** By kind and id of who has space or outlets beside them: label, and a fingerprint of what they have. */
  readonly others: Readonly<Record<string, readonly [label: string, fingerprint: string]>>;
}

export interface LoadedQuestion {
  readonly question: PlanQuestion;
  readonly standsOn: StandsOn;
}

type StoredStay = Stay & { readonly boat: Boat; readonly assignments: readonly Assignment[] };

const hourMs = 3_600_000;

/**
 * The question of a plan as the marina is now: stays of the period that wait for a berth, or have one promised or
 * offered and are still to come. All others keep what they have.
 * @throws Problem `invalid-input` where a change names what is not there, `faulty-document` where it makes no sense
 */
export async function loadPlanQuestion(
  db: Tx,
  { inventories }: Pick<Services, 'inventories'>,
  marinaId: string,
  asked: NewPlan,
  now: number,
): Promise<LoadedQuestion> {
  const { index: present, revision } = await inventories.inventoryOf(db, marinaId);
  const index = changedIndex(present, asked);
  const period = { from: Date.parse(asked.period.from), until: Date.parse(asked.period.until) };
  const rows = await db.stay.findMany({
    where: {
      marinaId,
      state: { in: ['requested', 'offered', 'promised'] },
      arrivalAt: { lt: new Date(period.until), gte: new Date(now) },
      departureAt: { gt: new Date(period.from) },
    },
    include: { boat: true, assignments: { orderBy: { fromAt: 'asc' } } },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
  });
  const pinned = new Set(asked.pinnedStayIds);
  const movable = rows.filter((row) => isMovable(row, pinned));
  const turnoverMs = index.inventory.settings.turnoverMinutes * 60_000;
  const stays = movable.map((row) => planStay(row, index, turnoverMs));
  const span: Period = {
    from: stays.reduce((least, stay) => Math.min(least, stay.period.from), period.from),
    until: stays.reduce((most, stay) => Math.max(most, stay.occupiedUntil), period.until),
  };
  const own = new Set(movable.flatMap(({ assignments }) => assignments.map(({ id }) => id)));
  const occupancy = withoutOwn(await loadOccupancy(db, marinaId, span), own);
  const { spaceUses, outletUses } = withChanges(occupancy, index, asked, span);
  return {
    question: {
      index,
      practice: practiceOf(index),
      stays: [...stays, ...extraStays(stays, asked)],
      settings: asked.settings,
      spaceUses,
      outletUses,
      stockUses: occupancy.stockUses,
    },
    standsOn: {
      inventoryRevision: revision,
      stays: Object.fromEntries(movable.map(({ id, version }) => [id, version])),
      others: fingerprints(occupancy),
    },
  };
}

/** What has changed of what a plan stands on, in words; empty: nothing has. */
export function whatChanged(before: StandsOn, after: StandsOn): string[] {
  const changed: string[] = [];
  if (before.inventoryRevision !== after.inventoryRevision) changed.push('the inventory');
  for (const [id, version] of Object.entries(after.stays)) {
    if (before.stays[id] === undefined) changed.push(`stay ${id} is new`);
    else if (before.stays[id] !== version) changed.push(`stay ${id}`);
  }
  for (const id of Object.keys(before.stays))
    if (after.stays[id] === undefined) changed.push(`stay ${id} is to be placed no more`);
  for (const key of new Set([...Object.keys(before.others), ...Object.keys(after.others)])) {
    const [was, is] = [before.others[key], after.others[key]];
    if (was?.[1] !== is?.[1]) changed.push(`${(is ?? was)?.[0] ?? key} (${key})`);
  }
  return changed;
}

/** A whole stay to come with one place for all of it, or with none. What is half displaced is placed by hand. */
function isMovable(
  { id, state, assignments, arrivalAt, departureAt }: StoredStay,
  pinned: ReadonlySet<string>,
): boolean {
  const [only] = assignments;
  if (only === undefined) return !pinned.has(id);
  if (assignments.length > 1 || pinned.has(id) || state === 'requested' || only.found) return false;
  return only.fromAt.getTime() === arrivalAt.getTime() && only.untilAt.getTime() === departureAt.getTime();
}

function planStay(row: StoredStay, index: InventoryIndex, turnoverMs: number): PlanStay {
  const period = { from: row.arrivalAt.getTime(), until: row.departureAt.getTime() };
  const [assignment] = row.assignments;
  return {
    id: row.id,
    label: row.boat.name,
    boat: boatOf(row.boat),
    wishes: storedWishes.parse(row.wishes),
    period,
    occupiedUntil: Math.max(period.until + turnoverMs, assignment?.occupiedUntil.getTime() ?? 0),
    localDays: localDaysOf(period, index.inventory.timeZone),
    nights: Math.max(1, Math.round((period.until - period.from) / (24 * hourMs))),
    priority: row.priority,
    promised: row.state !== 'requested',
    present: assignment === undefined ? null : presentPlace(assignment, index, boatOf(row.boat)),
  };
}

function presentPlace(row: Assignment, index: InventoryIndex, boat: PlanStay['boat']): PresentPlace {
  const { berthId, orientation, place, power } = assignmentDocument(row);
  const outletIds = power?.outletIds ?? [];
  const drawnVa = (power?.connection ?? null) === null ? null : toldValue(boat.statedLoadVa);
  const spread = spreadStatedVa(index, outletIds, drawnVa);
  return {
    berthId,
    orientation,
    place,
    outletIds,
    adapters: (power?.connection?.hookUp.adapters ?? []).map(({ kindId, from, stockId }) => ({
      kindId,
      from,
      stockId,
    })),
    cords: power?.cords ?? [],
    statedVa: outletIds.map((id) => spread.get(id) ?? null),
  };
}

function withoutOwn({ spaceUses, outletUses, stockUses }: Occupancy, own: ReadonlySet<string>): Occupancy {
  const isOthers = ({ by }: { readonly by: SpaceUse['by'] }) => by.kind !== 'assignment' || !own.has(by.id);
  return {
    spaceUses: spaceUses.filter(isOthers),
    outletUses: outletUses.filter(isOthers),
    stockUses: stockUses.filter(({ assignmentId }) => !own.has(assignmentId)),
  };
}

function fingerprints({ spaceUses, outletUses }: Occupancy): StandsOn['others'] {
  const parts = new Map<string, { label: string; uses: string[] }>();
  const add = ({ kind, id, label }: SpaceUse['by'], use: unknown) => {
    const part = parts.get(`${kind} ${id}`) ?? { label, uses: [] };
    part.uses.push(JSON.stringify(use));
    parts.set(`${kind} ${id}`, part);
  };
  for (const { by, ...use } of spaceUses) add(by, use);
  for (const { by, ...use } of outletUses) add(by, use);
  return Object.fromEntries(
    [...parts].map(([key, { label, uses }]) => [
      key,
      [label, createHash('sha256').update(uses.sort().join('\n')).digest('hex').slice(0, 16)] as const,
    ]),
  );
}

function changedIndex(present: InventoryIndex, { changes }: NewPlan): InventoryIndex {
  if (changes.inventory.length === 0) return present;
  let inventory: Inventory = present.inventory;
  changes.inventory.forEach(({ collection, id, item }, i) => {
    const parsed = item === null ? null : collectionSchemas[collection].safeParse(item);
    if (parsed !== null && !parsed.success)
      throw invalidAt(`/changes/inventory/${i}/item`, parsed.error.issues[0]?.message ?? 'Not an item.');
    if (parsed !== null && parsed.data.id !== id)
      throw invalidAt(`/changes/inventory/${i}/id`, 'The item has another id.');
    // The schema of the collection has just parsed the item.
    const change = { collection, id, item: parsed?.data ?? null } as InventoryChange;
    inventory = applyInventoryChange(inventory, change);
  });
  const faults = validateInventory(inventory);
  if (faults.length > 0) {
    throw new Problem('faulty-document', 'The inventory with these changes contradicts itself.', {
      errors: faults
        .slice(0, 20)
        .map(({ pointer, message }) => ({ in: 'body', pointer: `/changes${pointer}`, message })),
    });
  }
  return indexInventory(inventory);
}

function withChanges({ spaceUses, outletUses }: Occupancy, index: InventoryIndex, { changes }: NewPlan, span: Period) {
  const lifted = new Set(changes.inService);
  const spaces = spaceUses.filter(({ unitId, by }) => by.kind !== 'outOfService' || !lifted.has(unitId));
  const outlets = outletUses.filter(({ outletId, by }) => by.kind !== 'outOfService' || !lifted.has(outletId));
  changes.inService.forEach((id, i) => {
    if (!index.outlets.has(id) && !index.spaceUnits.has(id))
      throw invalidAt(`/changes/inService/${i}`, `There is no outlet or unit "${id}".`);
  });
  changes.outOfService.forEach(({ equipmentId, outletId, unitId, from, until }, i) => {
    const at = { from: Math.max(Date.parse(from), span.from), until: Math.min(Date.parse(until), span.until) };
    const by = { kind: 'outOfService', id: `what-if-${i}`, label: 'out of service in this what-if' } as const;
    const pointer = `/changes/outOfService/${i}`;
    if (unitId !== undefined) {
      const unit = index.spaceUnits.get(unitId);
      if (unit === undefined) throw invalidAt(pointer, `There is no unit "${unitId}".`);
      spaces.push({ unitId, fromM: 0, untilM: unit.faceLengthM ?? 1, ...at, by } satisfies SpaceUse);
      return;
    }
    const below =
      equipmentId === undefined ? [outletId ?? ''] : index.outletsBelow.get(equipmentId)?.map(({ id }) => id);
    if (below === undefined) throw invalidAt(pointer, `There is no equipment "${equipmentId}".`);
    for (const id of below) {
      if (!index.outlets.has(id)) throw invalidAt(pointer, `There is no outlet "${id}".`);
      outlets.push({ outletId: id, statedVa: null, ...at, by } satisfies OutletUse);
    }
  });
  const isAny = ({ from, until }: Period) => overlaps({ from, until }, span);
  return { spaceUses: spaces.filter(isAny), outletUses: outlets.filter(isAny) };
}

function extraStays(stays: readonly PlanStay[], { changes }: NewPlan): PlanStay[] {
  return changes.extraStays.flatMap(({ like, count }, i) => {
    const model = stays.find(({ id }) => id === like);
    if (model === undefined) {
      throw invalidAt(
        `/changes/extraStays/${i}/like`,
        `Stay "${like}" is not to be placed in this period. Name one that is.`,
      );
    }
    return Array.from({ length: count }, (_, k): PlanStay => {
      const id = `what-if-${i}-${k + 1}`;
      const boat = { ...model.boat, id, name: `${model.label} (what-if ${k + 1})` };
      return { ...model, id, label: boat.name, boat, promised: false, present: null };
    });
  });
}

function invalidAt(pointer: string, message: string): Problem {
  return new Problem('invalid-input', message, { errors: [{ in: 'body', pointer, message }] });
}

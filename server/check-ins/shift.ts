import { z } from 'zod';
import { freeStock } from '../../core/berths/options/free-stock.ts';
import { sideTo } from '../../core/berths/side-to.ts';
import { acceptedByDesk } from '../../core/check-in/check-in.ts';
import type { SupplyOutlet } from '../../core/electrical/hook-up/supply-outlet.ts';
import { supplyOutlet } from '../../core/electrical/hook-up/supply-outlet.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { assignmentDocument } from '../assignments/schema.ts';
import { orientationSchema, placeSchema } from '../berth-options/schema.ts';
import { boatDocument, boatSchema } from '../boats/schema.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment, Boat, Stay } from '../db/generated/client.ts';
import { instant } from '../http/fields.ts';
import { findingSchema, findingsSchema } from '../http/finding-schema.ts';
import { adapterKindSchema, earthing, groundFaultSchema, lineName } from '../inventory/schema.ts';
import { loadOccupancy } from '../occupancy/load.ts';
import type { Services } from '../services.ts';
import { presentPlace } from '../stays/present-place.ts';
import { isOfDesk } from './desk-judgement.ts';
import { adapterLoanDocument, adapterLoanSchema, readLoans } from './loans.ts';
import { outcomeSchema, usedAdapterSchema } from './schema.ts';
import { checkInSettingsSchema, readCheckInSettings } from './settings.ts';

const outletSchema = z
  .strictObject({
    id: z.string(),
    label: z.string(),
    configurationId: z.string(),
    lines: z.array(lineName).nullable(),
    systemId: z.string().nullable(),
    earthing: earthing.nullable(),
    breakerA: z.number().nullable(),
    groundFault: groundFaultSchema,
    supplyId: z.string().nullable(),
    devicesAbove: z.array(z.strictObject({ equipmentId: z.string(), device: z.enum(['fitted', 'unknown']) })),
    troubles: z.int().describe('Trips and hot contacts entered against it in the last 30 days.'),
  })
  .meta({ id: 'ShiftOutlet' });

const shiftStaySchema = z
  .strictObject({
    stayId: z.string(),
    boat: boatSchema,
    contactName: z.string(),
    contactPhone: z.string().nullable(),
    note: z.string(),
    state: z.string(),
    arrival: instant,
    departure: instant,
    place: z
      .strictObject({
        assignmentId: z.string(),
        berthId: z.string(),
        berthLabel: z.string(),
        dockLabel: z.string(),
        orientation: orientationSchema,
        sideTo: z.enum(['port', 'starboard']).nullable().describe("The boat's side at the finger pier."),
        metres: placeSchema.nullable(),
        outletIds: z.array(z.string()).describe('In reach of the berth.'),
        keptOutletIds: z.array(z.string()).describe('Kept for the stay: what their feeders carry was judged.'),
        plannedOutletIds: z.array(z.string()),
        plannedAdapters: z.array(usedAdapterSchema),
        deskFindings: z.array(findingSchema).describe('What the desk judged beyond the connection itself.'),
      })
      .nullable()
      .describe('Null: it has no berth. Call the desk.'),
    needsBerth: z.array(findingSchema).nullable().describe('What took its berth or its outlet. Call the desk.'),
    loans: z.array(adapterLoanSchema),
    checkedIn: z.strictObject({ at: instant, outcome: outcomeSchema.nullable(), energised: z.boolean() }).nullable(),
    troubles: z.int().describe('Trips and hot contacts entered against its boat in the last 30 days.'),
  })
  .meta({ id: 'ShiftStay' });

export const shiftSchema = z
  .strictObject({
    loadedAt: instant.describe("By the service's clock."),
    holdsUntil: instant.describe('Until when the facts may be relied on; after that: do not energise, call.'),
    seq: z.int(),
    inventoryRevision: z.int(),
    marinaName: z.string(),
    timeZone: z.string(),
    settings: checkInSettingsSchema,
    refuseCordBelowBreaker: z.boolean(),
    stays: z.array(shiftStaySchema).describe('To come, here, or to leave in these hours; earliest first.'),
    outlets: z.array(outletSchema).describe('Every outlet in reach of their berths.'),
    adapterKinds: z.array(adapterKindSchema).describe("The marina's own, beside the built-in ones."),
    stock: z.array(
      z.strictObject({
        id: z.string(),
        label: z.string(),
        adapterKindId: z.string(),
        quantity: z.int(),
        free: z.int().describe('Neither lent nor reserved during these hours.'),
        reservedFor: z.array(z.strictObject({ stayId: z.string(), quantity: z.int() })),
      }),
    ),
    overdue: z.array(adapterLoanSchema),
    berths: z
      .array(
        z.strictObject({
          id: z.string(),
          label: z.string(),
          isFace: z.boolean(),
          outlets: z.array(z.strictObject({ id: z.string(), label: z.string() })),
        }),
      )
      .describe('All of the marina, for what is reported of any of them.'),
  })
  .meta({
    id: 'Shift',
    description: 'Everything that a phone at the dock needs for the coming hours, as one document.',
  });

export type Shift = z.output<typeof shiftSchema>;
type ShiftStay = z.output<typeof shiftStaySchema>;

const dayMs = 86_400_000;

/** The shift of the coming hours. Throws a Problem: `not-found`. */
export async function loadShift(
  { db, inventories }: Services,
  { marinaId, hours, now }: { readonly marinaId: string; readonly hours: number; readonly now: number },
): Promise<Shift> {
  const tx = db.prisma;
  const { index, revision } = await inventories.inventoryOf(tx, marinaId);
  const until = now + hours * 3_600_000;
  const { seq } = await tx.marina.findUniqueOrThrow({ where: { id: marinaId }, select: { seq: true } });
  const stays = await tx.stay.findMany({
    where: {
      marinaId,
      OR: [
        { state: 'arrived' },
        {
          state: { in: ['requested', 'offered', 'promised'] },
          arrivalAt: { lt: new Date(until) },
          departureAt: { gt: new Date(now) },
        },
      ],
    },
    include: { boat: true, assignments: { orderBy: [{ fromAt: 'asc' }, { id: 'asc' }] } },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
    take: 500,
  });
  const stayIds = stays.map(({ id }) => id);
  const { settings } = await readCheckInSettings(tx, marinaId);
  const loans = await readLoans(tx, marinaId, { stayIds, isOut: true });
  const overdue = await readLoans(tx, marinaId, { isOut: true, dueBefore: now });
  const checkIns = await lastCheckIns(tx, marinaId, stayIds);
  const troubles = await countTroubles(tx, marinaId, now);
  const kept = await keptOutlets(tx, marinaId, stays, now);
  const stock = await stockOf(tx, marinaId, index, { from: now, until }, stays);
  const document = (row: (typeof loans)[number]) => adapterLoanDocument(index, row, now);
  const items = stays.map((stay): ShiftStay => {
    const assignment = presentPlace(stay, stay.assignments, now);
    return {
      stayId: stay.id,
      boat: boatDocument(stay.boat),
      contactName: stay.contactName,
      contactPhone: stay.contactPhone,
      note: stay.note,
      state: stay.state,
      arrival: stay.arrivalAt.toISOString(),
      departure: stay.departureAt.toISOString(),
      needsBerth: stay.needsBerth === null ? null : findingsSchema.parse(stay.needsBerth),
      place: assignment === null ? null : placeOf(index, assignment, kept.get(assignment.id) ?? []),
      loans: loans.filter(({ stayId }) => stayId === stay.id).map(document),
      checkedIn: checkIns.get(stay.id) ?? null,
      troubles: troubles.ofBoat.get(stay.boatId) ?? 0,
    };
  });
  const reached = new Set(items.flatMap(({ place }) => place?.outletIds ?? []));
  return {
    loadedAt: new Date(now).toISOString(),
    holdsUntil: new Date(until).toISOString(),
    seq: Number(seq),
    inventoryRevision: revision,
    marinaName: index.inventory.name,
    timeZone: index.inventory.timeZone,
    settings,
    refuseCordBelowBreaker: index.inventory.settings.refuseCordBelowBreaker,
    stays: items,
    outlets: [...reached].flatMap((id) => {
      const outlet = index.outlets.get(id);
      const count = troubles.ofOutlet.get(id) ?? 0;
      return outlet === undefined ? [] : [outletDocument(supplyOutlet(index, outlet), count)];
    }),
    adapterKinds: index.inventory.adapterKinds.map((kind) => adapterKindSchema.parse(kind)),
    stock,
    overdue: overdue.map(document),
    berths: index.inventory.berths.map((berth) => ({
      id: berth.id,
      label: berth.label,
      isFace: berth.faceFromM !== null,
      outlets: berth.reaches.flatMap(({ outletId }) => {
        const outlet = index.outlets.get(outletId);
        return outlet === undefined ? [] : [{ id: outletId, label: supplyOutlet(index, outlet).label }];
      }),
    })),
  };
}

type StayRow = Stay & { readonly boat: Boat; readonly assignments: readonly Assignment[] };

function placeOf(index: InventoryIndex, row: Assignment, keptOutletIds: string[]): ShiftStay['place'] {
  const { berthId, id, orientation, place: metres, power, findings } = assignmentDocument(row);
  const berth = index.berths.get(berthId);
  const dockId = index.spaceUnits.get(berth?.unitIds[0] ?? '')?.dockId ?? '';
  const adapters = power?.connection?.hookUp.adapters ?? [];
  return {
    assignmentId: id,
    berthId,
    berthLabel: berth?.label ?? berthId,
    dockLabel: index.docks.get(dockId)?.label ?? dockId,
    orientation,
    sideTo: sideTo(berth, orientation),
    metres,
    outletIds: [...new Set([...(berth?.reaches.map(({ outletId }) => outletId) ?? []), ...keptOutletIds])],
    keptOutletIds,
    plannedOutletIds:
      power?.connection?.hookUp.joints.flatMap(({ from }) => (from.kind === 'outlet' ? [from.outletId] : [])) ?? [],
    plannedAdapters: adapters.flatMap(({ kindId, from, stockId }) =>
      from === 'stock' || from === 'aboard' ? [{ kindId, from, stockId }] : [],
    ),
    deskFindings: findingsSchema.parse(acceptedByDesk(findings.filter(isOfDesk))),
  };
}

function outletDocument({ system, lines, devicesAbove, ...outlet }: SupplyOutlet, troubles: number) {
  return {
    ...outlet,
    lines: lines === null ? null : [...lines],
    systemId: system?.id ?? null,
    devicesAbove: devicesAbove.map((device) => ({ ...device })),
    troubles,
  };
}

async function keptOutlets(
  tx: Tx,
  marinaId: string,
  stays: readonly StayRow[],
  now: number,
): Promise<Map<string, string[]>> {
  const ids = stays.flatMap(({ assignments }) => assignments.map(({ id }) => id));
  const uses = await tx.outletUse.findMany({
    where: { marinaId, assignmentId: { in: ids }, untilAt: { gt: new Date(now) } },
    orderBy: { id: 'asc' },
    select: { assignmentId: true, outletId: true },
  });
  const kept = new Map<string, string[]>();
  for (const { assignmentId, outletId } of uses) {
    if (assignmentId === null) continue;
    const known = kept.get(assignmentId) ?? [];
    if (!known.includes(outletId)) kept.set(assignmentId, [...known, outletId]);
  }
  return kept;
}

async function lastCheckIns(tx: Tx, marinaId: string, stayIds: readonly string[]) {
  const rows = await tx.dockEvent.findMany({
    where: { marinaId, kind: 'checkIn', stayId: { in: [...stayIds] } },
    orderBy: [{ at: 'asc' }, { seq: 'asc' }],
    select: { stayId: true, at: true, outcome: true, body: true },
  });
  const energised = z.looseObject({ energised: z.boolean() });
  return new Map(
    rows.map(({ stayId, at, outcome, body }) => [
      stayId ?? '',
      {
        at: at.toISOString(),
        outcome: outcomeSchema.nullable().parse(outcome),
        energised: energised.parse(body).energised,
      },
    ]),
  );
}

async function countTroubles(tx: Tx, marinaId: string, now: number) {
  const rows = await tx.dockEvent.findMany({
    where: { marinaId, kind: { in: ['trip', 'hotContact'] }, at: { gt: new Date(now - 30 * dayMs) } },
    select: { boatId: true, outletIds: true },
  });
  const ofOutlet = new Map<string, number>();
  const ofBoat = new Map<string, number>();
  for (const { boatId, outletIds } of rows) {
    for (const id of z.array(z.string()).parse(outletIds)) ofOutlet.set(id, (ofOutlet.get(id) ?? 0) + 1);
    if (boatId !== null) ofBoat.set(boatId, (ofBoat.get(boatId) ?? 0) + 1);
  }
  return { ofOutlet, ofBoat };
}

async function stockOf(
  tx: Tx,
  marinaId: string,
  index: InventoryIndex,
  period: { readonly from: number; readonly until: number },
  stays: readonly StayRow[],
): Promise<Shift['stock']> {
  const { stockUses } = await loadOccupancy(tx, marinaId, period);
  const free = new Map(freeStock(index, stockUses, period).map(({ stockId, quantity }) => [stockId, quantity]));
  const stayOf = new Map(stays.flatMap(({ id, assignments }) => assignments.map((each) => [each.id, id] as const)));
  return index.inventory.adapterStock.map(({ id, label, adapterKindId, quantity }) => ({
    id,
    label,
    adapterKindId,
    quantity,
    free: free.get(id) ?? 0,
    reservedFor: stockUses.flatMap((use) => {
      const stayId = stayOf.get(use.assignmentId);
      return use.stockId !== id || stayId === undefined ? [] : [{ stayId, quantity: use.quantity }];
    }),
  }));
}

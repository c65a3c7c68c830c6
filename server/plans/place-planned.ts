import type { OptionsQuestion } from '../../core/berths/options/options.ts';
import { insertAssignment } from '../assignments/insert-assignment.ts';
import { judgeIn } from '../assignments/judge-placement.ts';
import { assignmentsFrom } from '../assignments/place-stay.ts';
import { type AssignmentDocument, assignmentDocument } from '../assignments/schema.ts';
import { practiceOf } from '../berth-options/question.ts';
import type { Tx } from '../db/client.ts';
import { Prisma } from '../db/generated/client.ts';
import type { Principal } from '../http/access.ts';
import { localDaysOf, localTime } from '../local-time.ts';
import { cutAssignments, leave } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { loadOccupancy } from '../occupancy/load.ts';
import { withOverstays } from '../occupancy/overstays.ts';
import type { Services } from '../services.ts';
import { loadStays, type StoredStay } from '../stays/stored-stay.ts';
import type { PlannedPlace } from './schema.ts';

/**
 * Gives stays the places of a plan in the caller's marina transaction. All leave first, so that they may change places;
 * then each place is judged again, with those before it where they go.
 * @throws Problem `refused` with the findings
 */
export async function placePlanned(
  tx: Tx,
  services: Pick<Services, 'inventories'>,
  principal: Principal,
  places: readonly PlannedPlace[],
  now: number,
): Promise<{ placed: AssignmentDocument[]; before: unknown }> {
  if (places.length === 0) return { placed: [], before: { stays: [] } };
  const { marinaId } = principal;
  const { index, revision } = await services.inventories.inventoryOf(tx, marinaId);
  const stays = new Map<string, StoredStay>();
  for (const stay of await loadStays(tx, marinaId, [...new Set(places.map(({ stayId }) => stayId))]))
    stays.set(stay.row.id, stay);
  const goes = places.map((place) => {
    const stay = stays.get(place.stayId);
    if (stay === undefined) throw new Error(`stay "${place.stayId}" of the plan is not stored`);
    return { place, stay, period: { from: Date.parse(place.from), until: Date.parse(place.until) } };
  });
  const turnoverMs = index.inventory.settings.turnoverMinutes * 60_000;

  const cuts = [...stays.values()].flatMap((stay) => {
    const [first] = goes.filter((each) => each.stay === stay).sort((a, b) => a.period.from - b.period.from);
    if (first === undefined) return [];
    const { place, period } = first;
    return assignmentsFrom(stay, period.from).map((each) =>
      leave(index, each, Math.max(period.from, each.fromAt.getTime()), place.berthId),
    );
  });
  await rewriteDerivedUses(tx, marinaId, await cutAssignments(tx, marinaId, cuts));

  const span = {
    from: Math.min(...goes.map(({ period }) => period.from)),
    until: Math.max(...goes.map(({ period }) => period.until)) + turnoverMs,
  };
  // Time alone makes a boat overdue: no change told of it since the plan was made.
  const occupancy = await withOverstays(tx, marinaId, index, await loadOccupancy(tx, marinaId, span), {
    now,
    period: span,
    besidesStayIds: new Set(stays.keys()),
  });
  const spaceUses = [...occupancy.spaceUses];
  const outletUses = [...occupancy.outletUses];
  const stockUses = [...occupancy.stockUses];
  const placed: AssignmentDocument[] = [];
  const touched = { unitIds: new Set<string>(), outletIds: new Set<string>() };
  for (const { place, stay, period } of goes) {
    const { berthId, orientation, outletIds } = place;
    const question: OptionsQuestion = {
      index,
      practice: practiceOf(index),
      boat: stay.boat,
      period,
      occupiedUntil: period.until + turnoverMs,
      localDays: localDaysOf(period, index.inventory.timeZone),
      sayTime: (at) => localTime(at, index.inventory.timeZone),
      wishes: stay.wishes,
      spaceUses,
      outletUses,
      stockUses,
    };
    const placement = { berthId, orientation, place: place.place, hookUp: null, overrides: [], outletIds };
    const judged = judgeIn({ question, revision }, principal, { placement });
    const row = await insertAssignment(tx, marinaId, stay.row.id, period, judged);
    placed.push(assignmentDocument(row));
    const use = { from: period.from, until: judged.occupiedUntil };
    const by = { kind: 'assignment', id: row.id, label: stay.boat.name } as const;
    const range = judged.option.place ?? { fromM: 0, untilM: 1 };
    for (const unitId of index.berths.get(berthId)?.unitIds ?? []) {
      spaceUses.push({ unitId, ...range, ...use, by });
      touched.unitIds.add(unitId);
    }
    for (const outletId of judged.option.outletIds) {
      outletUses.push({ outletId, statedVa: judged.statedVa.get(outletId) ?? null, ...use, by });
      touched.outletIds.add(outletId);
    }
    for (const stockId of judged.option.hookUp?.hookUp.adapters.flatMap((each) => each.stockId ?? []) ?? [])
      stockUses.push({ stockId, quantity: 1, ...use, assignmentId: row.id });
  }
  const [unitIds, outletIds] = [[...touched.unitIds], [...touched.outletIds]];
  await rewriteDerivedUses(tx, marinaId, { unitIds, outletIds, since: span.from });
  const where = { marinaId, id: { in: [...stays.keys()] } };
  await tx.stay.updateMany({ where, data: { needsBerth: Prisma.DbNull, version: { increment: 1 } } });
  await tx.stay.updateMany({ where: { ...where, state: 'requested' }, data: { state: 'promised' } });
  const before = [...stays.values()].map(({ row, assignments }) => ({ stay: row, assignments }));
  return { placed, before: { stays: before } };
}

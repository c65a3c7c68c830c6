import type { Period } from '../../core/periods.ts';
import type { Assignment } from '../db/generated/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { localTime } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { cutAssignments } from '../occupancy/cut-assignments.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { requireStep } from '../stays/require-step.ts';
import { readStay, type StoredStay } from '../stays/stored-stay.ts';
import { insertAssignment } from './insert-assignment.ts';
import { judgePlacement } from './judge-placement.ts';
import { type AssignmentDocument, assignmentDocument } from './schema.ts';

interface SwapStays {
  readonly principal: Principal;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly stayIds: readonly [string, string];
  /** Epoch milliseconds; null: from arrival, or from now where a boat lies here. */
  readonly from: number | null;
}

/** One of the two: what it gives up and for how long it takes the other's place. */
interface Side {
  readonly stay: StoredStay;
  readonly period: Period;
  readonly given: Assignment;
}

/**
 * Exchanges the berths of two stays. Both leave first; then each is judged in the other's place, the second one with the
 * first where it goes. Refused, neither moves. The turnover time between the two gives way: the boats exchange.
 * @throws Problem `refused` with findings; `wrong-state`, `not-found`, `invalid-input`
 */
export async function swapStays(services: Services, command: SwapStays): Promise<AssignmentDocument[]> {
  const { principal, idempotency, now, stayIds } = command;
  const { marinaId, id: actor } = principal;
  const [firstId, secondId] = stayIds;
  if (firstId === secondId) throw invalid('/stayIds/1', 'It is the same stay. Give another one.');
  const options = { marinaId, actor, kind: 'stays.swapped', now, idempotency };
  return marinaTransaction(services.db, options, async ({ tx, recordChange }) => {
    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    const sides: Side[] = [];
    for (const stayId of stayIds) {
      const stay = await readStay(tx, marinaId, stayId);
      requireStep('swap', stay, index.inventory, now);
      sides.push(sideOf(stay, command, index.inventory.timeZone));
    }
    const [first, second] = sides;
    if (first === undefined || second === undefined) throw new Error('a swap has two sides');
    if (first.given.berthId === second.given.berthId) {
      throw new Problem('wrong-state', `Both stays have berth ${first.given.berthId}. There is nothing to exchange.`);
    }
    const freed = await cutAssignments(
      tx,
      marinaId,
      sides.map(({ given, period }) => ({ assignmentId: given.id, at: period.from, occupiedUntil: period.from })),
    );
    const touched = { unitIds: [...freed.unitIds], outletIds: [...freed.outletIds], since: freed.since };
    await rewriteDerivedUses(tx, marinaId, touched);
    const placed: AssignmentDocument[] = [];
    for (const [{ stay, period }, { given }] of [
      [first, second],
      [second, first],
    ] as const) {
      const judged = await judgePlacement(tx, services, principal, {
        boat: stay.boat,
        wishes: stay.wishes,
        groupId: stay.row.groupId,
        period,
        placement: { berthId: given.berthId, orientation: null, place: null, hookUp: null, overrides: [] },
        withoutAssignmentIds: new Set(),
        leavingBoatIds: new Set(sides.map((side) => side.stay.boat.id)),
        now,
      });
      const row = await insertAssignment(tx, marinaId, stay.row.id, period, judged);
      placed.push(assignmentDocument(row));
      touched.unitIds.push(...(index.berths.get(row.berthId)?.unitIds ?? []));
      touched.outletIds.push(...judged.option.outletIds);
    }
    await rewriteDerivedUses(tx, marinaId, touched);
    await tx.stay.updateMany({
      where: { marinaId, id: { in: [...stayIds] } },
      data: { version: { increment: 1 } },
    });
    await recordChange(plainJson({ assignments: sides.map(({ given }) => given) }), { assignments: placed });
    return placed;
  });
}

/** @throws Problem `wrong-state` where the stay has not one berth from then until its departure */
function sideOf(stay: StoredStay, { from, now }: SwapStays, timeZone: string): Side {
  const { row, assignments } = stay;
  const usual = row.state === 'arrived' ? Math.max(row.arrivalAt.getTime(), now) : row.arrivalAt.getTime();
  const at = Math.max(from ?? usual, row.arrivalAt.getTime());
  const rest = assignments.filter(({ untilAt }) => untilAt.getTime() > at);
  const [given] = rest;
  if (given === undefined || rest.length > 1) {
    const what = given === undefined ? 'no berth' : 'several berths one after the other';
    throw new Problem(
      'wrong-state',
      `The stay of ${stay.boat.name} has ${what} from ${localTime(at, timeZone)} on. Move it by itself.`,
    );
  }
  return { stay, given, period: { from: Math.max(at, given.fromAt.getTime()), until: given.untilAt.getTime() } };
}

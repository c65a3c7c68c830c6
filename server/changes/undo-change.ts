import { isOpen } from '../../core/stays/lifecycle.ts';
import { judgePlacement } from '../assignments/judge-placement.ts';
import { standingOf } from '../assignments/stretch-assignment.ts';
import type { Tx } from '../db/client.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import { Problem } from '../errors.ts';
import type { Principal } from '../http/access.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import type { Services } from '../services.ts';
import { loadStay } from '../stays/stored-stay.ts';
import { type ClaimsTouched, claimsTouched } from './claims-touched.ts';
import { type KeptRow, type LaterChange, laterChanges, putBack, readKeptRows, standing } from './kept-rows.ts';

interface UndoChange {
  readonly principal: Principal;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly seq: number;
}

export interface Undone {
  readonly undone: number;
  readonly kind: string;
  /** Number of the undo itself: undoing that does the change again. */
  readonly seq: number;
}

/** Kinds that are nothing but rows kept for undo: stays, berths, groups, holders, absences, closings and boats. */
const undoable =
  /^(stay|stays|assignment|occupancy|absence|holding|outOfService|boat|offers|group|bookings)\.|^change\.undone$/;

/**
 * Undoes a change: everything it wrote is as it was before. Berths that come back are judged again, so that nothing that
 * was given away since, and no feeder that filled up since, is used twice.
 * @throws Problem `in-use` naming the later changes that stand on it; `refused` with findings where a berth that would
 * come back is no longer to be had; `wrong-state` for a kind of change that is not undone; `not-found`
 */
export async function undoChange(
  services: Services,
  { principal, idempotency, now, seq }: UndoChange,
): Promise<Undone> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'change.undone', now, idempotency };
  return marinaTransaction(services.db, options, async ({ tx, seq: ownSeq, recordChange }) => {
    const change = await tx.change.findUnique({ where: { marinaId_seq: { marinaId, seq } } });
    if (change === null) throw new Problem('not-found', `There is no change ${seq}.`);
    const { kind } = change;
    if (!undoable.test(kind)) {
      throw new Problem('wrong-state', `A change of the kind "${kind}" is not undone. Make a new change instead.`);
    }
    const rows = await readKeptRows(tx, marinaId, seq);
    if (rows.length === 0) throw new Problem('wrong-state', `Change ${seq} (${kind}) left everything as it was.`);
    requireNothing(await laterChanges(tx, marinaId, seq));
    requireNothing(await staysOfBoats(tx, marinaId, rows));
    const { index } = await services.inventories.inventoryOf(tx, marinaId);
    const touched = await claimsTouched(tx, marinaId, index, rows);
    if (touched.hasClaims) requireNothing(await placedSince(tx, marinaId, seq, touched));

    await removeDerived(tx, marinaId, rows);
    await putBack(tx, marinaId, rows);
    await rewriteDerivedUses(tx, marinaId, touched);
    await judgeAgain(tx, services, principal, rows, now);
    await recordChange(plainJson({ rows: rows.map(({ after, ...row }) => ({ ...row, before: after })) }), {
      undoes: seq,
      kind,
    });
    return { undone: seq, kind, seq: ownSeq };
  });
}

function requireNothing(changes: readonly LaterChange[]): void {
  if (changes.length === 0) return;
  const named = changes.slice(0, 5).map(({ seq, kind }) => `change ${seq} (${kind})`);
  const more = changes.length > named.length ? ` and ${changes.length - named.length} more` : '';
  throw new Problem('in-use', `Later changes stand on it: ${named.join(', ')}${more}. Undo those first, newest first.`);
}

/** Stays and holdings made since for a boat that the undo would take away. */
async function staysOfBoats(tx: Tx, marinaId: string, rows: readonly KeptRow[]): Promise<LaterChange[]> {
  const goneOf = (table: KeptRow['table']) =>
    rows.filter((row) => row.table === table && row.before === null).map(({ id }) => id);
  const boatIds = goneOf('boat');
  if (boatIds.length === 0) return [];
  const changes = await tx.$queryRaw<LaterChange[]>`
    SELECT DISTINCT c.seq::int AS seq, c.kind, NULL::int AS undoes
    FROM change_row r JOIN change c ON c.marina_id = r.marina_id AND c.seq = r.seq
    WHERE r.marina_id = ${marinaId} AND r.before IS NULL AND (
      r.table_name = 'stay' AND r.row_id <> ALL(${goneOf('stay')}::text[]) AND r.row_id IN
        (SELECT id FROM stay WHERE marina_id = ${marinaId} AND boat_id = ANY(${boatIds}::text[]))
      OR r.table_name = 'holding' AND r.row_id <> ALL(${goneOf('holding')}::text[]) AND r.row_id IN
        (SELECT id FROM holding WHERE marina_id = ${marinaId} AND boat_id = ANY(${boatIds}::text[])))
    ORDER BY seq`;
  return changes;
}

/** Boats placed since where a holder, an absence or a closing would come back or go. */
async function placedSince(
  tx: Tx,
  marinaId: string,
  seq: number,
  { unitIds, outletIds, since, until }: ClaimsTouched,
): Promise<LaterChange[]> {
  const placed = await tx.$queryRaw<{ readonly seq: number }[]>`
    SELECT DISTINCT r.seq::int AS seq FROM change_row r
    WHERE r.marina_id = ${marinaId} AND r.seq > ${seq} AND r.table_name IN ('space_use', 'outlet_use')
      AND (r.after ->> 'unit_id' = ANY(${unitIds}::text[]) OR r.after ->> 'outlet_id' = ANY(${outletIds}::text[]))
      AND (r.after ->> 'from_at')::timestamptz < ${new Date(until)}
      AND (r.after ->> 'until_at')::timestamptz > ${new Date(since)}`;
  const seqs = new Set(placed.map((change) => change.seq));
  // Their undos count too, whatever rows those touched.
  const later = await tx.$queryRaw<LaterChange[]>`
    SELECT c.seq::int AS seq, c.kind, CASE WHEN c.kind = 'change.undone' THEN (c.after ->> 'undoes')::int END AS undoes
    FROM change c WHERE c.marina_id = ${marinaId} AND c.seq > ${seq}
      AND (c.kind = 'change.undone' OR c.seq = ANY(${[...seqs]}::bigint[])) ORDER BY c.seq`;
  return standing(later).filter((change) => seqs.has(change.seq));
}

/** Rows derived from a holder, a closing or a group that goes must go before it. */
async function removeDerived(tx: Tx, marinaId: string, rows: readonly KeptRow[]): Promise<void> {
  for (const [table, column] of [
    ['holding', 'holdingId'],
    ['out_of_service', 'outOfServiceId'],
  ] as const) {
    const ids = rows.filter((row) => row.table === table && row.before === null).map(({ id }) => id);
    if (ids.length === 0) continue;
    await tx.spaceUse.deleteMany({ where: { marinaId, [column]: { in: ids } } });
    await tx.outletUse.deleteMany({ where: { marinaId, [column]: { in: ids } } });
  }
  const groupIds = rows.filter((row) => row.table === 'stay_group' && row.before === null).map(({ id }) => id);
  if (groupIds.length > 0) await tx.spaceUse.deleteMany({ where: { marinaId, groupId: { in: groupIds } } });
}

/**
 * Judges what is still to come of every berth that came back, as it stands now.
 * @throws Problem `refused` with the findings of the first that is no longer to be had
 */
async function judgeAgain(
  tx: Tx,
  services: Services,
  principal: Principal,
  rows: readonly KeptRow[],
  now: number,
): Promise<void> {
  const { marinaId } = principal;
  for (const { table, id, before } of rows) {
    if (table !== 'assignment' || before === null) continue;
    const assignment = await tx.assignment.findUniqueOrThrow({ where: { marinaId_id: { marinaId, id } } });
    const until = assignment.untilAt.getTime();
    // One that nobody judged, or that was refused already when it was changed, comes back as it was.
    if (until <= now || assignment.hookUp === null || assignment.verdict === 'refused') continue;
    const stay = await loadStay(tx, marinaId, assignment.stayId);
    if (stay === null || !isOpen(stay.row.state)) continue;
    const { placement, standing: kept } = await standingOf(tx, assignment);
    await judgePlacement(tx, services, principal, {
      boat: stay.boat,
      wishes: stay.wishes,
      groupId: stay.row.groupId,
      period: { from: Math.max(assignment.fromAt.getTime(), now), until },
      placement,
      withoutAssignmentIds: new Set(stay.assignments.map((own) => own.id)),
      now,
      standing: kept,
    });
  }
}

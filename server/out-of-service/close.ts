import type { Finding } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Period } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import type { OutOfService } from '../db/generated/client.ts';
import { localTime } from '../local-time.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { type Displaced, displace, type InTheWay, outletSubject } from '../occupancy/displace.ts';
import { untilToApi } from '../occupancy/open-period.ts';

export interface ClosedFor {
  readonly displaced: readonly Displaced[];
  readonly findings: Finding[];
}

/**
 * Makes a stored out-of-service period true over `period` (all of it, or what was added): whoever has the place or the
 * outlet then loses it. A boat that has arrived and lies there now keeps lying where the closing has begun: only people
 * can move it. Where the closing is still to come, it has time to find another berth and is displaced like any other.
 */
export async function closeFor(
  tx: Tx,
  marinaId: string,
  index: InventoryIndex,
  row: OutOfService,
  period: Period,
  now: number,
): Promise<ClosedFor> {
  const { unitId, outletId, fromM, untilM, reason } = row;
  const { displaced, kept, touched } = await displace(tx, marinaId, index, {
    spaces: unitId === null ? [] : [{ unitId, fromM: fromM ?? 0, untilM: untilM ?? 1, ...period }],
    outlets: outletId === null ? [] : [{ outletId, ...period }],
    cause: `it is out of service (${reason}).`,
    keeps: (hit) => period.from <= now && hit.stayState === 'arrived' && hit.from <= now && now < hit.until,
  });
  await rewriteDerivedUses(tx, marinaId, touched);
  const others = await closedAlready(tx, row, period);
  return {
    displaced,
    findings: [...kept.map((hit) => liesThere(hit, row, index)), ...others.map((other) => closedTwice(other, index))],
  };
}

/** Other closings of the same outlet or space in the period, earliest first. */
function closedAlready(tx: Tx, row: OutOfService, { from, until }: Period): Promise<OutOfService[]> {
  const { marinaId, id, outletId, unitId, fromM, untilM } = row;
  const metres = fromM === null || untilM === null ? {} : { fromM: { lt: untilM }, untilM: { gt: fromM } };
  return tx.outOfService.findMany({
    where: {
      marinaId,
      id: { not: id },
      ...(outletId === null ? { unitId, ...metres } : { outletId }),
      fromAt: { lt: new Date(until) },
      untilAt: { gt: new Date(from) },
    },
    orderBy: [{ fromAt: 'asc' }, { id: 'asc' }],
  });
}

/** Two reports of one fault, or two faults: both are kept, and the place opens when the last of them ends. */
function closedTwice({ id, outletId, unitId, fromAt, untilAt, reason }: OutOfService, index: InventoryIndex): Finding {
  const { timeZone } = index.inventory;
  const what =
    outletId === null ? (index.spaceUnits.get(unitId ?? '')?.label ?? unitId) : outletSubject(index, outletId).label;
  const until = untilToApi(untilAt) === null ? 'further notice' : localTime(untilAt.getTime(), timeZone);
  return {
    rule: outletId === null ? 'space.closedTwice' : 'outlet.closedTwice',
    level: 'note',
    subject: { kind: 'outOfService', id, label: reason },
    actual: reason,
    limit: null,
    unit: null,
    source: 'occupancy as recorded',
    message: `${what} is out of service already, from ${localTime(fromAt.getTime(), timeZone)} until ${until} (${reason}). It stays so until both have ended; end one if they are the same.`,
  };
}

function liesThere(hit: InTheWay, { reason }: OutOfService, index: InventoryIndex): Finding {
  const berth = index.berths.get(hit.berthId)?.label ?? hit.berthId;
  return {
    rule: 'space.outOfService',
    level: 'caution',
    subject: { kind: 'stay', id: hit.stayId, label: hit.boatName },
    actual: hit.boatName,
    limit: null,
    unit: null,
    source: 'occupancy as recorded',
    message: `"${hit.boatName}" lies on berth ${berth}, which is out of service (${reason}). Its place closes when it leaves; move it if it must not lie there.`,
    mend: `another berth for "${hit.boatName}"`,
  };
}

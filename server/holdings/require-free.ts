import { subtractBoxes } from '../../core/berths/space-uses.ts';
import type { Finding } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { type Period, subtract } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import { epochMs } from '../db/epoch-ms.ts';
import { Problem } from '../errors.ts';
import { localTime } from '../local-time.ts';
import { findInTheWay, type InTheWay } from '../occupancy/displace.ts';
import { type HeldClaim, outletsOf, spacesOf } from './stored-holding.ts';

interface Wanted {
  readonly holdingId: string;
  readonly claim: HeldClaim;
  /** What the holding claimed until now; null: it is new. */
  readonly before: HeldClaim | null;
  readonly now: number;
}

/**
 * A holding is a plan, so it waits for what is already given away: what it newly claims must be free of transients
 * from now on and of the blocks of groups, and its units and outlets free of other holdings, absences included.
 * @throws Problem `double-use` with a finding for each in the way.
 */
export async function requireFree(tx: Tx, marinaId: string, index: InventoryIndex, wanted: Wanted): Promise<void> {
  const holders = await otherHolders(tx, marinaId, wanted);
  const boats = await boatsInTheWay(tx, marinaId, wanted);
  const blocks = await blocksInTheWay(tx, marinaId, wanted);
  const findings = [
    ...blocks.map((block) => blockedFinding(block, index.inventory.timeZone)),
    ...holders.map((holder) => heldFinding(holder, index.inventory.timeZone)),
    ...boats.map((boat) => assignedFinding(boat, index)),
  ];
  const [first] = findings;
  if (first === undefined) return;
  const more = findings.length > 1 ? ` (and ${findings.length - 1} more)` : '';
  throw new Problem('double-use', `${first.message}${more}`, { findings });
}

function boatsInTheWay(tx: Tx, marinaId: string, { claim, before, now }: Wanted): Promise<InTheWay[]> {
  const ahead = <P extends Period>(periods: readonly P[]) =>
    periods.filter(({ until }) => until > now).map((period) => ({ ...period, from: Math.max(period.from, now) }));
  const spacesBefore = before === null ? [] : spacesOf(before);
  const outletsBefore = before === null ? [] : outletsOf(before);
  const spaces = spacesOf(claim).flatMap((box) => subtractBoxes(box, spacesBefore));
  const outlets = outletsOf(claim).flatMap(({ outletId, ...period }) =>
    subtract(
      period,
      outletsBefore.filter((earlier) => earlier.outletId === outletId),
    ).map((left) => ({ outletId, ...left })),
  );
  return findInTheWay(tx, marinaId, { spaces: ahead(spaces), outlets: ahead(outlets) });
}

interface Block extends Period {
  readonly id: string;
  readonly name: string;
}

/** A holder comes before a group: so the berths of one are not given to a new holder in silence. */
function blocksInTheWay(tx: Tx, marinaId: string, { claim, before, now }: Wanted): Promise<Block[]> {
  const spacesBefore = before === null ? [] : spacesOf(before);
  const boxes = spacesOf(claim)
    .flatMap((box) => subtractBoxes(box, spacesBefore))
    .filter(({ until }) => until > now)
    .map(({ from, until, ...part }) => ({
      ...part,
      from: new Date(Math.max(from, now)).toISOString(),
      until: new Date(until).toISOString(),
    }));
  return tx.$queryRawUnsafe<Block[]>(blocksOn, marinaId, JSON.stringify(boxes));
}

const blocksOn = `SELECT DISTINCT g.id, g.name, ${epochMs('g.from_at')} AS "from", ${epochMs('g.until_at')} AS "until"
  FROM jsonb_to_recordset($2::jsonb)
    AS r("unitId" text, "fromM" float8, "untilM" float8, "from" timestamptz, "until" timestamptz)
  JOIN space_use u ON u.marina_id = $1 AND u.unit_id = r."unitId" AND u.from_m < r."untilM" AND r."fromM" < u.until_m
    AND tstzrange(u.from_at, u.until_at, '[)') && tstzrange(r."from", r."until", '[)')
  JOIN stay_group g ON g.marina_id = $1 AND g.id = u.group_id ORDER BY g.id`;

interface Holder extends Period {
  readonly id: string;
  readonly holderName: string;
}

const otherHoldings = `SELECT h.id, h.holder_name AS "holderName", ${epochMs('h.from_at')} AS "from", ${epochMs('h.until_at')} AS "until"
  FROM holding h
  WHERE h.marina_id = $1 AND h.id <> $2 AND h.from_at < $4::timestamptz AND $3::timestamptz < h.until_at AND (
    EXISTS (SELECT 1 FROM berth_unit u
      JOIN jsonb_to_recordset($5::jsonb) AS r("unitId" text, "fromM" float8, "untilM" float8) ON r."unitId" = u.unit_id
      WHERE u.marina_id = h.marina_id AND u.berth_id = h.berth_id
        AND coalesce(h.face_from_m, 0) < r."untilM" AND r."fromM" < coalesce(h.face_until_m, 1))
    OR EXISTS (SELECT 1 FROM jsonb_array_elements(h.outlets) o WHERE o.value ->> 'outletId' = ANY($6::text[])))
  ORDER BY h.from_at, h.id`;

function otherHolders(tx: Tx, marinaId: string, { holdingId, claim }: Wanted): Promise<Holder[]> {
  return tx.$queryRawUnsafe<Holder[]>(
    otherHoldings,
    marinaId,
    holdingId,
    new Date(claim.from).toISOString(),
    new Date(claim.until).toISOString(),
    JSON.stringify(claim.parts),
    claim.outletIds,
  );
}

const source = 'one holder a berth, and no holding over what is given away';

function blockedFinding({ id, name, from, until }: Block, timeZone: string): Finding {
  return {
    rule: 'space.blocked',
    level: 'refuse',
    subject: { kind: 'group', id, label: name },
    actual: name,
    limit: null,
    unit: null,
    source,
    message: `Berths of it are kept for the group "${name}" from ${localTime(from, timeZone)} until ${localTime(until, timeZone)}. Take them out of its block first, or choose another period.`,
    mend: `the berths of "${name}" released`,
  };
}

function heldFinding({ id, holderName, from }: Holder, timeZone: string): Finding {
  return {
    rule: 'space.held',
    level: 'refuse',
    subject: { kind: 'holding', id, label: holderName },
    actual: holderName,
    limit: null,
    unit: null,
    source,
    message: `${holderName} holds space or an outlet of it from ${localTime(from, timeZone)}. End that holding first, or choose another period.`,
    mend: `the end of the holding of ${holderName}`,
  };
}

function assignedFinding(boat: InTheWay, index: InventoryIndex): Finding {
  const { timeZone } = index.inventory;
  const berth = index.berths.get(boat.berthId)?.label ?? boat.berthId;
  const period = `from ${localTime(boat.from, timeZone)} until ${localTime(boat.until, timeZone)}`;
  const what = boat.spaceFrom === null ? `an outlet of it, lying on berth ${berth}` : `berth ${berth}`;
  return {
    rule: boat.spaceFrom === null ? 'outlet.taken' : 'space.taken',
    level: 'refuse',
    subject: { kind: 'stay', id: boat.stayId, label: boat.boatName },
    actual: boat.boatName,
    limit: null,
    unit: null,
    source,
    message: `"${boat.boatName}" has ${what} ${period}. Move that stay first, or choose another period.`,
    mend: `another berth for "${boat.boatName}"`,
  };
}

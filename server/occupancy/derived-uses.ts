import type { UsedBy } from '../../core/berths/occupancy.ts';
import { deriveOutletUses, type HeldOutlets, type OutletClaims } from '../../core/berths/outlet-uses.ts';
import {
  deriveSpaceUses,
  type GroupClaim,
  type HoldingClaim,
  type OutOfServiceClaim,
  type SpaceBox,
  type UnitPart,
} from '../../core/berths/space-uses.ts';
import type { Period } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import { epochMs } from '../db/epoch-ms.ts';

/** What a change touched: units of space and outlets, and the earliest moment at which anything on them differs. */
export interface Touched {
  readonly unitIds: readonly string[];
  readonly outletIds: readonly string[];
  /** Epoch milliseconds. What ended before it is history and stays as it is. */
  readonly since: number;
}

/**
 * Derives the rows of `space_use` and `outlet_use` that belong to holdings, groups and out-of-service periods anew on the
 * units and outlets touched, from `since` on: their claims less released absences less assignments, as core derives
 * them. **Every command that writes assignments, holdings, absences, groups or out-of-service periods calls this once, after
 * its own rows are written**, in its marina transaction; the exclusion constraints are deferred, so the order of the
 * rows inside it does not matter. Two statements, whatever the number of units.
 *
 * `since` is the earliest bound, old or new, of what was changed: a holding whose beginning moves from May to March
 * gives March. Give the units and outlets of old and new rows alike.
 */
export async function rewriteDerivedUses(tx: Tx, marinaId: string, touched: Touched): Promise<void> {
  const unitIds = [...new Set(touched.unitIds)];
  const outletIds = [...new Set(touched.outletIds)];
  if (unitIds.length === 0 && outletIds.length === 0) return;
  // A row that ends just when the change begins may have to grow: it is derived anew too.
  const since = touched.since - 1;
  const claims = await takeClaims(tx, marinaId, unitIds, outletIds, since);
  const spaceUses = deriveSpaceUses({
    assignments: claims.spaceAssignments,
    outOfService: spaceClosings(claims.outOfService),
    holdings: spaceHoldings(claims.holdings, claims.absences),
    groups: spaceGroups(claims),
  }).filter((row) => row.until > since);
  const outletUses = deriveOutletUses(outletClaims(claims)).filter((row) => row.until > since);
  if (spaceUses.length + outletUses.length === 0) return;
  await tx.$executeRawUnsafe(
    insertion,
    marinaId,
    JSON.stringify(spaceUses.map(storedUse)),
    JSON.stringify(outletUses.map(storedUse)),
  );
}

interface ClaimRow extends Period {
  readonly id: string;
}

interface ClosingRow extends ClaimRow {
  readonly unitId: string | null;
  readonly outletId: string | null;
  readonly fromM: number;
  readonly untilM: number;
}

interface HoldingRow extends ClaimRow {
  /** Those of the units touched that it holds. */
  readonly parts: readonly UnitPart[];
  readonly outlets: readonly { readonly outletId: string; readonly loadVa: number | null }[];
}

interface GroupRow extends ClaimRow {
  /** Those of the units touched that are kept for it. */
  readonly parts: readonly UnitPart[];
}

interface AbsenceRow extends Period {
  readonly holdingId: string;
  readonly recalledFrom: number | null;
}

interface StoredClaims {
  readonly spaceAssignments: readonly SpaceBox[];
  readonly outletAssignments: OutletClaims['assignments'];
  readonly outOfService: readonly ClosingRow[];
  readonly holdings: readonly HoldingRow[];
  readonly absences: readonly AbsenceRow[];
  readonly groups: readonly GroupRow[];
  /** Boats on the units touched that some group gives way to: its member's (the group's id), or one found there (null). */
  readonly membersAndFound: readonly (SpaceBox & { readonly memberOf: string | null; readonly isFound: boolean })[];
}

const period = (alias: string) => `'from', ${epochMs(`${alias}.from_at`)}, 'until', ${epochMs(`${alias}.until_at`)}`;

// A row left standing may begin before `since`: claims are read from the beginning of the earliest row taken away, so
// that what is derived anew has the same beginning. Periods that only touch that moment are read too.
const taking = `WITH space_gone AS (
    DELETE FROM space_use WHERE marina_id = $1 AND unit_id = ANY($2::text[]) AND assignment_id IS NULL
      AND tstzrange(from_at, until_at, '[)') && tstzrange($4::timestamptz, NULL) RETURNING from_at
  ), outlet_gone AS (
    DELETE FROM outlet_use WHERE marina_id = $1 AND outlet_id = ANY($3::text[]) AND assignment_id IS NULL
      AND tstzrange(from_at, until_at, '[)') && tstzrange($4::timestamptz, NULL) RETURNING from_at
  ), start AS MATERIALIZED (
    SELECT least($4::timestamptz, (SELECT min(from_at) FROM space_gone), (SELECT min(from_at) FROM outlet_gone))
      - interval '1 ms' AS at
  ), held AS MATERIALIZED (
    SELECT h.id, h.from_at, h.until_at,
      (SELECT coalesce(json_agg(json_build_object('unitId', u.unit_id, 'fromM', coalesce(h.face_from_m, 0),
           'untilM', coalesce(h.face_until_m, 1)) ORDER BY u.position), '[]') FROM berth_unit u
         WHERE u.marina_id = h.marina_id AND u.berth_id = h.berth_id AND u.unit_id = ANY($2::text[])) AS parts,
      (SELECT coalesce(json_agg(o.value ORDER BY o.ordinality), '[]')
         FROM jsonb_array_elements(h.outlets) WITH ORDINALITY o
         WHERE o.value ->> 'outletId' = ANY($3::text[])) AS outlets
    FROM holding h WHERE h.marina_id = $1 AND h.until_at > (SELECT at FROM start) AND (
      h.berth_id = ANY(ARRAY(SELECT berth_id FROM berth_unit WHERE marina_id = $1 AND unit_id = ANY($2::text[])))
      OR h.outlets <> '[]' AND EXISTS (SELECT 1 FROM jsonb_array_elements(h.outlets) o
        WHERE o.value ->> 'outletId' = ANY($3::text[])))
  ), grouped AS MATERIALIZED (
    SELECT g.id, g.from_at, g.until_at,
      (SELECT json_agg(json_build_object('unitId', u.unit_id, 'fromM', coalesce(b.face_from_m, 0),
           'untilM', coalesce(b.face_until_m, 1)) ORDER BY u.unit_id, b.id)
         FROM berth_unit u JOIN berth b ON b.marina_id = u.marina_id AND b.id = u.berth_id
         WHERE u.marina_id = g.marina_id AND g.berth_ids ? u.berth_id AND u.unit_id = ANY($2::text[])) AS parts
    FROM stay_group g WHERE g.marina_id = $1 AND g.released_at IS NULL AND g.until_at > (SELECT at FROM start)
      AND g.berth_ids ?| ARRAY(SELECT berth_id FROM berth_unit WHERE marina_id = $1 AND unit_id = ANY($2::text[]))
  )
  SELECT
    (SELECT coalesce(json_agg(json_build_object('unitId', u.unit_id, 'fromM', u.from_m, 'untilM', u.until_m,
        ${period('u')})), '[]')
      FROM space_use u, start WHERE u.marina_id = $1 AND u.unit_id = ANY($2::text[]) AND u.assignment_id IS NOT NULL
        AND tstzrange(u.from_at, u.until_at, '[)') && tstzrange(start.at, NULL)) AS "spaceAssignments",
    (SELECT coalesce(json_agg(json_build_object('outletId', u.outlet_id, ${period('u')})), '[]')
      FROM outlet_use u, start WHERE u.marina_id = $1 AND u.outlet_id = ANY($3::text[]) AND u.assignment_id IS NOT NULL
        AND tstzrange(u.from_at, u.until_at, '[)') && tstzrange(start.at, NULL)) AS "outletAssignments",
    (SELECT coalesce(json_agg(json_build_object('id', o.id, 'unitId', o.unit_id, 'outletId', o.outlet_id,
        'fromM', coalesce(o.from_m, 0), 'untilM', coalesce(o.until_m, 1), ${period('o')})), '[]')
      FROM out_of_service o, start WHERE o.marina_id = $1 AND o.until_at > start.at
        AND (o.unit_id = ANY($2::text[]) OR o.outlet_id = ANY($3::text[]))) AS "outOfService",
    (SELECT coalesce(json_agg(json_build_object('id', h.id, 'parts', h.parts, 'outlets', h.outlets, ${period('h')})), '[]')
      FROM held h) AS holdings,
    (SELECT coalesce(json_agg(json_build_object('holdingId', a.holding_id, 'recalledFrom', ${epochMs('a.recalled_from_at')},
        ${period('a')})), '[]')
      FROM absence a WHERE a.marina_id = $1 AND a.holding_id IN (SELECT id FROM held)) AS absences,
    (SELECT coalesce(json_agg(json_build_object('id', g.id, 'parts', g.parts, ${period('g')})), '[]')
      FROM grouped g) AS groups,
    (SELECT coalesce(json_agg(json_build_object('unitId', u.unit_id, 'fromM', u.from_m, 'untilM', u.until_m,
        'memberOf', s.group_id, 'isFound', a.found, ${period('u')})), '[]')
      FROM grouped g JOIN space_use u ON u.marina_id = $1 AND u.unit_id = ANY($2::text[])
        AND tstzrange(u.from_at, u.until_at, '[)') && tstzrange(g.from_at, g.until_at, '[)')
      JOIN assignment a ON a.marina_id = $1 AND a.id = u.assignment_id
      JOIN stay s ON s.marina_id = $1 AND s.id = a.stay_id
      WHERE a.found OR s.group_id = g.id) AS "membersAndFound"`;

async function takeClaims(
  tx: Tx,
  marinaId: string,
  unitIds: readonly string[],
  outletIds: readonly string[],
  since: number,
): Promise<StoredClaims> {
  const from = new Date(since).toISOString();
  const rows = await tx.$queryRawUnsafe<StoredClaims[]>(taking, marinaId, unitIds, outletIds, from);
  const [claims] = rows;
  if (claims === undefined) throw new Error('a statement without FROM gave no row');
  return claims;
}

function spaceClosings(closings: readonly ClosingRow[]): OutOfServiceClaim[] {
  return closings.flatMap(({ id, unitId, fromM, untilM, from, until }) =>
    unitId === null ? [] : [{ by: closedBy(id), from, until, parts: [{ unitId, fromM, untilM }] }],
  );
}

function spaceHoldings(holdings: readonly HoldingRow[], absences: readonly AbsenceRow[]): HoldingClaim[] {
  return holdings.map(({ id, parts, from, until }) => ({
    by: heldBy(id),
    parts,
    from,
    until,
    absences: absencesOf(id, absences),
  }));
}

function spaceGroups({ groups, membersAndFound }: StoredClaims): GroupClaim[] {
  return groups.map(({ id, parts, from, until }) => ({
    by: { kind: 'group', id, label: '' },
    parts,
    from,
    until,
    givesWayTo: membersAndFound.filter(({ memberOf, isFound }) => isFound || memberOf === id),
  }));
}

function outletClaims({ outletAssignments, outOfService, holdings, absences }: StoredClaims): OutletClaims {
  return {
    assignments: outletAssignments,
    outOfService: outOfService.flatMap(({ id, outletId, from, until }) =>
      outletId === null ? [] : [{ by: closedBy(id), from, until, outletIds: [outletId] }],
    ),
    holdings: holdings.flatMap(({ id, outlets, from, until }) =>
      outlets.map(
        ({ outletId, loadVa }): HeldOutlets => ({
          by: heldBy(id),
          from,
          until,
          absences: absencesOf(id, absences),
          outletIds: [outletId],
          statedVa: loadVa,
        }),
      ),
    ),
  };
}

function absencesOf(holdingId: string, absences: readonly AbsenceRow[]): AbsenceRow[] {
  return absences.filter((absence) => absence.holdingId === holdingId);
}

// Labels are looked up when rows are read; the stored row names its claim by id alone.
const heldBy = (id: string): UsedBy => ({ kind: 'holding', id, label: '' });
const closedBy = (id: string): UsedBy => ({ kind: 'outOfService', id, label: '' });

const insertion = `WITH space_new AS (
    INSERT INTO space_use (marina_id, unit_id, from_m, until_m, from_at, until_at, holding_id, out_of_service_id, group_id)
    SELECT $1, r."unitId", r."fromM", r."untilM", r."fromAt", r."untilAt", r."holdingId", r."outOfServiceId", r."groupId"
    FROM jsonb_to_recordset($2::jsonb) AS r("unitId" text, "fromM" float8, "untilM" float8, "fromAt" timestamptz,
      "untilAt" timestamptz, "holdingId" text, "outOfServiceId" text, "groupId" text)
  )
  INSERT INTO outlet_use (marina_id, outlet_id, from_at, until_at, stated_va, holding_id, out_of_service_id)
  SELECT $1, r."outletId", r."fromAt", r."untilAt", r."statedVa", r."holdingId", r."outOfServiceId"
  FROM jsonb_to_recordset($3::jsonb) AS r("outletId" text, "fromAt" timestamptz, "untilAt" timestamptz,
    "statedVa" float8, "holdingId" text, "outOfServiceId" text)`;

function storedUse<Use extends Period & { readonly by: UsedBy }>({ by, from, until, ...rest }: Use) {
  return {
    ...rest,
    fromAt: new Date(from).toISOString(),
    untilAt: new Date(until).toISOString(),
    holdingId: by.kind === 'holding' ? by.id : null,
    outOfServiceId: by.kind === 'outOfService' ? by.id : null,
    groupId: by.kind === 'group' ? by.id : null,
  };
}

import type { SpaceBox } from '../../core/berths/space-uses.ts';
import type { Finding, Subject } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Period } from '../../core/periods.ts';
import type { Tx } from '../db/client.ts';
import { epochMs } from '../db/epoch-ms.ts';
import { localTime } from '../local-time.ts';
import { type Cut, cutAssignments } from './cut-assignments.ts';
import type { Touched } from './derived-uses.ts';

export interface OutletPeriod extends Period {
  readonly outletId: string;
}

/** What must become free because of the truth, and why. */
export interface Displacement {
  readonly spaces: readonly SpaceBox[];
  readonly outlets: readonly OutletPeriod[];
  /** Ends the sentence "... loses berth A1 from 10 Jun 2030, 07:00: ". */
  readonly cause: string;
  /** Assignments that keep their space all the same; asked for each that is in the way of `spaces`. */
  readonly keeps?: (inTheWay: InTheWay) => boolean;
}

/** An assignment in the way. */
export interface InTheWay extends Period {
  readonly assignmentId: string;
  readonly stayId: string;
  readonly stayState: string;
  readonly boatId: string;
  readonly boatName: string;
  readonly contactName: string;
  readonly contactPhone: string | null;
  readonly berthId: string;
  readonly occupiedUntil: number;
  /** The stored assignment as it is, for the change row. */
  readonly assignment: unknown;
  /** From when on its space must be free; null where only outlets are in the way. */
  readonly spaceFrom: number | null;
  /** Outlets in the way and from when on. */
  readonly outlets: readonly { readonly outletId: string; readonly from: number }[];
}

/** A stay that lost its berth, or an outlet of its hook-up, and now needs one. */
export interface Displaced {
  readonly stayId: string;
  readonly stayState: string;
  readonly boatId: string;
  readonly boatName: string;
  readonly contactName: string;
  readonly contactPhone: string | null;
  readonly assignmentId: string;
  readonly berthId: string;
  /** `space`: it has no berth from `from` on. `outlet`: it keeps its berth, its hook-up is void from `from` on. */
  readonly lost: 'space' | 'outlet';
  readonly from: number;
  /** The period of the assignment as it was. */
  readonly was: Period;
  readonly findings: readonly Finding[];
  /** The stored assignment as it was, for the change row. */
  readonly assignment: unknown;
}

export interface DisplaceResult {
  readonly displaced: readonly Displaced[];
  /** Those that `keeps` let lie. */
  readonly kept: readonly InTheWay[];
  /** For `rewriteDerivedUses`: what was freed besides what was asked for (a boat across two slips frees both). */
  readonly touched: Touched;
}

/**
 * Frees space and outlets for the truth: what is assigned there loses everything from the displacing moment on, its
 * past stays, and its stay is marked as needing a berth, all in the caller's marina transaction. An assignment that
 * only loses an outlet keeps its berth; its verdict becomes `refused`, because its hook-up must be judged anew. A stay
 * keeps its state: a boat that has arrived is still there until somebody moves it. Turnover time after a boat has left
 * gives way silently. The caller calls `rewriteDerivedUses` with `touched`, and its own rows, afterwards.
 */
export async function displace(
  tx: Tx,
  marinaId: string,
  index: InventoryIndex,
  displacement: Displacement,
): Promise<DisplaceResult> {
  const hits = await findInTheWay(tx, marinaId, displacement);
  const kept = hits.filter((hit) => hit.spaceFrom !== null && (displacement.keeps?.(hit) ?? false));
  const cuts: Cut[] = [];
  const voided: { hit: InTheWay; outletId: string; from: number }[] = [];
  const displaced: Displaced[] = [];
  for (const hit of hits) {
    const isOpen = openStates.has(hit.stayState);
    const spaceFrom = kept.includes(hit) ? null : hit.spaceFrom;
    if (spaceFrom !== null) {
      const at = Math.min(spaceFrom, hit.until);
      cuts.push({ assignmentId: hit.assignmentId, at, occupiedUntil: spaceFrom });
      if (isOpen && spaceFrom < hit.until)
        displaced.push(lostSpace(index, hit, Math.max(at, hit.from), displacement.cause));
    }
    const outlets = hit.outlets.filter(({ from }) => spaceFrom === null || from < spaceFrom);
    voided.push(...outlets.map(({ outletId, from }) => ({ hit, outletId, from })));
    const inUse = outlets.filter(({ from }) => from < hit.until);
    if (isOpen && inUse.length > 0) displaced.push(lostOutlets(index, hit, inUse, displacement.cause));
  }
  const cut = await cutAssignments(tx, marinaId, cuts);
  await cutOutlets(tx, marinaId, voided);
  await markStays(tx, marinaId, displaced);
  const { spaces, outlets } = displacement;
  const touched = {
    unitIds: [...cut.unitIds, ...spaces.map(({ unitId }) => unitId)],
    outletIds: [...cut.outletIds, ...outlets.map(({ outletId }) => outletId)],
    since: Math.min(cut.since, ...spaces.map(({ from }) => from), ...outlets.map(({ from }) => from)),
  };
  return { displaced, kept, touched };
}

// Who has left, was turned away or never came needs no berth any more.
const openStates: ReadonlySet<string> = new Set(['requested', 'offered', 'promised', 'arrived']);

const search = `WITH space_hit AS (
    SELECT u.assignment_id AS id, min(r."from") AS "from"
    FROM jsonb_to_recordset($2::jsonb)
      AS r("unitId" text, "fromM" float8, "untilM" float8, "from" timestamptz, "until" timestamptz)
    JOIN space_use u ON u.marina_id = $1 AND u.unit_id = r."unitId" AND u.from_m < r."untilM" AND r."fromM" < u.until_m
      AND tstzrange(u.from_at, u.until_at, '[)') && tstzrange(r."from", r."until", '[)')
    WHERE u.assignment_id IS NOT NULL GROUP BY u.assignment_id
  ), outlet_hit AS (
    SELECT u.assignment_id AS id, u.outlet_id, min(r."from") AS "from"
    FROM jsonb_to_recordset($3::jsonb) AS r("outletId" text, "from" timestamptz, "until" timestamptz)
    JOIN outlet_use u ON u.marina_id = $1 AND u.outlet_id = r."outletId"
      AND tstzrange(u.from_at, u.until_at, '[)') && tstzrange(r."from", r."until", '[)')
    WHERE u.assignment_id IS NOT NULL GROUP BY u.assignment_id, u.outlet_id
  )
  SELECT a.id AS "assignmentId", a.stay_id AS "stayId", s.state AS "stayState", b.id AS "boatId", b.name AS "boatName",
    s.contact_name AS "contactName", s.contact_phone AS "contactPhone", a.berth_id AS "berthId",
    ${epochMs('a.from_at')} AS "from", ${epochMs('a.until_at')} AS "until", ${epochMs('a.occupied_until')} AS "occupiedUntil", to_jsonb(a) AS assignment,
    (SELECT ${epochMs('h."from"')} FROM space_hit h WHERE h.id = a.id) AS "spaceFrom",
    (SELECT coalesce(json_agg(json_build_object('outletId', o.outlet_id, 'from', ${epochMs('o."from"')})
        ORDER BY o.outlet_id), '[]') FROM outlet_hit o WHERE o.id = a.id) AS outlets
  FROM assignment a
  JOIN stay s ON s.marina_id = a.marina_id AND s.id = a.stay_id
  JOIN boat b ON b.marina_id = s.marina_id AND b.id = s.boat_id
  WHERE a.marina_id = $1 AND a.id IN (SELECT id FROM space_hit UNION SELECT id FROM outlet_hit)
  ORDER BY a.from_at, a.id`;

/** The assignments that have any of this space or these outlets at any time of the periods, earliest first. */
export async function findInTheWay(
  tx: Tx,
  marinaId: string,
  { spaces, outlets }: Pick<Displacement, 'spaces' | 'outlets'>,
): Promise<InTheWay[]> {
  if (spaces.length + outlets.length === 0) return [];
  return tx.$queryRawUnsafe<InTheWay[]>(
    search,
    marinaId,
    JSON.stringify(spaces.map(storedPeriod)),
    JSON.stringify(outlets.map(storedPeriod)),
  );
}

function storedPeriod<P extends Period>(period: P) {
  return { ...period, from: new Date(period.from).toISOString(), until: new Date(period.until).toISOString() };
}

function lostSpace(index: InventoryIndex, hit: InTheWay, from: number, cause: string): Displaced {
  const label = index.berths.get(hit.berthId)?.label ?? hit.berthId;
  const message =
    `"${hit.boatName}" loses berth ${label} from ${localTime(from, index.inventory.timeZone)}: ` +
    `${cause} Find it another berth.`;
  const subject: Subject = { kind: 'berth', id: hit.berthId, label };
  return displacedBy(hit, 'space', from, [finding('space.displaced', subject, cause, message)]);
}

function lostOutlets(index: InventoryIndex, hit: InTheWay, outlets: InTheWay['outlets'], cause: string): Displaced {
  const findings = outlets.map(({ outletId, from }) => {
    const subject = outletSubject(index, outletId);
    const message =
      `"${hit.boatName}" loses outlet ${subject.label} from ${localTime(from, index.inventory.timeZone)}: ` +
      `${cause} Its hook-up is void: judge another one, or another berth.`;
    return finding('outlet.displaced', subject, cause, message);
  });
  return displacedBy(hit, 'outlet', Math.max(hit.from, Math.min(...outlets.map(({ from }) => from))), findings);
}

/** An outlet with its pedestal, as people call it. */
export function outletSubject(index: InventoryIndex, outletId: string): Subject {
  const outlet = index.outlets.get(outletId);
  const pedestal = outlet && index.pedestals.get(outlet.pedestalId);
  const label = outlet && pedestal ? `${pedestal.label}-${outlet.label}` : outletId;
  return { kind: 'outlet', id: outletId, label };
}

function finding(
  rule: 'space.displaced' | 'outlet.displaced',
  subject: Subject,
  actual: string,
  message: string,
): Finding {
  return { rule, level: 'refuse', subject, actual, limit: null, unit: null, source: 'occupancy as recorded', message };
}

function displacedBy(hit: InTheWay, lost: Displaced['lost'], from: number, findings: readonly Finding[]): Displaced {
  const { spaceFrom: _s, outlets: _o, occupiedUntil: _u, from: wasFrom, until: wasUntil, ...who } = hit;
  return { ...who, lost, from, was: { from: wasFrom, until: wasUntil }, findings };
}

const outletCut = `WITH cut AS MATERIALIZED (
    SELECT * FROM jsonb_to_recordset($2::jsonb) AS r("assignmentId" text, "outletId" text, at timestamptz)
  ), gone AS (
    DELETE FROM outlet_use u USING cut WHERE u.marina_id = $1 AND u.assignment_id = cut."assignmentId"
      AND u.outlet_id = cut."outletId" AND u.from_at >= cut.at
  )
  UPDATE outlet_use u SET until_at = cut.at FROM cut WHERE u.marina_id = $1 AND u.assignment_id = cut."assignmentId"
    AND u.outlet_id = cut."outletId" AND u.from_at < cut.at AND u.until_at > cut.at`;

async function cutOutlets(
  tx: Tx,
  marinaId: string,
  voided: readonly { hit: InTheWay; outletId: string; from: number }[],
): Promise<void> {
  if (voided.length === 0) return;
  const stored = voided.map(({ hit, outletId, from }) => ({
    assignmentId: hit.assignmentId,
    outletId,
    at: new Date(from).toISOString(),
  }));
  await tx.$executeRawUnsafe(outletCut, marinaId, JSON.stringify(stored));
}

const marking = `WITH lost AS MATERIALIZED (
    SELECT * FROM jsonb_to_recordset($2::jsonb)
      AS r("stayId" text, "assignmentId" text, lost text, findings jsonb)
  ), judged AS (
    UPDATE assignment a SET findings = a.findings || lost.findings, verdict = 'refused', version = a.version + 1
    FROM lost WHERE a.marina_id = $1 AND a.id = lost."assignmentId" AND lost.lost = 'outlet'
  ), of_stay AS (
    SELECT lost."stayId", jsonb_agg(f.value) AS findings
    FROM lost, jsonb_array_elements(lost.findings) f GROUP BY lost."stayId"
  )
  UPDATE stay s SET needs_berth = coalesce(s.needs_berth, '[]') || of_stay.findings, version = s.version + 1
  FROM of_stay WHERE s.marina_id = $1 AND s.id = of_stay."stayId"`;

async function markStays(tx: Tx, marinaId: string, displaced: readonly Displaced[]): Promise<void> {
  if (displaced.length === 0) return;
  const lost = displaced.map(({ stayId, assignmentId, lost, findings }) => ({ stayId, assignmentId, lost, findings }));
  await tx.$executeRawUnsafe(marking, marinaId, JSON.stringify(lost));
}

import { randomUUID } from 'node:crypto';
import { z } from 'zod';
import { judgeFit } from '../../core/berths/fit.ts';
import type { SpaceBox, UnitPart } from '../../core/berths/space-uses.ts';
import { lowestTide } from '../../core/berths/tide.ts';
import { prepareAdmission } from '../../core/electrical/demand/admission.ts';
import { type Finding, verdictOf } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Period } from '../../core/periods.ts';
import { rulesEdition } from '../../core/rules-edition.ts';
import { practiceOf } from '../berth-options/question.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment } from '../db/generated/client.ts';
import { type Idempotency, type MarinaWrite, marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import type { Principal } from '../http/access.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { localDaysOf, localTime, localTimestamp } from '../local-time.ts';
import type { Services } from '../services.ts';
import { type AssumedPower, assumedPower } from './assumed-power.ts';
import { type BerthParts, invalid, partsOfBerth, requireOutlets } from './berth-parts.ts';
import { cutAssignments, leave } from './cut-assignments.ts';
import { rewriteDerivedUses } from './derived-uses.ts';
import { displace, outletSubject } from './displace.ts';
import { displacedDocument } from './displaced-schema.ts';
import { findStoodOn, foundFindings } from './found-findings.ts';
import { foundPlace } from './found-place.ts';
import type { Found, FoundInput } from './found-schema.ts';
import { arriveOnStay, foundBoat, likeNamed } from './found-stay.ts';
import { loadOccupancy, type Occupancy } from './load.ts';
import { withOverstays } from './overstays.ts';
import { requireRecent } from './require-recent.ts';

const dayMs = 86_400_000;

interface RecordFound {
  readonly principal: Principal;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly input: FoundInput;
}

/**
 * Enters a boat where it lies. Who else has the place makes no difference: transients in the way are displaced,
 * holders and closings give way while it lies there, its own other place ends. Where it lies on the berth it was
 * assigned, and nothing else is said of it, that assignment stands with its hook-up. Where nobody has looked what it is
 * plugged into, it is taken to be plugged in (`assumedPower`). Throws a Problem: `invalid-input`.
 */
export async function recordFound(
  services: Services,
  { principal, idempotency, now, input }: RecordFound,
): Promise<Found> {
  const { marinaId, id: actor } = principal;
  const options = { marinaId, actor, kind: 'occupancy.found', now, idempotency };
  return marinaTransaction(services.db, options, (write) =>
    enterFound(services, write, { marinaId, now, input, mayAsk: true }),
  );
}

interface EnterFound {
  readonly marinaId: string;
  readonly now: number;
  readonly input: FoundInput;
  /** Whether whoever enters it can be asked what is missing: see `foundPlace`. */
  readonly mayAsk?: boolean;
}

/** The same inside a marina transaction of the caller, who takes what the change was from `recordChange`. */
export async function enterFound(
  { inventories }: Pick<Services, 'inventories'>,
  { tx, recordChange }: Pick<MarinaWrite, 'tx' | 'recordChange'>,
  { marinaId, now, input, mayAsk = false }: EnterFound,
): Promise<Found> {
  const { index, revision } = await inventories.inventoryOf(tx, marinaId);
  const { settings, timeZone } = index.inventory;
  partsOfBerth(index, input.berthId, input);
  const outletIds = input.outletIds ?? null;
  requireOutlets(index, outletIds ?? [], (position) => `/outletIds/${position}`);
  const at = Date.parse(input.at);
  if (at > now + dayMs) throw invalid('/at', 'It lies more than a day ahead. Assign the boat instead.');
  requireRecent(at, now, '/at');
  const boat = await foundBoat(tx, marinaId, input, now);
  const stay = await arriveOnStay(tx, marinaId, boat, input, { settings, timeZone });
  const period = { from: at, until: stay.until };

  const own = await ownAssignments(tx, marinaId, boat.id, period);
  const asked = { input, boat, period, own, mayAsk };
  const { place, findings: ofPlace } = await foundPlace(tx, marinaId, index, asked);
  const standing = own.find((assignment) => standsAsAssigned(assignment, stay.id, place, period));
  if (standing !== undefined && outletIds === null) {
    const answer = { stayId: stay.id, boatId: boat.id, assignment: await documentOf(tx, standing), displaced: [] };
    await recordChange(plainJson({ stay: stay.before }), answer);
    return answer;
  }

  const power =
    outletIds === null
      ? await assumedPower(tx, marinaId, index, { boat, place, period, own })
      : { outlets: outletIds.map((outletId) => ({ outletId, statedVa: null })), stock: [] };
  const plugged = power.outlets.map(({ outletId }) => outletId);
  const cuts = own.map((assignment) => leave(index, assignment, at, place.berth.id));
  const freed = await cutAssignments(tx, marinaId, cuts);
  const { displaced, touched } = await displace(tx, marinaId, index, {
    spaces: boxesOf(place.parts, period),
    outlets: plugged.map((outletId) => ({ outletId, ...period })),
    cause: `"${boat.name}" was found there.`,
  });
  const standsOn = await findStoodOn(tx, marinaId, place.parts, plugged, period);
  const others = await withOverstays(tx, marinaId, index, await loadOccupancy(tx, marinaId, period), {
    now,
    period,
    besidesStayIds: new Set([stay.id]),
  });
  const lowTide = lowestTide(localDaysOf(period, timeZone), settings);
  const told = foundFindings({
    fit: judgeFit(boatOf(boat), place.berth, lowTide, settings),
    boat,
    berth: place.berth,
    range: place.range,
    at,
    timeZone,
    outletIds,
    plugged: labelsOf(index, plugged),
    standsOn,
    displaced,
  });
  const findings = [
    ...told,
    ...ofPlace,
    ...(await likeNamed(tx, marinaId, boat, input, at)),
    ...feederFindings(index, plugged, others, period),
  ];
  const placed = await insertFound(tx, marinaId, {
    stayId: stay.id,
    place,
    orientation: input.orientation ?? place.berth.orientations[0] ?? 'bowIn',
    period,
    power,
    findings,
    turnoverMs: settings.turnoverMinutes * 60_000,
    inventoryRevision: revision,
  });
  const losesRest = own.some(({ stayId, untilAt }) => stayId === stay.id && untilAt.getTime() > period.until);
  await noteNeedOfBerth(tx, marinaId, stay.id, losesRest ? restFinding(place, boat.name, period, timeZone) : null);
  await rewriteDerivedUses(tx, marinaId, {
    unitIds: [...touched.unitIds, ...freed.unitIds],
    outletIds: [...touched.outletIds, ...freed.outletIds, ...plugged],
    since: Math.min(touched.since, freed.since),
  });
  const answer = {
    stayId: stay.id,
    boatId: boat.id,
    assignment: await documentOf(tx, placed),
    displaced: displaced.map(displacedDocument),
  };
  await recordChange(
    plainJson({ stay: stay.before, assignments: [...own, ...displaced.map(({ assignment }) => assignment)] }),
    answer,
  );
  return answer;
}

/** What the feeders of the outlets carry with the boat on them at their ratings, beside all others. */
function feederFindings(
  index: InventoryIndex,
  outletIds: readonly string[],
  { outletUses }: Occupancy,
  period: Period,
): readonly Finding[] {
  if (outletIds.length === 0) return [];
  const others = outletUses.filter(({ outletId }) => !outletIds.includes(outletId));
  return prepareAdmission(index, practiceOf(index), others, period).judge(outletIds, null).findings;
}

function labelsOf(index: InventoryIndex, outletIds: readonly string[]): string[] {
  return outletIds.map((id) => outletSubject(index, id).label);
}

function ownAssignments(tx: Tx, marinaId: string, boatId: string, { from, until }: Period): Promise<Assignment[]> {
  return tx.assignment.findMany({
    where: { marinaId, stay: { boatId }, fromAt: { lt: new Date(until) }, untilAt: { gt: new Date(from) } },
    orderBy: [{ fromAt: 'asc' }, { id: 'asc' }],
  });
}

function standsAsAssigned(assignment: Assignment, stayId: string, place: BerthParts, { from, until }: Period): boolean {
  return (
    assignment.stayId === stayId &&
    assignment.berthId === place.berth.id &&
    assignment.faceFromM === (place.range?.fromM ?? null) &&
    assignment.faceUntilM === (place.range?.untilM ?? null) &&
    assignment.fromAt.getTime() <= from &&
    until <= assignment.untilAt.getTime()
  );
}

function boxesOf(parts: readonly UnitPart[], { from, until }: Period): SpaceBox[] {
  return parts.map((part) => ({ ...part, from, until }));
}

interface NewFound {
  readonly stayId: string;
  readonly place: BerthParts;
  readonly orientation: string;
  readonly period: Period;
  readonly power: AssumedPower;
  readonly findings: readonly Finding[];
  readonly turnoverMs: number;
  readonly inventoryRevision: number;
}

async function insertFound(tx: Tx, marinaId: string, found: NewFound): Promise<Assignment> {
  const { place, period, findings } = found;
  const fromAt = new Date(period.from);
  const untilAt = new Date(period.until);
  const occupiedUntil = await turnoverEnd(tx, marinaId, place.parts, period.until, found.turnoverMs);
  const assignment = await tx.assignment.create({
    data: {
      marinaId,
      id: randomUUID(),
      stayId: found.stayId,
      berthId: place.berth.id,
      faceFromM: place.range?.fromM ?? null,
      faceUntilM: place.range?.untilM ?? null,
      orientation: found.orientation,
      fromAt,
      untilAt,
      occupiedUntil,
      found: true,
      findings: plainJson(findings),
      verdict: verdictOf(findings),
      overrides: [],
      rulesEdition,
      inventoryRevision: found.inventoryRevision,
    },
  });
  const assignmentId = assignment.id;
  await tx.spaceUse.createMany({
    data: place.parts.map((part) => ({ marinaId, ...part, fromAt, untilAt: occupiedUntil, assignmentId })),
  });
  await tx.outletUse.createMany({
    data: found.power.outlets.map((use) => ({ marinaId, ...use, fromAt, untilAt, assignmentId })),
  });
  await tx.stockUse.createMany({
    data: found.power.stock.map((use) => ({ marinaId, ...use, fromAt, untilAt, assignmentId })),
  });
  return assignment;
}

/** Turnover time after a found boat, as far as nobody is placed there already: only the boat itself displaces. */
async function turnoverEnd(
  tx: Tx,
  marinaId: string,
  parts: readonly UnitPart[],
  until: number,
  turnoverMs: number,
): Promise<Date> {
  const wanted = new Date(until + turnoverMs);
  const next = await tx.spaceUse.findFirst({
    where: {
      marinaId,
      assignmentId: { not: null },
      fromAt: { gte: new Date(until), lt: wanted },
      OR: parts.map(({ unitId, fromM, untilM }) => ({ unitId, fromM: { lt: untilM }, untilM: { gt: fromM } })),
    },
    orderBy: { fromAt: 'asc' },
    select: { fromAt: true },
  });
  return next?.fromAt ?? wanted;
}

/** Its place ends before the one that it had would have: it needs another for the rest. */
function restFinding({ berth }: BerthParts, boatName: string, { until }: Period, timeZone: string): Finding {
  return {
    rule: 'space.rest',
    level: 'refuse',
    subject: { kind: 'berth', id: berth.id, label: berth.label },
    actual: localTimestamp(until, timeZone),
    limit: null,
    unit: null,
    source: 'occupancy as recorded',
    message: `"${boatName}" is expected to leave berth ${berth.label} at ${localTime(until, timeZone)}, before its stay ends. Find it a berth for the rest, or shorten the stay.`,
  };
}

async function noteNeedOfBerth(tx: Tx, marinaId: string, stayId: string, finding: Finding | null): Promise<void> {
  const needs = finding === null ? null : JSON.stringify([finding]);
  await tx.$executeRaw`UPDATE stay SET needs_berth = ${needs}::jsonb WHERE marina_id = ${marinaId} AND id = ${stayId}`;
}

async function documentOf(tx: Tx, row: Assignment): Promise<Found['assignment']> {
  const uses = await tx.outletUse.findMany({
    where: { marinaId: row.marinaId, assignmentId: row.id },
    orderBy: { id: 'asc' },
    select: { outletId: true },
  });
  // Findings, verdict and orientation are stored as core gave them.
  return {
    id: row.id,
    berthId: row.berthId,
    fromM: row.faceFromM,
    untilM: row.faceUntilM,
    orientation: row.orientation as Found['assignment']['orientation'],
    from: row.fromAt.toISOString(),
    until: row.untilAt.toISOString(),
    outletIds: [...new Set(uses.map(({ outletId }) => outletId))],
    found: row.found,
    verdict: row.verdict as Found['assignment']['verdict'],
    findings: z.array(findingSchema).parse(row.findings),
    version: row.version,
  };
}

import { judgeChoice } from '../../core/berths/options/judge-choice.ts';
import type { BerthOption } from '../../core/berths/options/options.ts';
import { prepare } from '../../core/berths/options/prepare.ts';
import type { Boat } from '../../core/boats.ts';
import {
  acceptedByDesk,
  type CheckInEntry,
  type CheckInFacts,
  type JudgedCheckIn,
} from '../../core/check-in/check-in.ts';
import { judgeCheckIn } from '../../core/check-in/judge-check-in.ts';
import { supplyOutlet } from '../../core/electrical/hook-up/supply-outlet.ts';
import type { Finding } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Orientation } from '../../core/inventory/inventory.ts';
import { adapterKinds } from '../../core/standards/adapter-kinds.ts';
import { loadQuestion } from '../berth-options/question.ts';
import type { Assignment } from '../db/generated/client.ts';
import { outletSubject } from '../occupancy/displace.ts';
import type { StoredStay } from '../stays/stored-stay.ts';
import type { EventContext } from './event-context.ts';
import type { BodyOf } from './schema.ts';
import { readCheckInSettings } from './settings.ts';

/** Areas of a berth's judgement that a check-in passes on: what the phone cannot know. */
const deskAreas = new Set(['demand', 'power', 'outlet', 'stock', 'leakage']);

export function isOfDesk({ rule }: { readonly rule: string }): boolean {
  return deskAreas.has(rule.split('.')[0] ?? '');
}

/** Every outlet that a berth reaches, and those named besides, as a hook-up is judged on them. */
export function suppliesOf(index: InventoryIndex, berthId: string, besides: readonly string[] = []) {
  const reached = index.berths.get(berthId)?.reaches.map(({ outletId }) => outletId) ?? [];
  return [...new Set([...reached, ...besides])].flatMap((id) => {
    const outlet = index.outlets.get(id);
    return outlet === undefined ? [] : [supplyOutlet(index, outlet)];
  });
}

/** A check-in as the service judges it: what the phone judged, and what feeders, stock and other boats say. */
export async function judgeAtDesk(
  { tx, services, marinaId, index, at, now }: EventContext,
  {
    stay,
    boat,
    assignment,
    body,
  }: {
    readonly stay: StoredStay;
    readonly boat: Boat;
    readonly assignment: Assignment;
    readonly body: BodyOf<'checkIn'>;
  },
): Promise<{ readonly judged: JudgedCheckIn; readonly option: BerthOption | null; readonly isStockShort: boolean }> {
  const { settings } = await readCheckInSettings(tx, marinaId);
  const entry = entryOf(body);
  const facts: CheckInFacts = {
    boat,
    outlets: suppliesOf(index, assignment.berthId, body.outletIds),
    adapterKinds: new Map([...adapterKinds, ...index.inventory.adapterKinds].map((kind) => [kind.id, kind])),
    refuseCordBelowBreaker: index.inventory.settings.refuseCordBelowBreaker,
    mandatory: settings.mandatoryReadings,
    keptOutletIds: body.outletIds,
    deskFindings: [],
    holdsUntil: Number.POSITIVE_INFINITY,
  };
  const first = judgeCheckIn(facts, entry);
  const berth = index.berths.get(assignment.berthId);
  if (first.hookUp === null || first.hookUp.hookUp.joints.length === 0 || berth === undefined) {
    return { judged: first, option: null, isStockShort: false };
  }
  const { question } = await loadQuestion(tx, services, marinaId, {
    boat,
    wishes: stay.wishes,
    groupId: stay.row.groupId,
    period: { from: at, until: Math.max(assignment.untilAt.getTime(), at + 1) },
    withoutAssignmentIds: new Set([assignment.id]),
    now,
  });
  const { faceFromM: fromM, faceUntilM: untilM } = assignment;
  const option = judgeChoice(prepare(question), berth, {
    // Orientation is stored as core gave it.
    orientation: assignment.orientation as Orientation,
    place: fromM === null || untilM === null ? null : { fromM, untilM },
    hookUp: first.hookUp.hookUp,
  }).describe();
  const kept = await tx.outletUse.findMany({
    where: { marinaId, assignmentId: assignment.id, untilAt: { gt: new Date(at) } },
    select: { outletId: true },
  });
  const isAsKept = body.outletIds.every((id) => kept.some(({ outletId }) => outletId === id));
  const said = option.findings.filter(isOfDesk);
  const ofDesk = isAsKept ? acceptedByDesk(said) : said;
  const beyond = body.outletIds.filter((id) => !berth.reaches.some(({ outletId }) => outletId === id));
  const deskFindings = [...ofDesk, ...beyond.map((id) => notReached(index, id, berth.label))];
  return {
    judged: judgeCheckIn({ ...facts, deskFindings }, entry),
    option,
    isStockShort: ofDesk.some(({ rule }) => rule === 'stock.none'),
  };
}

function notReached(index: InventoryIndex, outletId: string, berthLabel: string): Finding {
  const subject = outletSubject(index, outletId);
  return {
    rule: 'checkin.outletNotReached',
    level: 'confirm',
    subject,
    actual: subject.label,
    limit: berthLabel,
    unit: null,
    source: "the marina's inventory",
    message: `Outlet ${subject.label} is not entered as in reach of berth ${berthLabel}: what its feeder carries was not judged with this boat.`,
    missingFact: { subject, fact: 'reach', question: `May berth ${berthLabel} use outlet ${subject.label}?` },
  };
}

export function entryOf(body: BodyOf<'checkIn'>): CheckInEntry {
  const { at, outletIds, adapters, boat, outlets, fittings, readings, heldBecause } = body;
  return { at: Date.parse(at), outletIds, adapters, boat, outlets, fittings, readings, heldBecause };
}

import type { JudgedCheckIn } from '../../core/check-in/check-in.ts';
import { statedVaOf } from '../../core/electrical/boat-load/load-of-boat.ts';
import { spreadStatedVa } from '../../core/electrical/demand/spread-stated.ts';
import { gravestFirst, verdictOf } from '../../core/findings.ts';
import { rulesEdition } from '../../core/rules-edition.ts';
import { connectionDocument, tightestDocument } from '../berth-options/schema.ts';
import { questionJudgements } from '../boats/question-judgements.ts';
import { requireKnown } from '../boats/require-sound.ts';
import { boatFactsSchema } from '../boats/schema.ts';
import type { Assignment } from '../db/generated/client.ts';
import { plainJson } from '../db/plain-json.ts';
import { findingsSchema } from '../http/finding-schema.ts';
import { outletSubject } from '../occupancy/displace.ts';
import { readStay, type StoredStay } from '../stays/stored-stay.ts';
import { arriveAt } from './arrive-at.ts';
import { judgeAtDesk } from './desk-judgement.ts';
import { type Entered, type EventContext, nothingEntered } from './event-context.ts';
import { lendAdapters } from './loans.ts';
import { mergeFacts } from './merge-facts.ts';
import type { DeskAlert } from './raise-alerts.ts';
import type { BodyOf, Contradiction } from './schema.ts';
import { takeOutlets } from './take-outlets.ts';
import { unknownStay } from './unknown-stay.ts';

/**
 * Enters a check-in: the boat is there, its facts are as seen, its hook-up is judged anew, what it is plugged into is its
 * own, what it was lent is out of stock. Nothing is refused; where dock and desk disagree, both are kept and the desk is
 * alerted.
 */
export async function enterCheckIn(context: EventContext, body: BodyOf<'checkIn'>): Promise<Entered> {
  const { tx, marinaId, now, at } = context;
  const known = await tx.stay.findUnique({ where: { marinaId_id: { marinaId, id: body.stayId } } });
  if (known === null) return { ...nothingEntered, ...unknownStay(body.stayId), outletIds: body.outletIds };
  requireKnown(seenFacts(body), context.index.inventory);
  const before = await readStay(tx, marinaId, body.stayId);
  const arrived = await arriveAt(context, before, body);
  const stay = await readStay(tx, marinaId, body.stayId);
  const merged = mergeFacts(stay.boat, body.boat, at);
  if (merged.isChanged) {
    const { id, name, ...facts } = merged.boat;
    await tx.boat.update({
      where: { marinaId_id: { marinaId, id } },
      data: { facts: plainJson(facts), version: { increment: 1 } },
    });
    const { timeZone } = context.index.inventory;
    await questionJudgements(tx, marinaId, { id, name }, { now, timeZone });
  }
  const contradictions = [...arrived.contradictions, ...merged.contradictions];
  const entered = { stayId: stay.row.id, boatId: stay.boat.id, outletIds: body.outletIds };
  if (arrived.assignment === null) return { ...nothingEntered, ...entered, contradictions, before: beforeOf(before) };

  const { assignment } = arrived;
  const desk = await judgeAtDesk(context, { stay, boat: merged.boat, assignment, body });
  const taken = await takeWhatIsUsed(context, { stay, assignment, body });
  if (desk.isStockShort && body.energised) contradictions.push(stockShort(body));
  contradictions.push(...taken.contradictions, ...verdictDiffers(body, desk.judged));
  await storeJudgement(context, { assignment, desk, keptOutletIds: taken.keptOutletIds });
  return {
    ...entered,
    outcome: desk.judged.outcome,
    findings: desk.judged.findings,
    contradictions,
    alerts: alertsOf(stay, body, desk.judged),
    before: beforeOf(before),
  };
}

/** Designations must be of the standards, as anywhere; what is wrong with them is named by its place. */
function seenFacts({ boat }: BodyOf<'checkIn'>) {
  const fact = <T>(value: T | null) => (value === null ? null : { value, origin: 'dockhand' as const });
  return boatFactsSchema.parse({
    cordSets: fact(boat.cordSets),
    adapterKindIds: fact(boat.adapterKindIds),
    inlets: boat.inlets.map(({ id, configurationId }) => ({
      id,
      configurationIds: fact(configurationId === null ? null : [configurationId]),
    })),
  });
}

function beforeOf({ row, boatRow, assignments }: StoredStay) {
  return plainJson({ stay: row, boat: boatRow, assignments });
}

interface Using {
  readonly stay: StoredStay;
  readonly assignment: Assignment;
  readonly body: BodyOf<'checkIn'>;
}

/** Outlets and pieces of a boat that is switched on; of any other, what was kept for it stays so. */
async function takeWhatIsUsed(context: EventContext, { stay, assignment, body }: Using) {
  const { tx, marinaId, index, at, eventId } = context;
  const contradictions: Contradiction[] = [];
  if (!body.energised) {
    const uses = await tx.outletUse.findMany({
      where: { marinaId, assignmentId: assignment.id, untilAt: { gt: new Date(at) } },
    });
    return { contradictions, keptOutletIds: [...new Set(uses.map(({ outletId }) => outletId))] };
  }
  const outletIds = [...new Set(body.outletIds)].filter((id) => index.outlets.has(id));
  for (const id of body.outletIds.filter((each) => !outletIds.includes(each)))
    contradictions.push({
      about: 'outlet',
      dock: id,
      desk: 'no such outlet',
      message: `The dock uses outlet ${id}, which the inventory does not have.`,
    });
  const { displaced, before } = await takeOutlets(context, {
    assignment,
    outletIds,
    statedVa: spreadStatedVa(index, outletIds, statedVaOf(stay.boat)),
    boatName: stay.boat.name,
  });
  const labels = (ids: readonly string[]) => ids.map((id) => outletSubject(index, id).label).join(', ') || 'none';
  if (before.length > 0 && outletIds.some((id) => !before.includes(id)))
    contradictions.push({
      about: 'outlets',
      dock: labels(outletIds),
      desk: labels(before),
      message: `${stay.boat.name} is plugged into ${labels(outletIds)}; kept for it was ${labels(before)}.`,
    });
  for (const lost of displaced)
    contradictions.push({
      about: 'outlets',
      dock: stay.boat.name,
      desk: lost.boatName,
      message: `${stay.boat.name} is plugged in where "${lost.boatName}" had an outlet: that boat needs another.`,
    });
  const known = body.adapters.flatMap(({ from, stockId }) =>
    from === 'stock' && stockId !== null && index.adapterStock.has(stockId) ? [stockId] : [],
  );
  await lendAdapters(tx, {
    marinaId,
    eventId,
    stayId: stay.row.id,
    assignment,
    at,
    dueAt: stay.row.departureAt,
    stockIds: known,
  });
  return { contradictions, keptOutletIds: outletIds };
}

function stockShort({ adapters }: BodyOf<'checkIn'>): Contradiction {
  const pieces = adapters.filter(({ from }) => from === 'stock').map(({ stockId }) => stockId ?? 'unknown');
  return {
    about: 'adapters',
    dock: pieces.join(', '),
    desk: 'reserved or lent',
    message:
      'A piece was lent that is reserved for another boat, or that the stock does not have. Find another for it.',
  };
}

function verdictDiffers({ phoneOutcome }: BodyOf<'checkIn'>, { outcome }: JudgedCheckIn): Contradiction[] {
  if (phoneOutcome === null || phoneOutcome === outcome) return [];
  return [
    {
      about: 'verdict',
      dock: phoneOutcome,
      desk: outcome,
      message: `The phone said ${phoneOutcome}; with what the desk knows now it is ${outcome}.`,
    },
  ];
}

interface Judgement {
  readonly assignment: Assignment;
  readonly desk: Awaited<ReturnType<typeof judgeAtDesk>>;
  readonly keptOutletIds: readonly string[];
}

/** What is judged at the dock stands in place of what was judged when the berth was assigned; its room stays as it was. */
async function storeJudgement({ tx, marinaId }: EventContext, { assignment, desk, keptOutletIds }: Judgement) {
  const { judged, option } = desk;
  const current = await tx.assignment.findUniqueOrThrow({ where: { marinaId_id: { marinaId, id: assignment.id } } });
  const stored = findingsSchema.parse(current.findings);
  const findings = gravestFirst([...judged.findings, ...stored.filter(({ rule }) => /^(fit|space|wish)\./.test(rule))]);
  await tx.assignment.update({
    where: { marinaId_id: { marinaId, id: assignment.id } },
    data: {
      hookUp: plainJson({
        connection: judged.hookUp === null ? null : connectionDocument(judged.hookUp),
        outletIds: keptOutletIds,
        cords: option?.cords ?? [],
        tightest: tightestDocument(option?.tightest ?? null),
      }),
      findings: plainJson(findings),
      verdict: verdictOf(findings),
      rulesEdition,
      version: { increment: 1 },
    },
  });
}

function alertsOf({ row, boat }: StoredStay, body: BodyOf<'checkIn'>, judged: JudgedCheckIn): DeskAlert[] {
  const alert = (kind: DeskAlert['kind'], message: string): DeskAlert[] => [
    { kind, stayId: row.id, message, findings: judged.findings.filter(({ level }) => level !== 'note') },
  ];
  const isPowered = judged.outcome === 'powered' || judged.outcome === 'poweredWithConditions';
  if (isPowered) return [];
  if (body.energised)
    return alert('shutDown', `${boat.name} is switched on, and its check-in is ${judged.outcome}. Have it shut down.`);
  if (boat.wantsPower?.value === false) return [];
  return alert('withoutPower', `${boat.name} lies without power: its check-in is ${judged.outcome}.`);
}

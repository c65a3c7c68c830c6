import { judgeChoice } from '../../core/berths/options/judge-choice.ts';
import { prepare } from '../../core/berths/options/prepare.ts';
import { statedVaOf } from '../../core/electrical/boat-load/load-of-boat.ts';
import { spreadStatedVa } from '../../core/electrical/demand/spread-stated.ts';
import { type Finding, verdictOf } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Orientation } from '../../core/inventory/inventory.ts';
import { rulesEdition } from '../../core/rules-edition.ts';
import { loadQuestion } from '../berth-options/question.ts';
import { connectionDocument, tightestDocument } from '../berth-options/schema.ts';
import { takeOutlets } from '../check-ins/take-outlets.ts';
import type { Tx } from '../db/client.ts';
import type { Assignment } from '../db/generated/client.ts';
import { plainJson } from '../db/plain-json.ts';
import type { Services } from '../services.ts';
import type { StoredStay } from '../stays/stored-stay.ts';

interface Context {
  readonly services: Services;
  readonly tx: Tx;
  readonly marinaId: string;
  readonly index: InventoryIndex;
}

export interface Rejudged {
  readonly berthLabel: string;
  readonly before: string;
  readonly after: string;
  readonly findings: readonly Finding[];
}

/**
 * Judges every place that a stay has yet to take anew, on its own berth, with the best hook-up there. A hook-up that is
 * not refused is taken with its outlets and adapters; a refusal is stored as the verdict, and what was kept stays kept
 * until the desk decides. Inside the caller's marina transaction.
 */
export async function rejudge(context: Context, stay: StoredStay, now: number): Promise<Rejudged[]> {
  const judged: Rejudged[] = [];
  for (const assignment of stay.assignments.filter(({ untilAt }) => untilAt.getTime() > now)) {
    judged.push(await judgeAnew(context, stay, assignment, now));
  }
  return judged;
}

async function judgeAnew(
  { services, tx, marinaId, index }: Context,
  stay: StoredStay,
  assignment: Assignment,
  now: number,
): Promise<Rejudged> {
  const berth = index.berths.get(assignment.berthId);
  if (berth === undefined) {
    const { verdict } = assignment;
    return { berthLabel: assignment.berthId, before: verdict, after: verdict, findings: [] };
  }
  const from = Math.max(assignment.fromAt.getTime(), now);
  const { question, revision } = await loadQuestion(tx, services, marinaId, {
    boat: stay.boat,
    wishes: stay.wishes,
    groupId: stay.row.groupId,
    period: { from, until: assignment.untilAt.getTime() },
    withoutAssignmentIds: new Set([assignment.id]),
    now,
  });
  const { faceFromM: fromM, faceUntilM: untilM } = assignment;
  const option = judgeChoice(prepare(question), berth, {
    // Orientation is stored as core gave it.
    orientation: assignment.orientation as Orientation,
    place: fromM === null || untilM === null ? null : { fromM, untilM },
    hookUp: null,
  }).describe();
  const verdict = verdictOf(option.findings);
  if (verdict !== 'refused') {
    const drawnVa = option.hookUp === null ? null : statedVaOf(stay.boat);
    await takeOutlets(
      { tx, marinaId, index, at: from },
      {
        assignment,
        outletIds: option.outletIds,
        statedVa: spreadStatedVa(index, option.outletIds, drawnVa),
        boatName: stay.boat.name,
      },
    );
    await reserveAdapters(tx, assignment, from, option.hookUp?.hookUp.adapters ?? []);
  }
  await tx.assignment.update({
    where: { marinaId_id: { marinaId, id: assignment.id } },
    data: {
      ...(verdict === 'refused'
        ? {}
        : {
            hookUp: plainJson({
              connection: connectionDocument(option.hookUp),
              outletIds: option.outletIds,
              cords: option.cords,
              tightest: tightestDocument(option.tightest),
            }),
          }),
      findings: plainJson(option.findings),
      verdict,
      rulesEdition,
      inventoryRevision: revision,
      version: { increment: 1 },
    },
  });
  return { berthLabel: berth.label, before: assignment.verdict, after: verdict, findings: option.findings };
}

async function reserveAdapters(
  tx: Tx,
  { marinaId, id: assignmentId, occupiedUntil }: Assignment,
  from: number,
  adapters: readonly { readonly from: string; readonly stockId: string | null }[],
): Promise<void> {
  const wanted = adapters.flatMap(({ from: owner, stockId }) =>
    owner === 'stock' && stockId !== null ? [stockId] : [],
  );
  const fromAt = new Date(from);
  await tx.stockUse.deleteMany({ where: { marinaId, assignmentId, fromAt: { gte: fromAt } } });
  await tx.stockUse.updateMany({
    where: { marinaId, assignmentId, untilAt: { gt: fromAt } },
    data: { untilAt: fromAt },
  });
  await tx.stockUse.createMany({
    data: [...new Set(wanted)].map((stockId) => ({
      marinaId,
      stockId,
      quantity: wanted.filter((id) => id === stockId).length,
      fromAt,
      untilAt: occupiedUntil,
      assignmentId,
    })),
  });
}

import type { Finding } from '../../core/findings.ts';
import { type Idempotency, marinaTransaction } from '../db/marina-transaction.ts';
import type { Principal } from '../http/access.ts';
import { localTime } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { rewriteDerivedUses } from '../occupancy/derived-uses.ts';
import { displace } from '../occupancy/displace.ts';
import { displacedDocument } from '../occupancy/displaced-schema.ts';
import { requireRecent } from '../occupancy/require-recent.ts';
import type { Services } from '../services.ts';
import { absenceOf } from './absences.ts';
import { type AbsenceDocument, absenceDocument } from './schema.ts';
import { claimOf, outletsOf, readHolding, spacesOf } from './stored-holding.ts';

interface RecallAbsence {
  readonly principal: Principal;
  readonly idempotency: Idempotency | null;
  readonly now: number;
  readonly input: { readonly holdingId: string; readonly absenceId: string; readonly returnsAt: string };
}

export interface Recalled {
  readonly absence: AbsenceDocument;
  readonly findings: Finding[];
  /** Stays that lose the berth to the holder. */
  readonly displaced: ReturnType<typeof displacedDocument>[];
}

/**
 * The holder comes back early: from `returnsAt` on the berth is theirs, whatever notice they gave, and whoever has it
 * then needs another. Throws a Problem: `not-found`, `invalid-input` (not early, or long ago).
 */
export async function recallAbsence(
  { db, inventories }: Services,
  { principal, idempotency, now, input }: RecallAbsence,
): Promise<Recalled> {
  const { marinaId, id: actor } = principal;
  const { holdingId, absenceId } = input;
  const options = { marinaId, actor, kind: 'absence.recalled', now, idempotency };
  return marinaTransaction(db, options, async ({ tx, recordChange }) => {
    const holding = await readHolding(tx, marinaId, holdingId);
    const before = absenceOf(holding, absenceId);
    const { index } = await inventories.inventoryOf(tx, marinaId);
    const { timeZone, settings } = index.inventory;
    const returnsAt = Date.parse(input.returnsAt);
    requireRecent(returnsAt, now, '/returnsAt');
    const until = Math.min(before.untilAt.getTime(), before.recalledFromAt?.getTime() ?? Number.POSITIVE_INFINITY);
    if (returnsAt >= until) {
      throw invalid('/returnsAt', `The absence ends ${localTime(until, timeZone)} anyway. Give an earlier return.`);
    }
    const from = Math.max(returnsAt, before.fromAt.getTime());
    const after = await tx.absence.update({
      where: { marinaId_id: { marinaId, id: absenceId } },
      data: { recalledAt: new Date(now), recalledFromAt: new Date(from) },
    });
    const claim = await claimOf(tx, holding);
    const period = from < until ? [{ from, until }] : [];
    const { displaced, touched } = await displace(tx, marinaId, index, {
      spaces: spacesOf(claim, period),
      outlets: outletsOf(claim, period),
      cause: `${holding.holderName}, who holds it, comes back ${localTime(returnsAt, timeZone)}.`,
    });
    await rewriteDerivedUses(tx, marinaId, touched);
    const absence = absenceDocument(after);
    const subject = { kind: 'holding', id: holdingId, label: holding.holderName } as const;
    const noticeHours = (returnsAt - now) / 3_600_000;
    const answer: Recalled = {
      absence,
      findings: noticeHours < settings.recallNoticeHours ? [shortNotice(subject, noticeHours, settings)] : [],
      displaced: displaced.map(displacedDocument),
    };
    await recordChange(
      { holdingId, absence: absenceDocument(before), assignments: displaced.map(({ assignment }) => assignment) },
      { holdingId, ...answer },
    );
    return answer;
  });
}

function shortNotice(
  subject: Finding['subject'],
  noticeHours: number,
  { recallNoticeHours }: { recallNoticeHours: number },
): Finding {
  const given = Math.max(0, Math.round(noticeHours * 10) / 10);
  return {
    rule: 'space.recallNotice',
    level: 'caution',
    subject,
    actual: given,
    limit: recallNoticeHours,
    unit: 'h',
    source: 'setting of the marina: recallNoticeHours',
    message: `${subject.label} gives ${given} h notice of coming back; ${recallNoticeHours} h are agreed. The return is recorded all the same.`,
  };
}

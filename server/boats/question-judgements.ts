import type { Finding } from '../../core/findings.ts';
import { unconfirm } from '../assignments/unconfirm.ts';
import type { Tx } from '../db/client.ts';
import { localTimestamp } from '../local-time.ts';

/**
 * Places that a boat has or will have were judged on the facts before: nothing of them is confirmed any more until they
 * are judged again. The stored hook-up stays as it was judged; the finding says that the facts have moved on.
 */
export async function questionJudgements(
  tx: Tx,
  marinaId: string,
  boat: { readonly id: string; readonly name: string },
  { now, timeZone }: { readonly now: number; readonly timeZone: string },
): Promise<void> {
  const subject = { kind: 'boat', id: boat.id, label: boat.name } as const;
  const finding: Finding = {
    rule: 'hookup.factsChanged',
    level: 'confirm',
    subject,
    actual: localTimestamp(now, timeZone),
    limit: null,
    unit: null,
    source: 'what is unknown is unconfirmed',
    message: `Facts of ${boat.name} changed after this place was judged. Judge it again: move the stay to the same berth or to another.`,
    missingFact: {
      subject,
      fact: 'judgement',
      question: `Does the berth of ${boat.name} still hold with its new facts? Judge it again.`,
    },
  };
  await unconfirm(tx, marinaId, now, finding, { condition: 's.boat_id = $4', values: [boat.id] });
}

import type { Finding } from '../../core/findings.ts';
import type { Tx } from '../db/client.ts';

const rule = 'hookup.factsChanged';

const statement = `UPDATE assignment a SET
    findings = (SELECT coalesce(jsonb_agg(f.value), '[]') FROM jsonb_array_elements(a.findings) f
      WHERE f.value ->> 'rule' <> '${rule}') || $4::jsonb,
    verdict = CASE a.verdict WHEN 'refused' THEN 'refused' ELSE 'unconfirmed' END,
    version = a.version + 1
  FROM stay s WHERE a.marina_id = $1 AND s.marina_id = a.marina_id AND s.id = a.stay_id AND s.boat_id = $2
    AND a.until_at > to_timestamp($3::float8 / 1000)`;

/**
 * Places that a boat has or will have were judged on the facts before: nothing of them is confirmed any more until they
 * are judged again. The stored hook-up stays as it was judged; the finding says that the facts have moved on.
 */
export async function questionJudgements(
  tx: Tx,
  marinaId: string,
  boat: { readonly id: string; readonly name: string },
  now: number,
): Promise<void> {
  const subject = { kind: 'boat', id: boat.id, label: boat.name } as const;
  const finding: Finding = {
    rule,
    level: 'confirm',
    subject,
    actual: new Date(now).toISOString(),
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
  await tx.$executeRawUnsafe(statement, marinaId, boat.id, now, JSON.stringify([finding]));
}

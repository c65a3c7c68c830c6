import type { Finding } from '../../core/findings.ts';
import type { Tx } from '../db/client.ts';

/** Which assignments: a condition on `a` (assignment) and `s` (its stay), with its values as `$4` and on. */
interface Selection {
  readonly condition: string;
  readonly values: readonly unknown[];
}

/**
 * Adds a finding to assignments that are not over: nothing of them is confirmed any more until they are judged again.
 * The stored hook-up stays as it was judged. A finding of the same rule that is there already is replaced.
 */
export async function unconfirm(
  tx: Tx,
  marinaId: string,
  now: number,
  finding: Finding,
  { condition, values }: Selection,
): Promise<void> {
  const statement = `UPDATE assignment a SET
      findings = (SELECT coalesce(jsonb_agg(f.value), '[]') FROM jsonb_array_elements(a.findings) f
        WHERE f.value ->> 'rule' <> $3::jsonb ->> 'rule') || jsonb_build_array($3::jsonb),
      verdict = CASE a.verdict WHEN 'refused' THEN 'refused' ELSE 'unconfirmed' END,
      version = a.version + 1
    FROM stay s WHERE a.marina_id = $1 AND s.marina_id = a.marina_id AND s.id = a.stay_id
      AND a.until_at > to_timestamp($2::float8 / 1000) AND (${condition})`;
  await tx.$executeRawUnsafe(statement, marinaId, now, JSON.stringify(finding), ...values);
}

import type { Assignment, Stay } from '../db/generated/client.ts';

/**
 * The place that a stay has now, or has next. Of a boat that has come, and has no other place, the last one: there it lies
 * until somebody moves it. Who has still to come and lost its berth has none, whatever it had before.
 */
export function presentPlace(
  { state, arrivalAt }: Pick<Stay, 'state' | 'arrivalAt'>,
  assignments: readonly Assignment[],
  now: number,
): Assignment | null {
  const at = Math.max(now, arrivalAt.getTime());
  const next = assignments.find(({ untilAt }) => untilAt.getTime() > at);
  if (next !== undefined) return next;
  return state === 'arrived' || state === 'departed' ? (assignments.at(-1) ?? null) : null;
}

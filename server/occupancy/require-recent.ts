import { invalid } from './berth-parts.ts';

const dayMs = 86_400_000;
const oldestDays = 31;

/**
 * What is recorded of a moment displaces whoever had the place from then on. Older occupancy is history, which a slip in
 * a date must not undo.
 * @throws Problem `invalid-input`
 */
export function requireRecent(at: number, now: number, pointer: string): void {
  if (at >= now - oldestDays * dayMs) return;
  throw invalid(pointer, `It lies more than ${oldestDays} days back. Correct it, or give a moment from then on.`);
}

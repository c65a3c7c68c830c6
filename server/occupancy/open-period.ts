import { openEnd } from '../../core/periods.ts';

/** The stored end of a period that the API gives; null is an open end. */
export function untilFromApi(until: string | null): number {
  return until === null ? openEnd : Date.parse(until);
}

/** A stored end as the API gives it. */
export function untilToApi(until: Date): string | null {
  return until.getTime() >= openEnd ? null : until.toISOString();
}

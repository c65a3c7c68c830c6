import type { MaybeFact } from '../facts.ts';

/**
 * The value that a person told, or null where nobody did. A default is an assumption: it may rank berths, but it
 * decides nothing.
 */
export function toldValue<T>(fact: MaybeFact<T>): T | null {
  return fact === null || fact.origin === 'default' ? null : fact.value;
}

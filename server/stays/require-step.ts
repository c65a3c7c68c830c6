import type { Inventory } from '../../core/inventory/inventory.ts';
import { type StayCommand, type StayState, stayStates, stepOf } from '../../core/stays/lifecycle.ts';
import { Problem } from '../errors.ts';
import { localTime, nextLocalHour } from '../local-time.ts';
import type { StoredStay } from './stored-stay.ts';

/**
 * The state that a command leads a stay to.
 * @throws Problem `wrong-state` where it makes no sense now, saying what to do instead
 */
export function requireStep(
  command: StayCommand,
  { row, assignments }: Pick<StoredStay, 'row' | 'assignments'>,
  { timeZone, settings }: Pick<Inventory, 'timeZone' | 'settings'>,
  now: number,
): StayState {
  const step = stepOf(command, {
    state: stateOf(row),
    hasBerth: assignments.length > 0,
    offerExpiresAt: row.offerExpiresAt?.getTime() ?? null,
    noShowFrom: nextLocalHour(row.arrivalAt.getTime(), settings.noShowHour, timeZone),
    now,
    said: (at) => localTime(at, timeZone),
  });
  if (!step.allowed) throw new Problem('wrong-state', step.reason);
  return step.state;
}

export function stateOf(row: { readonly state: string }): StayState {
  const state = stayStates.find((known) => known === row.state);
  if (state === undefined) throw new Error(`a stay is stored in the unknown state "${row.state}"`);
  return state;
}

import { findHookUps, type HookUpRequest, withAnyAdapter } from '../../core/electrical/hook-up/find-hook-ups.ts';
import type { JudgedHookUp } from '../../core/electrical/hook-up/hook-up.ts';

/**
 * The best hook-up of a whole search with every known kind of adapter to be had, where nothing but a missing adapter
 * refuses it.
 */
export function hookUpToBring(request: HookUpRequest): JudgedHookUp | null {
  const found = findHookUps({ ...request, ...withAnyAdapter(request), most: 1 }).hookUps[0];
  const isElseRefused = found?.findings.some(
    ({ level, rule }) => level === 'refuse' && rule !== 'hookup.adapterMissing',
  );
  return found === undefined || isElseRefused ? null : found;
}

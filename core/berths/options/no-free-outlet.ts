import type { Finding } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import type { ReachedOutlet } from './reached-outlets.ts';

/** Why a berth has no outlet for the boat: none at all, or all of these in use. */
export function noFreeOutlet(
  userOfOutlet: ReadonlyMap<string, string>,
  berth: Berth,
  outlets: readonly ReachedOutlet[],
): Finding {
  const base = {
    level: 'refuse',
    subject: { kind: 'berth', id: berth.id, label: berth.label },
    actual: 0,
    limit: 1,
    unit: 'outlet',
    source: 'an outlet is never given twice',
  } as const;
  if (outlets.length === 0) {
    return {
      ...base,
      rule: 'outlet.none',
      message: `Berth ${berth.label} reaches no shore-power outlet.`,
      mend: 'a boat that wants no power, or an outlet within reach',
    };
  }
  const users = outlets.map(({ supply: { id, label } }) => `${label} by ${userOfOutlet.get(id) ?? 'somebody'}`);
  return {
    ...base,
    rule: 'outlet.taken',
    message: `Outlets of berth ${berth.label} are in use for part of the stay: ${users.join(', ')}.`,
    mend: `outlet ${outlets.map(({ supply }) => supply.label).join(' or ')} free for the stay`,
  };
}

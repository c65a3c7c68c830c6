import type { Finding } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import type { UsedBy } from '../occupancy.ts';
import type { ReachedOutlet } from './reached-outlets.ts';

/** Why a berth has no outlet for the boat: none at all, or all of these in use or out of service. */
export function noFreeOutlet(
  userOfOutlet: ReadonlyMap<string, UsedBy>,
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
  const closed = outlets.filter(({ outlet }) => userOfOutlet.get(outlet.id)?.kind === 'outOfService');
  const used = outlets.filter((reached) => !closed.includes(reached));
  const userOf = ({ outlet }: ReachedOutlet) => {
    const by = userOfOutlet.get(outlet.id);
    if (by === undefined) return 'unknown';
    return by.overdue === undefined ? by.label : `${by.label}, which should have left and was not seen to leave`;
  };
  const users = [
    ...used.map((reached) => `${reached.supply.label} is used by ${userOf(reached)}`),
    ...closed.map((reached) => `${reached.supply.label} is out of service (${userOf(reached)})`),
  ];
  // Who waits for a scorched outlet to come free must not be sent to it: it has to be repaired.
  const mends = [
    ...(used.length === 0 ? [] : [`outlet ${labels(used)} free for the stay`]),
    ...(closed.length === 0 ? [] : [`outlet ${labels(closed)} repaired and back in service`]),
  ];
  return {
    ...base,
    rule: 'outlet.taken',
    message: `Berth ${berth.label} has no outlet free for all of the stay: ${users.join(', ')}.`,
    mend: mends.join(', or '),
  };
}

function labels(outlets: readonly ReachedOutlet[]): string {
  return outlets.map(({ supply }) => supply.label).join(' or ');
}

import type { Finding, RuleName } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import type { SpaceUse, UsedBy } from '../occupancy.ts';
import { refusalsOf } from './doubt.ts';
import { nothingSaid, type Said } from './said.ts';

export const spaceRules: Record<UsedBy['kind'], RuleName> = {
  assignment: 'space.taken',
  holding: 'space.held',
  outOfService: 'space.outOfService',
};

/**
 * Who else has a unit of the berth during the stay, turnover included: one refusal for each user. For berths that are
 * taken whole; on a face the free metres are sought first.
 */
export function judgeSpace(berth: Berth, usesOfUnit: ReadonlyMap<string, readonly SpaceUse[]>): Said {
  const users: UsedBy[] = [];
  for (const unitId of berth.unitIds) {
    for (const { by } of usesOfUnit.get(unitId) ?? []) {
      if (!users.some(({ kind, id }) => kind === by.kind && id === by.id)) users.push(by);
    }
  }
  if (users.length === 0) return nothingSaid;
  return { doubt: refusalsOf(users.length), findings: () => users.map((by) => inUse(berth, by)) };
}

function inUse(berth: Berth, by: UsedBy): Finding {
  const base = {
    rule: spaceRules[by.kind],
    level: 'refuse',
    subject: { kind: 'berth', id: berth.id, label: berth.label },
    actual: by.label,
    limit: null,
    unit: null,
    source: 'space is never given twice',
  } as const;
  switch (by.kind) {
    case 'assignment':
      return { ...base, message: `Berth ${berth.label} is given to ${by.label} for part of the stay.` };
    case 'holding':
      return {
        ...base,
        message: `Berth ${berth.label} is held by ${by.label}, who has not released all of these days.`,
        mend: `${by.label} releases these days`,
      };
    case 'outOfService':
      return {
        ...base,
        message: `Berth ${berth.label} is out of service for part of the stay: ${by.label}.`,
        mend: `berth ${berth.label} back in service`,
      };
  }
}

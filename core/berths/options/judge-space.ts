import type { Finding, RuleName } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import type { SpaceUse, UsedBy } from '../occupancy.ts';
import { refusalsOf } from './doubt.ts';
import type { OptionsQuestion } from './options.ts';
import { nothingSaid, type Said } from './said.ts';

export const spaceRules: Record<UsedBy['kind'], RuleName> = {
  assignment: 'space.taken',
  holding: 'space.held',
  outOfService: 'space.outOfService',
  group: 'space.blocked',
};

/**
 * Who else has a unit of the berth during the stay, turnover included: one refusal for each user. For berths that are
 * taken whole; on a face the free metres are sought first.
 */
export function judgeSpace(stay: StayTimes, berth: Berth, usesOfUnit: ReadonlyMap<string, readonly SpaceUse[]>): Said {
  const users: UsedBy[] = [];
  for (const unitId of berth.unitIds) {
    for (const { by } of usesOfUnit.get(unitId) ?? []) {
      if (!users.some(({ kind, id }) => kind === by.kind && id === by.id)) users.push(by);
    }
  }
  if (users.length === 0) return nothingSaid;
  return { doubt: refusalsOf(users.length), findings: () => inWords(stay, berth, users, usesOfUnit) };
}

type StayTimes = Pick<OptionsQuestion, 'period' | 'occupiedUntil' | 'sayTime'>;

function inWords(
  stay: StayTimes,
  berth: Berth,
  users: readonly UsedBy[],
  usesOfUnit: ReadonlyMap<string, readonly SpaceUse[]>,
): Finding[] {
  const uses = berth.unitIds.flatMap((unitId) => usesOfUnit.get(unitId) ?? []);
  const times = users.map((by) => freeTimes(stay, by, uses));
  // Of two boats one may have to be waited for and the other made way for: whether that leaves a night is not said.
  const sameWay =
    users.length === 1 || times.every(({ departure }) => !departure) || times.every(({ arrival }) => !arrival);
  return users.map((by, i) => {
    const { arrival, departure } = times[i] ?? {};
    const mend = sameWay ? [arrival, departure].filter((words) => words !== undefined).join(', or ') : '';
    return inUse(berth, by, mend);
  });
}

/** Less than this is no stay worth naming. */
const nightMs = 12 * 3_600_000;

/** When the stay would have to come or go to lie here before or after another boat, in words. */
function freeTimes(
  { period, occupiedUntil, sayTime }: StayTimes,
  by: UsedBy,
  all: readonly SpaceUse[],
): { readonly arrival?: string; readonly departure?: string } {
  if (sayTime === undefined) return {};
  const uses = all.filter((use) => use.by.kind === by.kind && use.by.id === by.id);
  const until = Math.max(...uses.map((use) => use.until));
  // The turnover time after this stay must be over before the other boat comes.
  const leaveBy = Math.min(...uses.map((use) => use.from)) - (occupiedUntil - period.until);
  return {
    ...(until + nightMs <= period.until ? { arrival: `arrival from ${sayTime(until)} on` } : {}),
    ...(leaveBy - nightMs >= period.from ? { departure: `departure by ${sayTime(leaveBy)}` } : {}),
  };
}

function inUse(berth: Berth, by: UsedBy, whenFree: string): Finding {
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
      return {
        ...base,
        message: `Berth ${berth.label} is given to ${by.label} for part or all of the stay.`,
        ...(whenFree === '' ? {} : { mend: whenFree }),
      };
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
    case 'group':
      return {
        ...base,
        message: `Berth ${berth.label} is kept for the group "${by.label}" for part or all of the stay.`,
        mend: `the stay made a member of "${by.label}", or the group's berths released`,
      };
  }
}

import type { Finding, RuleName } from '../../findings.ts';
import type { Berth } from '../../inventory/inventory.ts';
import type { SpaceUse, UsedBy } from '../occupancy.ts';
import { doubtOfLevel, refusalsOf } from './doubt.ts';
import type { OptionsQuestion } from './options.ts';
import { askWhetherGone, overdueMend, overdueWords } from './overdue.ts';
import { nothingSaid, type Said } from './said.ts';

export const spaceRules: Record<UsedBy['kind'], RuleName> = {
  assignment: 'space.taken',
  holding: 'space.held',
  outOfService: 'space.outOfService',
  group: 'space.blocked',
};

/**
 * Who else has a unit of the berth during the stay, turnover included: one refusal for each user, or the question whether
 * a boat that should have left is gone. For berths that are
 * taken whole; on a face the free metres are sought first.
 */
export function judgeSpace(stay: StayTimes, berth: Berth, usesOfUnit: ReadonlyMap<string, readonly SpaceUse[]>): Said {
  const users: UsedBy[] = [];
  for (const unitId of berth.unitIds) {
    for (const { by } of usesOfUnit.get(unitId) ?? []) {
      const known = users.findIndex(({ kind, id }) => kind === by.kind && id === by.id);
      if (known < 0) users.push(by);
      // Its time by right, turnover included, may end within the period: then nobody has to look for that part.
      else if (mayBeGone(users[known] ?? by)) users[known] = by;
    }
  }
  if (users.length === 0) return nothingSaid;
  const gone = users.filter(mayBeGone);
  const others = users.filter((by) => !mayBeGone(by));
  const doubt = others.length === 0 ? doubtOfLevel('confirm') : refusalsOf(others.length);
  return {
    doubt,
    findings: () => [...inWords(stay, berth, others, usesOfUnit), ...gone.map((by) => maybeLeft(stay, berth, by))],
  };
}

/** Of a boat that has the space by right, or that is there now, false. */
export function mayBeGone({ overdue }: UsedBy): boolean {
  return overdue?.mayBeGone === true;
}

/** A boat may still lie in a berth that it should have left. */
export function maybeLeft({ sayTime }: Pick<StayTimes, 'sayTime'>, { id, label }: Berth, by: UsedBy): Finding {
  return askWhetherGone('space.overdue', { kind: 'berth', id, label }, by, sayTime);
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
    if (by.overdue !== undefined) return stillThere(stay, berth, by);
    const { arrival, departure } = times[i] ?? {};
    const mend = sameWay ? [arrival, departure].filter((words) => words !== undefined).join(', or ') : '';
    return inUse(berth, by, mend);
  });
}

function stillThere({ sayTime }: StayTimes, { id, label }: Berth, by: UsedBy): Finding {
  return {
    rule: 'space.taken',
    level: 'refuse',
    subject: { kind: 'berth', id, label },
    actual: by.label,
    limit: null,
    unit: null,
    source: 'space is never given twice; a boat is there until somebody has seen it leave',
    message: `Berth ${label} is taken: ${overdueWords(by, sayTime)}.`,
    mend: overdueMend(by),
  };
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

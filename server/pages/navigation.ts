import type { Role } from '../http/access.ts';
import type { Texts } from './texts/en.ts';

export type SectionId = keyof Texts['common']['nav'];

interface Section {
  readonly id: SectionId;
  /** Below `/marinas/:marinaId/`. */
  readonly path: string;
  readonly roles: readonly Role[];
}

const everyone: readonly Role[] = ['harbormaster', 'dockhand', 'manager', 'viewer'];

/** The sections in the order of the day's work; each person sees those of their role. */
export const sections: readonly Section[] = [
  { id: 'day', path: 'day', roles: everyone },
  { id: 'call', path: 'call', roles: ['harbormaster'] },
  { id: 'calendar', path: 'calendar', roles: everyone },
  { id: 'plan', path: 'plans', roles: ['harbormaster', 'manager', 'viewer'] },
  { id: 'checkIn', path: 'check-in', roles: ['harbormaster', 'dockhand'] },
  { id: 'docks', path: 'docks', roles: everyone },
  { id: 'load', path: 'load', roles: ['harbormaster', 'manager', 'viewer'] },
  { id: 'turnedAway', path: 'turned-away', roles: ['harbormaster', 'manager', 'viewer'] },
  { id: 'inventory', path: 'inventory', roles: ['harbormaster', 'manager', 'viewer'] },
  { id: 'studies', path: 'studies', roles: ['manager', 'viewer'] },
  { id: 'settings', path: 'settings', roles: ['manager'] },
  { id: 'people', path: 'people', roles: ['manager'] },
];

/** Where somebody begins. */
export function homeOf(role: Role): string {
  return sections.find(({ roles }) => roles.includes(role))?.path ?? 'day';
}

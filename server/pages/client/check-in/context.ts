import type { ShiftDocument } from '../../../check-ins/shift-document.ts';
import { en } from '../../texts/en.ts';
import type { PhoneStore } from './phone-store.ts';

export const texts = en.checkIn;
export const common = en.common;

/** What every part of the page works with. */
export interface Dock {
  readonly store: PhoneStore;
  readonly shift: ShiftDocument;
  readonly lengths: 'feet' | 'metres';
  readonly time: (at: string | number) => string;
  /** The service's time as well as this phone knows it, epoch ms. */
  readonly now: number;
  /** Keeps an entry and goes back to the list. */
  readonly enter: (stayId: string | null, title: string, body: Readonly<Record<string, unknown>>) => void;
  readonly back: () => void;
}

export function clockOf(timeZone: string, clock: string): (at: string | number) => string {
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone,
    weekday: 'short',
    hour: clock === '12' ? 'numeric' : '2-digit',
    minute: '2-digit',
    hourCycle: clock === '12' ? 'h12' : 'h23',
  });
  return (at) => format.format(typeof at === 'number' ? at : Date.parse(at));
}

/** What an entry tells of the shift it was made from. */
export function shiftBase({ loadedAt, seq, inventoryRevision }: ShiftDocument) {
  return { loadedAt, seq, inventoryRevision };
}

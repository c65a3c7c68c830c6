import type { ShiftDocument } from '../../../check-ins/shift-document.ts';

/** An entry that waits to be sent. Each has a key of its own, so that two open pages never overwrite each other's. */
export interface QueuedEvent {
  readonly id: string;
  readonly stayId: string | null;
  /** What it is, for people. */
  readonly title: string;
  readonly body: Readonly<Record<string, unknown>>;
  /** Why the service did not take it; null while it waits. */
  readonly notTaken: string | null;
}

export interface KeptShift {
  readonly shift: ShiftDocument;
  /** The service's clock less the phone's, ms: a phone's clock may be wrong. */
  readonly clockOffsetMs: number;
}

/** What this phone keeps for one marina. It outlives a reload, and needs no secure address. */
export interface PhoneStore {
  readonly shift: () => KeptShift | null;
  readonly keepShift: (kept: KeptShift) => void;
  readonly queue: () => readonly QueuedEvent[];
  readonly keepEvent: (event: QueuedEvent) => void;
  readonly dropEvent: (id: string) => void;
  readonly draft: <Draft>(stayId: string) => Draft | null;
  readonly keepDraft: (stayId: string, draft: unknown) => void;
  readonly dropDraft: (stayId: string) => void;
  /** Forgets shift and drafts; what waits to be sent stays. */
  readonly forget: () => void;
}

export function phoneStore(marinaId: string): PhoneStore {
  const base = `quaywatt.dock.${marinaId}.`;
  const keys = (part: string) =>
    Object.keys(localStorage)
      .filter((key) => key.startsWith(base + part))
      .sort();
  const read = <T>(key: string): T | null => {
    const text = localStorage.getItem(base + key);
    // Only this page writes these keys.
    return text === null ? null : (JSON.parse(text) as T);
  };
  const write = (key: string, value: unknown) => localStorage.setItem(base + key, JSON.stringify(value));
  return {
    shift: () => read<KeptShift>('shift'),
    keepShift: (kept) => write('shift', kept),
    queue: () =>
      keys('event.').flatMap((key) => {
        const event = read<QueuedEvent>(key.slice(base.length));
        return event === null ? [] : [event];
      }),
    keepEvent: (event) => write(`event.${event.id}`, event),
    dropEvent: (id) => localStorage.removeItem(`${base}event.${id}`),
    draft: (stayId) => read(`draft.${stayId}`),
    keepDraft: (stayId, draft) => write(`draft.${stayId}`, draft),
    dropDraft: (stayId) => localStorage.removeItem(`${base}draft.${stayId}`),
    forget: () => {
      for (const key of [`${base}shift`, ...keys('draft.')]) localStorage.removeItem(key);
    },
  };
}

let last = 0;

/** In order of time, and unique without a secure address: `crypto.randomUUID` is missing there, random values are not. */
export function newEventId(): string {
  last = Math.max(Date.now(), last + 1);
  const random = crypto.getRandomValues(new Uint8Array(12));
  return `${last.toString(36)}-${[...random].map((byte) => byte.toString(16).padStart(2, '0')).join('')}`;
}

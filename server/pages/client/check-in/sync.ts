import type { ShiftDocument } from '../../../check-ins/shift-document.ts';
import type { PhoneStore } from './phone-store.ts';

/** How the last attempt to reach the service ended. */
export type Reached = 'yes' | 'no' | 'signedOut';

export interface Sent {
  readonly title: string;
  readonly outcome: string | null;
  readonly contradictions: readonly string[];
}

interface Answer {
  readonly shift?: ShiftDocument;
  readonly stored?: { readonly outcome: string | null; readonly contradictions: readonly string[] };
  readonly problem?: string;
}

async function post(fields: Record<string, string>): Promise<{ reached: Reached; answer: Answer | null }> {
  try {
    const reply = await fetch(location.pathname, {
      method: 'POST',
      body: new URLSearchParams(fields),
      redirect: 'manual',
      headers: { accept: 'application/json' },
    });
    if (reply.status === 401 || reply.status === 404 || reply.type === 'opaqueredirect') {
      return { reached: 'signedOut', answer: null };
    }
    const isJson = reply.headers.get('content-type')?.includes('json') ?? false;
    // A service in trouble is one that is not reached: the entry waits.
    if (!reply.ok || !isJson) return { reached: 'no', answer: null };
    return { reached: 'yes', answer: (await reply.json()) as Answer };
  } catch {
    // The only thing that fetch throws for here: no network.
    return { reached: 'no', answer: null };
  }
}

/** Loads the shift into the phone. */
export async function loadShift(store: PhoneStore): Promise<Reached> {
  const { reached, answer } = await post({ do: 'shift' });
  if (answer?.shift === undefined) return reached === 'yes' ? 'no' : reached;
  const clockOffsetMs = Date.parse(answer.shift.loadedAt) - Date.now();
  store.keepShift({ shift: answer.shift, clockOffsetMs });
  return 'yes';
}

let isSending = false;

/**
 * Sends what waits, oldest first. An entry leaves the phone only when the service has said that it is stored; sent twice
 * it is stored once, by its id.
 */
export async function sendQueue(store: PhoneStore): Promise<{ reached: Reached; sent: readonly Sent[] } | null> {
  if (isSending) return null;
  isSending = true;
  const sent: Sent[] = [];
  try {
    for (const event of store.queue().filter(({ notTaken }) => notTaken === null)) {
      const { reached, answer } = await post({ do: 'send', id: event.id, event: JSON.stringify(event.body) });
      if (answer === null) return { reached, sent };
      if (answer.stored !== undefined) {
        sent.push({ title: event.title, ...answer.stored });
        store.dropEvent(event.id);
      } else store.keepEvent({ ...event, notTaken: answer.problem ?? 'no reason given' });
    }
    return { reached: 'yes', sent };
  } finally {
    isSending = false;
  }
}

import { Readable } from 'node:stream';
import type { ChangeEvent, EventHub } from './event-hub.ts';

interface Watched {
  readonly marinaId: string;
  /** The last change that the client knows; null: it begins now. */
  readonly afterSeq: number | null;
}

interface Pace {
  /** A comment is sent so often: it keeps proxies from closing the connection, and finds clients that are gone. */
  readonly heartbeatMs: number;
  /** Then the stream ends and the client comes again: a token that was revoked meanwhile opens no other. */
  readonly longestMs: number;
}

export const usualPace: Pace = { heartbeatMs: 15_000, longestMs: 15 * 60_000 };

// A client that reads so little of what it is sent is cut off; it comes again from where it stands.
const mostWaitingBytes = 1_000_000;

/**
 * A marina's changes as server-sent events (HTML Living Standard, 9.2). It begins with `hello`, which says where it
 * begins: lower than what the client asked for where the marina has no such change (a restored backup).
 */
export async function eventStream(
  hub: EventHub,
  { marinaId, afterSeq }: Watched,
  { heartbeatMs, longestMs }: Pace = usualPace,
): Promise<Readable> {
  const lastSeq = await hub.lastSeq(marinaId);
  const beginsAt = Math.min(afterSeq ?? lastSeq, lastSeq);
  const stream = new Readable({ read: () => {} });
  const send = (text: string) => {
    if (stream.readableLength > mostWaitingBytes) stream.destroy();
    else stream.push(text);
  };
  send(`retry: 2000\n${eventText('hello', beginsAt, { seq: beginsAt })}`);
  const stop = hub.watch(marinaId, beginsAt, (events) => send(events.map(changeText).join('')), {
    closed: () => stream.push(null),
  });
  const heartbeat = setInterval(() => send(': here\n\n'), heartbeatMs);
  const end = setTimeout(() => stream.push(null), longestMs);
  stream.once('close', () => {
    stop();
    clearInterval(heartbeat);
    clearTimeout(end);
  });
  return stream;
}

function changeText(event: ChangeEvent): string {
  return eventText('change', event.seq, event);
}

function eventText(name: string, id: number, data: object): string {
  // JSON has no line breaks of its own, so one data line holds it.
  return `id: ${id}\nevent: ${name}\ndata: ${JSON.stringify(data)}\n\n`;
}

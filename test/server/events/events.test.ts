import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildApp } from '../../../server/app.ts';
import { eventStream } from '../../../server/events/event-stream.ts';
import { createServices } from '../../../server/services.ts';
import { type TestServer, testNow } from '../../support/server.ts';
import { hours, startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
let address: string;
beforeAll(async () => {
  server = await startMarina();
  address = await server.app.listen({ port: 0, host: '127.0.0.1' });
});
afterAll(() => server.close());

interface Told {
  readonly id: number;
  readonly event: string;
  // biome-ignore lint/suspicious/noExplicitAny: a test looks into it freely
  readonly data: any;
}

/** Opens a stream as a client over a socket does. */
async function open(path: string, headers: Record<string, string> = {}, base = address) {
  const stopped = new AbortController();
  const response = await fetch(`${base}${path}`, {
    signal: stopped.signal,
    headers: { authorization: `Bearer ${server.tokens.viewer}`, ...headers },
  });
  const events = response.body === null ? null : eventsIn(response.body);
  const next = async (): Promise<Told | null> => {
    const result = await events?.next();
    return result === undefined || result.done ? null : result.value;
  };
  return { response, next, stop: () => stopped.abort() };
}

/** Reads events by the rules of the HTML Living Standard, 9.2.6: blank lines end an event, lines with ":" are comments. */
async function* eventsIn(body: ReadableStream<Uint8Array>): AsyncGenerator<Told> {
  const decoder = new TextDecoder();
  let text = '';
  for await (const bytes of body) {
    text += decoder.decode(bytes, { stream: true });
    for (let end = text.indexOf('\n\n'); end >= 0; end = text.indexOf('\n\n')) {
      const fields = new Map<string, string>();
      for (const line of text.slice(0, end).split('\n')) {
        const colon = line.indexOf(':');
        if (colon > 0) fields.set(line.slice(0, colon), line.slice(colon + 1).trim());
      }
      text = text.slice(end + 2);
      if (!fields.has('data')) continue;
      yield {
        id: Number(fields.get('id')),
        event: fields.get('event') ?? '',
        data: JSON.parse(fields.get('data') ?? ''),
      };
    }
  }
}

const events = '/v1/marinas/north/events';

async function request(boatName: string): Promise<string> {
  const call = { name: 'M. Oduya', boatName, lengthOverallM: 9, arrival: hours(100), departure: hours(120) };
  const reply = await server.call('harbormaster', 'POST', '/stays', { body: call });
  expect(reply.status).toBe(201);
  return reply.body.stay.id;
}

async function lastSeq(): Promise<number> {
  const { body } = await server.call('viewer', 'GET', '/changes?after=0&limit=200');
  return body.items.at(-1).seq;
}

describe('watching a marina', () => {
  it('tells every desk of a change that one of them makes, with the ids that it touched', async () => {
    const desks = await Promise.all([open(events), open(events)]);
    const began = await lastSeq();
    for (const desk of desks) {
      expect(desk.response.headers.get('content-type')).toMatch(/^text\/event-stream/);
      expect(await desk.next()).toEqual({ id: began, event: 'hello', data: { seq: began } });
    }
    const stayId = await request('Avocet');
    for (const desk of desks) {
      const told = await desk.next();
      expect(told).toMatchObject({
        id: began + 1,
        event: 'change',
        data: { seq: began + 1, kind: 'stay.requested', touched: { stay: [stayId] } },
      });
      expect(JSON.stringify(told)).not.toContain('Oduya');
      desk.stop();
    }
  });

  it('resumes after the last event that was seen, and misses and repeats nothing', async () => {
    const from = await lastSeq();
    for (const name of ['Brant', 'Crake', 'Dunlin']) await request(name);
    const desk = await open(events, { 'last-event-id': String(from + 1) });
    expect(await desk.next()).toMatchObject({ event: 'hello', id: from + 1 });
    expect([(await desk.next())?.id, (await desk.next())?.id]).toEqual([from + 2, from + 3]);
    await request('Eider');
    expect((await desk.next())?.id).toBe(from + 4);
    desk.stop();
    const whole = await open(`${events}?after=0`);
    await whole.next();
    const seen: (number | undefined)[] = [];
    while (seen.length < from + 4) seen.push((await whole.next())?.id);
    expect(seen).toEqual(Array.from({ length: from + 4 }, (_, i) => i + 1));
    whole.stop();
  });

  it('tells of what another replica writes, and of an offer that lapses while all only watch', async () => {
    const other = createServices({ db: server.db, clock: () => server.clock.now });
    const app = await buildApp(other, { logLevel: 'silent', rateLimitPerMinute: 0, trustProxy: false });
    const base = await app.listen({ port: 0, host: '127.0.0.1' });
    const desk = await open(events, {}, base);
    await desk.next();
    const stayId = await request('Fulmar');
    expect(await desk.next()).toMatchObject({ data: { kind: 'stay.requested' } });
    const offer = { berthId: 'A3', expiresAt: hours(1) };
    const offered = await server.call('harbormaster', 'POST', `/stays/${stayId}/offer`, { body: offer });
    expect(offered.status, JSON.stringify(offered.body)).toBe(200);
    expect(await desk.next()).toMatchObject({ data: { kind: 'stay.offered' } });
    server.clock.now = testNow + 3_600_000;
    expect(await desk.next()).toMatchObject({
      data: { kind: 'offers.lapsed', actor: 'service', touched: { stay: [stayId] } },
    });
    server.clock.now = testNow;
    // The service that stops ends its streams: the client's read ends, and the stop does not wait for clients.
    const ending = desk.next();
    await app.close();
    expect(await ending).toBeNull();
  });

  it('is for tokens of the marina, and for nobody else', async () => {
    expect((await open(events, { authorization: 'Bearer qw_none' })).response.status).toBe(401);
    const foreign = { authorization: `Bearer ${server.foreignTokens.viewer}` };
    expect((await open(events, foreign)).response.status).toBe(404);
    const nobody = await fetch(`${address}${events}`);
    expect(nobody.status).toBe(401);
  });

  it('begins anew where the marina has no such change, keeps the line alive, and ends after its time', async () => {
    const pace = { heartbeatMs: 5, longestMs: 200 };
    const stream = await eventStream(server.services.events, { marinaId: 'north', afterSeq: 999_999 }, pace);
    let text = '';
    for await (const part of stream) text += part;
    const last = await lastSeq();
    expect(text).toContain(`id: ${last}\nevent: hello\n`);
    expect(text).toContain(': here\n\n');
  });
});

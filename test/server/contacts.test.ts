import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { mayHoldContacts } from '../../server/http/contacts.ts';
import type { TestServer } from '../support/server.ts';
import { hours, placeTransient, startMarina } from './occupancy/fixture.ts';

const phone = '+1 555 0177';
let server: TestServer;
let stayId: string;
beforeAll(async () => {
  server = await startMarina();
  const call = { name: 'P. Lindqvist', phone, lengthOverallM: 9, beamM: 3, draftM: 1, arrival: '2030-06-10' };
  const reply = await server.call('harbormaster', 'POST', '/stays', { body: { ...call, departure: '2030-06-12' } });
  stayId = reply.body.stay.id;
  await server.call('harbormaster', 'PATCH', `/stays/${stayId}`, {
    body: { note: 'Late.' },
    headers: { 'if-match': '"1"' },
  });
  // Assigned, then displaced: the change table holds rows as well as documents.
  const options = await server.call('viewer', 'GET', `/stays/${stayId}/berth-options`);
  const { berthId } = options.body.options[0];
  await server.call('harbormaster', 'POST', `/stays/${stayId}/assign`, { body: { berthId } });
  await placeTransient(server, { id: 'Heron', berthId: 'B3', from: 2, until: 20 });
  await server.call('dockhand', 'POST', '/occupancy-found', {
    body: { berthId, boat: { name: 'Knot' }, at: hours(1) },
  });
});
afterAll(() => server.close());

const paths = () => [`/stays/${stayId}`, '/stays', '/arrivals?day=2030-06-10', '/changes?limit=200'];

describe('phone numbers', () => {
  it.each(['harbormaster', 'dockhand', 'manager'] as const)('are told to a %s, who may have to call', async (role) => {
    for (const path of paths()) {
      const reply = await server.call(role, 'GET', path);
      expect(reply.status, path).toBe(200);
      expect(JSON.stringify(reply.body), path).toContain(phone);
    }
  });

  it('are told to no viewer, in no form', async () => {
    for (const path of paths()) {
      const reply = await server.call('viewer', 'GET', path);
      expect(reply.status, path).toBe(200);
      const text = JSON.stringify(reply.body);
      expect(text, path).toContain('P. Lindqvist');
      expect(text.match(/\+1 555/g), path).toBeNull();
    }
    const { body } = await server.call('viewer', 'GET', `/stays/${stayId}`);
    expect(body.stay).toMatchObject({ name: 'P. Lindqvist', phone: null });
  });

  it('are looked for wherever a form names them, or says nothing of what stands there', () => {
    expect(mayHoldContacts(z.strictObject({ items: z.array(z.strictObject({ phone: z.string() })) }))).toBe(true);
    expect(mayHoldContacts(z.strictObject({ before: z.unknown() }))).toBe(true);
    expect(mayHoldContacts(z.strictObject({ label: z.string(), at: z.array(z.number()) }))).toBe(false);
  });
});

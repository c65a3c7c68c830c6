import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { TestServer } from '../../support/server.ts';
import { startMarina } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

type Finding = { rule: string; level: string; message: string; mend?: string };

const post = (path: string, body: object = {}, headers: Record<string, string> = {}) =>
  server.call('harbormaster', 'POST', path, { body, headers });
const read = (path: string) => server.call('viewer', 'GET', path);
const levelOf = (findings: Finding[], rule: string) => findings.find((finding) => finding.rule === rule)?.level;

/** A stay of two nights in a week of its own, so that the tests do not meet. */
let week = 0;
async function request(said: object = {}): Promise<{ stayId: string; arrival: string; departure: string }> {
  const day = (offset: number) => new Date(Date.UTC(2030, 6, 1 + 7 * week + offset)).toISOString().slice(0, 10);
  const stay = { arrival: day(0), departure: day(2) };
  const facts = { name: 'P. Lindqvist', phone: '+1 555 0142', lengthOverallM: 9, beamM: 3, draftM: 1, plug: '30 A' };
  const reply = await post('/stays', { ...facts, ...stay, ...said });
  expect(reply.status).toBe(201);
  return { stayId: reply.body.stay.id, ...stay };
}

async function firstOption(stayId: string) {
  const { status, body } = await read(`/stays/${stayId}/berth-options`);
  expect(status).toBe(200);
  return body.options.find(({ connection }: { connection: unknown }) => connection !== null);
}

describe('berth options', () => {
  it('judge every berth, best first, and word the refused ones with their rules', async () => {
    week += 1;
    const { stayId } = await request({ lengthOverallM: 13.8, beamM: 4 });
    const { body } = await read(`/stays/${stayId}/berth-options?refused=200`);
    const inventory = await read('/inventory');
    expect(body.all).toHaveLength(inventory.body.berths.length);
    expect(body.refused.length).toBeGreaterThan(0);
    for (const refused of body.refused) {
      expect(refused.verdict).toBe('refused');
      expect(refused.findings.some(({ level }: Finding) => level === 'refuse')).toBe(true);
    }
    for (const option of body.options) expect(levelOf(option.findings, 'fit.length')).not.toBe('refuse');
    expect(body.cautions.length).toBeGreaterThan(0);
  });

  it('ask for the plug that was left open', async () => {
    week += 1;
    const { stayId } = await request({ plug: '50 A' });
    const { body } = await read(`/stays/${stayId}/berth-options`);
    expect(body.question).toMatchObject({ fact: 'inlets.0.configurationIds' });
    expect(body.options.every(({ verdict }: { verdict: string }) => verdict === 'unconfirmed')).toBe(true);
  });

  it('are not told to another marina', async () => {
    week += 1;
    const { stayId } = await request();
    const foreign = await server.call(null, 'GET', `/stays/${stayId}/berth-options`, {
      headers: { authorization: `Bearer ${server.foreignTokens.harbormaster}` },
    });
    expect(foreign.status).toBe(404);
  });
});

describe('assigning', () => {
  it('stores the option as it was judged and promises the berth', async () => {
    week += 1;
    const { stayId } = await request();
    const option = await firstOption(stayId);
    const { status, body } = await post(`/stays/${stayId}/assign`, { berthId: option.berthId });
    expect(status).toBe(200);
    expect(body).toMatchObject({ stayId, berthId: option.berthId, verdict: option.verdict, found: false });
    expect(body.power.connection).toEqual(option.connection);
    expect(body.power.outletIds).toEqual(option.outletIds);
    expect((await read(`/stays/${stayId}`)).body.stay.state).toBe('promised');
    expect((await read(`/assignments/${body.id}`)).body).toEqual(body);
  });

  it('never gives a berth twice: the second is refused with findings and the best berths left', async () => {
    week += 1;
    const first = await request();
    const { berthId } = await firstOption(first.stayId);
    expect((await post(`/stays/${first.stayId}/assign`, { berthId })).status).toBe(200);
    const second = await request();
    const { status, body } = await post(`/stays/${second.stayId}/assign`, { berthId });
    expect(status).toBe(409);
    expect(body.type).toBe('/problems/refused');
    expect(levelOf(body.findings, 'space.taken')).toBe('refuse');
    expect(body.alternatives.length).toBeGreaterThan(0);
    expect(body.alternatives.map((option: { berthId: string }) => option.berthId)).not.toContain(berthId);
    expect((await read(`/stays/${second.stayId}`)).body.stay.state).toBe('requested');
  });

  it('keeps the space for the turnover time and no longer', async () => {
    week += 1;
    const first = await request();
    const { berthId } = await firstOption(first.stayId);
    const { body: given } = await post(`/stays/${first.stayId}/assign`, { berthId });
    const at = (time: string, minutes: number) => new Date(Date.parse(time) + minutes * 60_000).toISOString();
    const early = await request({ arrival: at(given.occupiedUntil, -1), departure: at(given.occupiedUntil, 600) });
    expect((await post(`/stays/${early.stayId}/assign`, { berthId })).status).toBe(409);
    const late = await request({ arrival: given.occupiedUntil, departure: at(given.occupiedUntil, 600) });
    expect((await post(`/stays/${late.stayId}/assign`, { berthId })).status).toBe(200);
  });

  it('overrides a refusal about room with a reason, and says who did it', async () => {
    week += 1;
    const { stayId } = await request({ draftM: 9 });
    const refused = await read(`/stays/${stayId}/berth-options?refused=200`);
    const shallow = refused.body.refused.find(({ findings }: { findings: Finding[] }) => {
      return findings.every(({ level, rule }) => level !== 'refuse' || rule === 'fit.depth');
    });
    const without = await post(`/stays/${stayId}/assign`, { berthId: shallow.berthId });
    expect(without.status).toBe(409);
    const overrides = [{ rule: 'fit.depth', reason: 'Sounded this morning.' }];
    const { status, body } = await post(`/stays/${stayId}/assign`, { berthId: shallow.berthId, overrides });
    expect(status).toBe(200);
    expect(levelOf(body.findings, 'fit.depth')).toBe('caution');
    const { actual, limit } = without.body.findings.find(({ rule }: Finding) => rule === 'fit.depth');
    expect(actual).toBe(9);
    const figure = { actual, limit, unit: 'm' };
    expect(body.overrides).toMatchObject([{ rule: 'fit.depth', reason: 'Sounded this morning.', ...figure }]);
  });

  it('overrides nothing electrical and nothing about who has the space', async () => {
    week += 1;
    const first = await request();
    const { berthId } = await firstOption(first.stayId);
    await post(`/stays/${first.stayId}/assign`, { berthId });
    const { stayId } = await request();
    const overrides = [{ rule: 'space.taken', reason: 'They will be gone.' }];
    const { status, body } = await post(`/stays/${stayId}/assign`, { berthId, overrides });
    expect(status).toBe(400);
    expect(body.errors[0].pointer).toBe('/overrides/0/rule');
  });

  it('lends no adapter that the dock does not have, and says which is to be brought', async () => {
    week += 1;
    const { stayId } = await request({ plug: '30 A' });
    const { body } = await read(`/stays/${stayId}/berth-options?options=200&refused=200`);
    type Adapter = { from: string; stockId: string | null };
    const lent = [...body.options, ...body.refused].find(({ connection }) =>
      connection?.hookUp.adapters.some(({ from }: Adapter) => from === 'stock'),
    );
    expect(lent).toBeDefined();
    const { berthId, orientation, place, connection } = lent;
    const assign = (change: Partial<Adapter>) => {
      const adapters = connection.hookUp.adapters.map((adapter: Adapter) => ({ ...adapter, ...change }));
      const hookUp = { ...connection.hookUp, adapters };
      return post(`/stays/${stayId}/assign`, { berthId, orientation, place, hookUp });
    };
    const none = await assign({ stockId: 'no-such-stock' });
    expect(none.status).toBe(409);
    expect(levelOf(none.body.findings, 'stock.none')).toBe('refuse');
    const aboard = await assign({ from: 'aboard', stockId: null });
    expect(aboard.status).toBe(200);
    expect(aboard.body.power.connection.hookUp.adapters).toMatchObject([{ from: 'toBring', stockId: null }]);
    expect(aboard.body.verdict).toBe('unconfirmed');
  });

  it('takes a hook-up as chosen, and refuses outlets that mate with nothing', async () => {
    week += 1;
    const { stayId } = await request();
    const option = await firstOption(stayId);
    const { hookUp } = option.connection;
    const wrong = {
      adapters: [],
      joints: [{ ...hookUp.joints[0], to: { kind: 'inlet', inletId: 'I1', configurationId: 'SS2-50' } }],
    };
    const refused = await post(`/stays/${stayId}/assign`, { berthId: option.berthId, hookUp: wrong });
    expect(refused.status).toBe(409);
    expect(
      refused.body.findings.some(({ rule, level }: Finding) => rule.startsWith('hookup.') && level === 'refuse'),
    ).toBe(true);
    const { status, body } = await post(`/stays/${stayId}/assign`, { berthId: option.berthId, hookUp });
    expect(status).toBe(200);
    expect(body.power.connection.hookUp).toEqual(hookUp);
  });

  it('does once what is sent twice with one Idempotency-Key', async () => {
    week += 1;
    const { stayId } = await request();
    const { berthId } = await firstOption(stayId);
    const key = { 'idempotency-key': `assign-${stayId}` };
    const once = await post(`/stays/${stayId}/assign`, { berthId }, key);
    const again = await post(`/stays/${stayId}/assign`, { berthId }, key);
    expect(again.status).toBe(200);
    expect(again.body).toEqual(once.body);
  });

  it.each([
    ['an unknown berth', { berthId: 'nowhere' }, '/berthId'],
    ['metres of a slip', { berthId: 'A1', place: { fromM: 0, untilM: 9 } }, '/place'],
    ['an unknown field', { berthId: 'A1', colour: 'red' }, '/colour'],
  ])('refuses %s', async (_name, placement, pointer) => {
    week += 1;
    const { stayId } = await request();
    const { status, body } = await post(`/stays/${stayId}/assign`, placement);
    expect(status).toBe(400);
    expect(body.errors[0].pointer).toBe(pointer);
  });

  it('is for the harbormaster, on the present version of the stay', async () => {
    week += 1;
    const { stayId } = await request();
    const path = `/stays/${stayId}/assign`;
    for (const role of ['dockhand', 'manager', 'viewer'] as const) {
      expect((await server.call(role, 'POST', path, { body: { berthId: 'A1' } })).status).toBe(403);
    }
    expect((await post(path, { berthId: 'A1' }, { 'if-match': '"99"' })).status).toBe(412);
    expect((await post('/stays/no-such-stay/assign', { berthId: 'A1' })).status).toBe(404);
  });
});

describe('a fact that changes after the berth was judged', () => {
  it('leaves nothing confirmed until it is judged again', async () => {
    week += 1;
    const { stayId } = await request();
    const { berthId } = await firstOption(stayId);
    const { body: given } = await post(`/stays/${stayId}/assign`, { berthId });
    const { body: told } = await read(`/stays/${stayId}`);
    const facts = { draftM: { value: 1.1, origin: 'dockhand' } };
    const changed = await server.call('dockhand', 'PATCH', `/boats/${told.stay.boatId}/facts`, { body: facts });
    expect(changed.status).toBe(200);
    const { body: questioned } = await read(`/assignments/${given.id}`);
    expect(questioned.verdict).toBe('unconfirmed');
    expect(levelOf(questioned.findings, 'hookup.factsChanged')).toBe('confirm');
    expect(questioned.power).toEqual(given.power);
    const { body: again } = await post(`/stays/${stayId}/move`, { berthId });
    expect(levelOf(again.findings, 'hookup.factsChanged')).toBeUndefined();
  });
});

describe('moving and releasing', () => {
  it('moves in one step, frees the first berth, and changes nothing where the new one is refused', async () => {
    week += 1;
    const { stayId } = await request();
    const { body: options } = await read(`/stays/${stayId}/berth-options`);
    const [from, to] = options.options.filter(({ connection }: { connection: unknown }) => connection !== null);
    expect((await post(`/stays/${stayId}/move`, { berthId: from.berthId })).status).toBe(409);
    await post(`/stays/${stayId}/assign`, { berthId: from.berthId });

    const other = await request();
    await post(`/stays/${other.stayId}/assign`, { berthId: to.berthId });
    expect((await post(`/stays/${stayId}/move`, { berthId: to.berthId })).status).toBe(409);
    expect((await read(`/stays/${stayId}`)).body.assignments).toMatchObject([{ berthId: from.berthId }]);

    expect((await server.call('harbormaster', 'POST', `/stays/${other.stayId}/cancel`)).status).toBe(200);
    const moved = await post(`/stays/${stayId}/move`, { berthId: to.berthId });
    expect(moved.status).toBe(200);
    expect((await read(`/stays/${stayId}`)).body.assignments).toMatchObject([{ berthId: to.berthId }]);
    const next = await request();
    expect((await post(`/stays/${next.stayId}/assign`, { berthId: from.berthId })).status).toBe(200);
  });

  it('moves in mid-stay and keeps what was before', async () => {
    week += 1;
    const { stayId, arrival } = await request();
    const { body: options } = await read(`/stays/${stayId}/berth-options`);
    const [from, to] = options.options.filter(({ connection }: { connection: unknown }) => connection !== null);
    await post(`/stays/${stayId}/assign`, { berthId: from.berthId });
    const moving = `${new Date(Date.parse(arrival) + 86_400_000).toISOString().slice(0, 10)}T16:00:00Z`;
    expect((await post(`/stays/${stayId}/move`, { berthId: to.berthId, from: moving })).status).toBe(200);
    const { body } = await read(`/stays/${stayId}`);
    expect(body.assignments.map(({ berthId, until }: { berthId: string; until: string }) => [berthId, until])).toEqual([
      [from.berthId, new Date(moving).toISOString()],
      [to.berthId, body.stay.departure],
    ]);
  });

  it('assigns the rest of a stay that is displaced in the middle, and keeps what was before', async () => {
    week += 1;
    const { stayId, arrival, departure } = await request();
    const { body: options } = await read(`/stays/${stayId}/berth-options`);
    const [first, second] = options.options.filter(({ connection }: { connection: unknown }) => connection !== null);
    await post(`/stays/${stayId}/assign`, { berthId: first.berthId });
    const { body: inventory } = await read('/inventory');
    const [unitId] = inventory.berths.find(({ id }: { id: string }) => id === first.berthId).unitIds;
    const closedFrom = `${new Date(Date.parse(arrival) + 86_400_000).toISOString().slice(0, 10)}T16:00:00.000Z`;
    const until = `${departure}T23:00:00Z`;
    const closed = await post('/out-of-service', { unitId, from: closedFrom, until, reason: 'broken finger' });
    expect(closed.body.displaced).toMatchObject([{ stayId, lost: 'space', from: closedFrom }]);

    const late = new Date(Date.parse(closedFrom) + 7_200_000).toISOString();
    const inPart = await post(`/stays/${stayId}/assign`, { berthId: second.berthId, from: late });
    expect(inPart).toMatchObject({ status: 200, body: { from: late } });
    expect((await read(`/stays/${stayId}`)).body.stay.needsBerth).toMatchObject([{ rule: 'space.displaced' }]);
    await post(`/assignments/${inPart.body.id}/release`);

    const left = await read(`/stays/${stayId}/berth-options`);
    expect(left.body.options.map(({ berthId }: { berthId: string }) => berthId)).not.toContain(first.berthId);
    const rest = await post(`/stays/${stayId}/assign`, { berthId: second.berthId });
    expect(rest).toMatchObject({ status: 200, body: { from: closedFrom } });
    const { body } = await read(`/stays/${stayId}`);
    expect(body.assignments).toMatchObject([{ berthId: first.berthId }, { berthId: second.berthId }]);
    expect(body.stay.needsBerth).toBeNull();
  });

  it('releases a berth that is still to come, and the stay is a request again', async () => {
    week += 1;
    const { stayId } = await request();
    const { berthId } = await firstOption(stayId);
    const { body: given } = await post(`/stays/${stayId}/assign`, { berthId });
    const ancient = await post(`/assignments/${given.id}/release`, { at: '1990-01-01T00:00:00Z' });
    expect(ancient).toMatchObject({ status: 400, body: { errors: [{ pointer: '/at' }] } });
    // Without a body, as a stay is cancelled.
    const released = await server.call('harbormaster', 'POST', `/assignments/${given.id}/release`);
    expect(released.status).toBe(200);
    expect(released.body).toMatchObject({ assignment: null, nowFits: [{ stay: { id: stayId } }] });
    expect((await read(`/stays/${stayId}`)).body.stay.state).toBe('requested');
    const other = await request();
    expect((await post(`/stays/${other.stayId}/assign`, { berthId })).status).toBe(200);
  });
});

describe('the list of assignments', () => {
  it('is read in pages by beginning that miss and repeat nothing, equal beginnings included', async () => {
    week += 1;
    for (let boat = 0; boat < 3; boat++) {
      const { stayId } = await request();
      const { berthId } = await firstOption(stayId);
      expect((await post(`/stays/${stayId}/assign`, { berthId })).status).toBe(200);
    }
    const seen: string[] = [];
    let path: string | undefined = '/assignments?limit=2';
    while (path !== undefined) {
      const page = await read(path);
      expect(page.status).toBe(200);
      seen.push(...page.body.items.map(({ id }: { id: string }) => id));
      path = /<(.*)>; rel="next"/.exec(`${page.headers.link ?? ''}`)?.[1];
    }
    const rows = await server.db.prisma.assignment.findMany({ where: { marinaId: 'north' } });
    const inOrder = rows.sort((a, b) => a.fromAt.getTime() - b.fromAt.getTime() || (a.id < b.id ? -1 : 1));
    expect(new Set(rows.map(({ fromAt }) => fromAt.getTime())).size).toBeLessThan(rows.length);
    expect(seen).toEqual(inOrder.map(({ id }) => id));
  });
});

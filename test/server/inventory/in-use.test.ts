import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Inventory } from '../../../core/inventory/inventory.ts';
import { sampleInventory } from '../../support/sample-inventory.ts';
import type { TestServer } from '../../support/server.ts';
import { hours, placeTransient, startMarina } from '../occupancy/fixture.ts';
import { etag, putInventory, write } from './support.ts';

const marinaId = 'north';
let server: TestServer;

// A boat lies on A6 with outlet a4b and an adapter of the dock; the boat on BR left before now.
beforeAll(async () => {
  server = await startMarina();
  await placeTransient(server, { id: 'Heron', berthId: 'A6', from: -2, until: 20, outletIds: ['a4b'] });
  await placeTransient(server, { id: 'Egret', berthId: 'BR', from: -50, until: -20 });
  await placeTransient(server, { id: 'Plover', berthId: 'A5-A6', unitIds: ['A5'], from: 48, until: 72 });
  await server.db.prisma.stockUse.create({
    data: {
      marinaId,
      stockId: 'stock-step-down',
      quantity: 1,
      fromAt: new Date(hours(-2)),
      untilAt: new Date(hours(20)),
      assignmentId: 'assignment-Heron',
    },
  });
});
afterAll(() => server.close());

function without(...ids: string[]): Inventory {
  const sample = sampleInventory();
  const keep = <Item extends { readonly id: string }>(items: readonly Item[]) =>
    items.filter(({ id }) => !ids.includes(id));
  return {
    ...sample,
    outlets: keep(sample.outlets),
    spaceUnits: keep(sample.spaceUnits),
    adapterStock: keep(sample.adapterStock),
    berths: keep(sample.berths).map((berth) => ({
      ...berth,
      reaches: berth.reaches.filter(({ outletId }) => !ids.includes(outletId)),
    })),
  };
}

describe('a stock of fewer adapters than are lent', () => {
  it('is recorded, and said by the answer and by the diagnostics while it lasts', async () => {
    const tag = await etag(server);
    const stock = (quantity: number) => ({
      ...sampleInventory(),
      adapterStock: sampleInventory().adapterStock.map((each) =>
        each.id === 'stock-step-down' ? { ...each, quantity } : each,
      ),
    });
    const short = await putInventory(server, stock(0));
    const finding = {
      rule: 'stock.lentBeyond',
      level: 'caution',
      subject: { id: 'stock-step-down' },
      actual: 1,
      limit: 0,
    };
    expect(short).toMatchObject({ status: 200, body: { stored: true, findings: [finding] } });
    expect(await etag(server)).not.toBe(tag);
    const found = async () => {
      const { body } = await server.call('viewer', 'GET', '/inventory/diagnostics');
      return body.checks.find(({ name }: { name: string }) => name === 'stock.lentBeyond').findings;
    };
    expect(await found()).toMatchObject([finding]);
    expect((await putInventory(server, sampleInventory())).body).toMatchObject({ stored: true, findings: [] });
    expect(await found()).toEqual([]);
  });
});

describe('what is in use now or later', () => {
  it('is not retired: each thing is named, with who uses it and until when', async () => {
    const tag = await etag(server);
    const reply = await putInventory(server, without('A6', 'A5-A6', 'a4b', 'stock-step-down'));
    expect(reply).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
    const found = reply.body.findings.map((finding: { subject: { kind: string; id: string }; actual: string }) => [
      finding.subject.kind,
      finding.subject.id,
      // By the marina's clocks, with their offset.
      new Date(finding.actual).toISOString(),
    ]);
    expect(found).toEqual(
      expect.arrayContaining([
        ['spaceUnit', 'A6', hours(21)],
        ['berth', 'A6', hours(21)],
        ['berth', 'A5-A6', hours(73)],
        ['outlet', 'a4b', expect.any(String)],
        ['adapter', 'stock-step-down', hours(20)],
      ]),
    );
    expect(JSON.stringify(reply.body.findings)).toContain('the boat Heron');
    expect(await etag(server)).toBe(tag);
  });

  it('is told by a dry run too', async () => {
    const reply = await putInventory(server, without('A6', 'A5-A6'), { query: '?dryRun=true' });
    expect(reply.status).toBe(409);
  });

  it('is not retired one by one either', async () => {
    for (const path of ['/berths/A6', '/adapter-stock/stock-step-down']) {
      const reply = await write(server, 'manager', 'DELETE', path);
      expect(reply, path).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
      expect(reply.body.detail, path).toContain('Heron');
    }
  });

  it('does not become a face, on which other metres count', async () => {
    const sample = sampleInventory();
    const spaceUnits = sample.spaceUnits.map((unit) =>
      unit.id === 'A6' ? { ...unit, kind: 'face', faceLengthM: 20 } : unit,
    );
    const berths = sample.berths
      .filter(({ id }) => id !== 'A5-A6')
      .map((berth) => (berth.id === 'A6' ? { ...berth, faceFromM: 0, faceUntilM: 20 } : berth));
    const reply = await putInventory(server, { ...sample, spaceUnits, berths }, { query: '?dryRun=true' });
    expect(reply).toMatchObject({ status: 409, body: { type: '/problems/in-use' } });
    expect(reply.body.findings).toContainEqual(
      expect.objectContaining({ subject: { kind: 'spaceUnit', id: 'A6', label: 'A6' } }),
    );
  });

  it('stays where a resident holds it, with an open end', async () => {
    const body = { berthId: 'B2', holderName: 'R. Dunlin', from: hours(0), until: null, outlets: [] };
    const held = await server.call('harbormaster', 'POST', '/holdings', { body });
    expect(held.status, JSON.stringify(held.body)).toBe(201);
    const reply = await write(server, 'manager', 'DELETE', '/berths/B2');
    expect(reply.status).toBe(409);
    expect(reply.body.detail).toContain('the holder R. Dunlin');
    expect(reply.body.detail).toContain('an open end');
  });

  it('may be changed, and what was used before now may be retired', async () => {
    const [outlet] = sampleInventory().outlets.filter(({ id }) => id === 'a4b');
    const changed = await write(server, 'manager', 'PUT', '/outlets/a4b', { ...outlet, breakerA: 40 });
    expect(changed.status).toBe(200);
    const { body: questioned } = await server.call('viewer', 'GET', '/assignments/assignment-Heron');
    expect(questioned).toMatchObject({ verdict: 'unconfirmed', findings: [{ rule: 'hookup.inventoryChanged' }] });
    expect((await write(server, 'manager', 'DELETE', '/berths/BR')).status).toBe(204);
  });

  it('is judged anew where a setting that judges changes, and left alone where an hour does', async () => {
    const versionNow = async () => (await server.call('viewer', 'GET', '/assignments/assignment-Heron')).body.version;
    const { body: settings } = await server.call('viewer', 'GET', '/settings');
    const before = await versionNow();
    await write(server, 'manager', 'PUT', '/settings', { ...settings, arrivalHour: settings.arrivalHour - 1 });
    expect(await versionNow()).toBe(before);
    const stricter = { ...settings, refuseCordBelowBreaker: !settings.refuseCordBelowBreaker };
    expect((await write(server, 'manager', 'PUT', '/settings', stricter)).status).toBe(200);
    expect(await versionNow()).toBe(before + 1);
  });
});

import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { electricalCautions } from '../../../core/cautions.ts';
import { iecConductorSizing } from '../../../server/calculations/iec-sizing.ts';
import { inventoryReview } from '../../../server/calculations/review.ts';
import { conductorSizing } from '../../../server/calculations/sizing.ts';
import reference from '../../reference/voltage-drop.json' with { type: 'json' };
import { sampleInventory } from '../../support/sample-inventory.ts';
import { startTestServer, type TestServer } from '../../support/server.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
});
afterAll(() => server.close());

const post = (body: unknown) => server.call(null, 'POST', conductorSizing.url, { body });
const known = { terminalsC: 75, ambientC: 30, currentCarrying: 3 };
const metresPerFoot = 0.3048;

it('sizes by the IEC practice: its example by Ohm, 2 x 25 m x 8.87 ohm/km x 16 A', async () => {
  const { status, body } = await server.call(null, 'POST', iecConductorSizing.url, {
    body: iecConductorSizing.example,
  });
  expect(status, JSON.stringify(body)).toBe(200);
  expect(body.conductor.dropV).toBeCloseTo(7.09, 2);
  expect(body).toMatchObject({ status: 'fits', deviceA: 16, protectiveMm2: 2.5 });
  const unknown = await server.call(null, 'POST', iecConductorSizing.url, { body: { loadA: 16, voltageV: 230 } });
  expect(unknown.body.status).toBe('notAssessed');
  expect(unknown.body.cautions).toEqual(electricalCautions);
});

describe('the conductor-sizing calculator', () => {
  it.each(reference.exact)(
    '$id ($source)',
    async ({ voltageV, size, conduit, lengthFt, loadA, powerFactor, dropV }) => {
      const given = { size, sizeUnit: 'AWG' };
      const question = { ...known, voltageV, conduit, lengthM: lengthFt * metresPerFoot, loadA, powerFactor, given };
      const { status, body } = await post({ ...question, material: 'copper' });
      expect(status, JSON.stringify(body)).toBe(200);
      // The source cuts its figures off at the fourth decimal.
      expect(Math.abs(body.conductor.drop.exactV - dropV)).toBeLessThan(1e-4);
      expect(body.cautions).toEqual(electricalCautions);
    },
  );

  it('answers its example as published', async () => {
    const { body } = await post(conductorSizing.example);
    expect(body.conductor.drop.exactV).toBeCloseTo(7.246, 3);
    expect(body).toMatchObject({
      status: 'fits',
      findings: [{ rule: 'sizing.dropAdvice', level: 'caution' }, { rule: 'sizing.grounding' }],
    });
  });

  // V5 by 2 I R L: the aluminium figure of the table is the stranded one.
  it('gives 2 I R L beside the phasors', async () => {
    const { loadA, voltageV, lengthFt, dropV } = reference.resistive[1] ?? {};
    const given = { size: '2', sizeUnit: 'AWG' };
    const { body } = await post({
      ...known,
      loadA,
      voltageV,
      lengthM: (lengthFt ?? 0) * metresPerFoot,
      material: 'aluminium',
      given,
    });
    expect(body.conductor.drop.resistiveV).toBeCloseTo(dropV ?? 0, 9);
  });

  it('chooses conductor, breaker and neutral', async () => {
    const { body } = await post({ ...known, loadA: 200, neutralA: 100, voltageV: 240, lengthM: 5, material: 'copper' });
    expect(body).toMatchObject({ status: 'fits', deviceA: 200, conductor: { size: '3/0' }, neutral: { size: '3' } });
  });

  it.each([
    ['no load', { loadA: 0 }, 'sizing.inputMissing'],
    ['length 0', { lengthM: 0 }, 'sizing.lengthUnknown'],
    ['a size of no table', { given: { size: '5', sizeUnit: 'AWG' } }, 'sizing.unknownSize'],
    ['unknown terminals', { terminalsC: null }, 'sizing.terminalsUnknown'],
  ])('%s is a clear finding', async (_, patch, rule) => {
    const { status, body } = await post({
      ...known,
      loadA: 20,
      voltageV: 240,
      lengthM: 5,
      material: 'copper',
      ...patch,
    });
    expect(status).toBe(200);
    expect(body).toMatchObject({
      status: 'notAssessed',
      findings: expect.arrayContaining([expect.objectContaining({ rule, level: 'confirm' })]),
    });
    expect(JSON.stringify(body)).not.toContain('NaN');
  });

  it.each([
    ['/loadA', { loadA: -1 }],
    ['/powerFactor', { powerFactor: 1.5 }],
    ['/mostParallelSets', { mostParallelSets: 13 }],
    ['/given/parallelSets', { given: { size: '1/0', sizeUnit: 'AWG', parallelSets: 0 } }],
    ['/material', { material: 'gold' }],
  ])('names %s', async (pointer, patch) => {
    const reply = await post({ ...known, loadA: 20, voltageV: 240, lengthM: 5, material: 'copper', ...patch });
    expect(reply).toMatchObject({ status: 400, body: { errors: [{ pointer }] } });
  });
});

describe('the review of an inventory', () => {
  it('names outlet and clause of the marina as it is entered', async () => {
    const headers = {
      'if-match': `"${(await server.call('manager', 'GET', '/inventory/diagnostics')).body.inventoryRevision}"`,
    };
    const written = await server.call('manager', 'PUT', '/inventory', { body: sampleInventory(), headers });
    expect(written.status, JSON.stringify(written.body)).toBe(200);
    const { body } = await server.call('viewer', 'GET', '/inventory/review?edition=2020');
    expect(body.notAssessed).toContainEqual(
      expect.objectContaining({
        rule: 'review.outletGroundFault',
        level: 'confirm',
        subject: { kind: 'outlet', id: 'a4b', label: 'A4-B' },
        source: 'NEC 555.35 (2020 on)',
      }),
    );
  });

  it('answers by edition, with every rule and the cautions', async () => {
    for (const edition of ['2011', '2017', '2020']) {
      const { status, body } = await server.call('viewer', 'GET', `/inventory/review?edition=${edition}`);
      expect(status, JSON.stringify(body)).toBe(200);
      expect(body).toMatchObject({ edition, notAssessed: expect.any(Array), cautions: electricalCautions });
      expect(body.rules.length).toBeGreaterThan(5);
    }
  });

  it('takes the newest edition where none is named, and no other', async () => {
    expect((await server.call('viewer', 'GET', '/inventory/review')).body.edition).toBe('2020');
    expect((await server.call('viewer', 'GET', '/inventory/review?edition=1999')).status).toBe(400);
    expect(inventoryReview.roles).toContain('viewer');
  });
});

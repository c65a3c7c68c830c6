import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { electricalCautions } from '../../../core/cautions.ts';
import { boatLoad } from '../../../server/calculations/boat-load.ts';
import reference from '../../reference/boat-load.json' with { type: 'json' };
import { startTestServer, type TestServer } from '../../support/server.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
});
afterAll(() => server.close());

const post = (body: unknown) => server.call(null, 'POST', boatLoad.url, { body });
const inlets = [{ id: 'I1', lineToNeutralV: 120, mainBreakerA: 30 }];

describe('the boat-load calculator', () => {
  it('answers its example as published', async () => {
    const { status, body } = await post(boatLoad.example);
    expect(status, JSON.stringify(body)).toBe(200);
    for (const [name, value] of Object.entries(reference.dwelling.answer))
      expect(body[name], name).toBeCloseTo(value, 6);
    expect(body.method).toMatchObject({ id: 'dwelling-550.18', source: expect.stringContaining('675 IAC 15-2-100') });
    expect(body).toMatchObject({ assumed: null, cautions: electricalCautions });
  });

  it(`combines appliances: ${reference.combining.source}`, async () => {
    const { heatPumpA, waterHeaterA, hairDryerA, answer } = reference.combining;
    const appliances = [
      { name: 'heat pump', loadVa: 120 * heatPumpA, motor: true, use: 'heatingAndCooling' },
      { name: 'water heater', loadVa: 120 * waterHeaterA, fixed: true },
      { name: 'hair dryer', loadVa: 120 * hairDryerA },
    ];
    const two = await post({ inlets, appliances: appliances.slice(0, 2) });
    expect(two.body.inlets).toMatchObject([{ legs: [{ runningA: answer.twoA }], assessment: 'within' }]);
    const three = await post({ inlets, appliances });
    expect(three.body.inlets).toMatchObject([{ legs: [{ runningA: answer.threeA }], assessment: 'over' }]);
  });

  it('shows the mark of the form from memory, and that a class default is one', async () => {
    const { body } = await post({ methodId: 'boat-standard-e11', inlets, assume: { lengthOverallM: 10 } });
    expect(body.method.source).toContain('(from memory)');
    expect(body.assumed.appliances.length).toBeGreaterThan(0);
    const rules = body.findings.map(({ rule }: { rule: string }) => rule);
    expect(rules).toEqual(expect.arrayContaining(['load.methodFromMemory', 'load.classDefault']));
    expect(body.inlets[0].assessment).toBe('notAssessed');
  });

  it.each([
    ['/methodId', { inlets, methodId: 'none' }],
    ['/inlets', { inlets: [] }],
    ['/inlets/1/id', { inlets: [...inlets, ...inlets] }],
    ['/inlets/0/lineToNeutralV', { inlets: [{ ...inlets[0], lineToNeutralV: 0 }] }],
    ['/appliances/0/loadVa', { inlets, appliances: [{ name: 'heater', loadVa: -1 }] }],
    ['/appliances/0/loadVa', { inlets, appliances: [{ name: 'heater', loadVa: '12' }] }],
    ['/assume', { inlets, appliances: [{ name: 'heater', loadVa: 1 }], assume: {} }],
    ['/unknownField', { inlets, unknownField: 1 }],
  ])('names %s', async (pointer, body) => {
    expect(await post(body)).toMatchObject({ status: 400, body: { errors: [{ pointer }] } });
  });
});

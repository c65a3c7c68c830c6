import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { electricalCautions } from '../../../core/cautions.ts';
import { routes } from '../../../server/calculations/routes.ts';
import demand from '../../reference/demand.json' with { type: 'json' };
import circuits from '../../reference/hook-up.json' with { type: 'json' };
import { type Reply, startTestServer, type TestServer } from '../../support/server.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
});
afterAll(() => server.close());

const post = (path: string, body: unknown): Promise<Reply> => {
  return server.call(null, 'POST', `/v1/calculations/${path}`, { body });
};
const exampleOf = (operationId: string) => routes.find((route) => route.operationId === operationId)?.example;

describe('feeder demand', () => {
  it.each(demand.examples)('$id is as published ($source)', async ({ system, receptacles, answer }) => {
    const { status, body } = await post('feeder-demand', { systemId: system, receptacles });
    expect(status, JSON.stringify(body)).toBe(200);
    const found = { ...body, ...body.design, ...body.design.appliedFactor, admissionVa: body.admission.demandVa };
    for (const [name, value] of Object.entries(answer)) {
      if (typeof value === 'number') expect(found[name], name).toBeCloseTo(value, 6);
      else
        for (const [part, figure] of Object.entries<number>(value))
          expect(found[name][part], part).toBeCloseTo(figure, 6);
    }
    expect(body.cautions).toEqual(electricalCautions);
  });

  it('has the published example D3 in its description', async () => {
    const d3 = demand.examples.find(({ id }) => id === 'D3');
    const { body } = await post('feeder-demand', exampleOf('calculateFeederDemand'));
    expect(body.connectedVa).toBe(d3?.answer.connectedVa);
    expect(body.design).toMatchObject({ demandVa: d3?.answer.demandVa, balancedA: d3?.answer.balancedA });
  });

  it('asks which lines receptacles are on where that is unknown and could be several', async () => {
    const receptacles = [
      { count: 2, ratedA: 30, lineContacts: 1, lines: ['L1'] },
      { count: 3, ratedA: 30, lineContacts: 1 },
      { count: 1, ratedA: 50, lineContacts: 2 },
    ];
    const { body } = await post('feeder-demand', { systemId: '120/240-split-phase', receptacles });
    expect(body.findings).toMatchObject([
      { rule: 'demand.unknownLines', level: 'confirm', missingFact: { fact: 'receptacles.1.lines' } },
    ]);
    const onThree = await post('feeder-demand', { systemId: '208Y/120', receptacles });
    expect(onThree.body.findings.map(({ subject }: { subject: { id: string } }) => subject.id)).toEqual([
      'receptacles/1',
      'receptacles/2',
    ]);
    const onOne = [{ count: 4, ratedA: 16, lineContacts: 1 }];
    const { body: single } = await post('feeder-demand', { systemId: '230-single-phase', receptacles: onOne });
    expect(single.findings).toEqual([]);
  });

  it('takes a practice of the caller, held to the same rules as a stored one', async () => {
    const practice = {
      id: 'own',
      name: 'Half',
      rows: [{ from: 1, to: null, factor: 0.5 }],
      source: { title: 'invented' },
    };
    const body = { systemId: '230-single-phase', receptacles: [{ count: 2, ratedA: 16, lineContacts: 1 }], practice };
    expect((await post('feeder-demand', body)).body.design.demandVa).toBeCloseTo(3680, 6);
    const gap = { ...practice, rows: [{ from: 2, to: null, factor: 0.5 }] };
    const reply = await post('feeder-demand', { ...body, practice: gap });
    expect(reply).toMatchObject({ status: 422, body: { errors: [{ pointer: '/practice/rows/0/from' }] } });
  });

  it.each([
    ['/systemId', { systemId: 'none' }],
    ['/practiceId', { practiceId: 'none' }],
    ['/receptacles/0/lines', { receptacles: [{ count: 1, ratedA: 30, lineContacts: 1, lines: ['L3'] }] }],
    ['/receptacles/0/lines', { receptacles: [{ count: 1, ratedA: 50, lineContacts: 2, lines: ['L1', 'L1'] }] }],
    ['/receptacles', { receptacles: [{ count: 1, ratedA: 30, lineContacts: 3 }] }],
    ['/receptacles', { receptacles: Array(3).fill({ count: 5000, ratedA: 30, lineContacts: 1 }) }],
    ['/receptacles/0/count', { receptacles: [{ count: 1e9, ratedA: 30, lineContacts: 1 }] }],
    ['/receptacles/0/ratedA', { receptacles: [{ count: 1, ratedA: -30, lineContacts: 1 }] }],
    ['/otherLoadVa/L3', { otherLoadVa: { L3: 100 } }],
  ])('names %s where it is wrong', async (pointer, wrong) => {
    const sound = { systemId: '120/240-split-phase', receptacles: [] };
    const reply = await post('feeder-demand', { ...sound, ...wrong });
    expect(reply).toMatchObject({ status: 400, body: { type: '/problems/invalid-input' } });
    expect(reply.body.errors).toMatchObject([{ in: 'body', pointer }]);
  });
});

describe('combined currents', () => {
  const withLegs = circuits.cases.filter(({ given }) => given.legsA !== undefined);

  it.each(withLegs)('$id: $inputs (Kirchhoff, by hand)', async ({ given, answer }) => {
    const [first = 0, second = 0] = given.legsA ?? [];
    const { body } = await post('combined-currents', {
      leg1: { currentA: first, angleDeg: 0 },
      leg2: { currentA: second, angleDeg: given.angleBetweenDeg },
    });
    expect(body.neutralA).toBeCloseTo(answer.neutralA ?? Number.NaN, 9);
    if (answer.residualAtEachOutletA !== undefined)
      expect(body.residualAtEachOutletA).toBeCloseTo(answer.residualAtEachOutletA, 9);
    expect(body.cautions).toEqual(electricalCautions);
  });

  it('has U1 as its example', async () => {
    const { body } = await post('combined-currents', exampleOf('calculateCombinedCurrents'));
    expect(body.neutralA).toBeCloseTo(10, 9);
    expect(body.residualAtEachOutletA).toBeCloseTo(15, 9);
  });
});

describe('hook-up', () => {
  it("refuses the example's combiner for its residual current", async () => {
    const { status, body } = await post('hook-up', exampleOf('calculateHookUp'));
    expect(status, JSON.stringify(body)).toBe(200);
    expect(body.hookUps[0].verdict).toBe('refused');
    const residual = body.hookUps[0].findings.find(({ rule }: { rule: string }) => rule === 'hookup.residual');
    // One leg at 30 A against the other at 30 A on the opposite line: half of 60 A.
    expect(residual).toMatchObject({ level: 'refuse', actual: 30_000, limit: 30, unit: 'mA' });
    expect(body.hookUps[0].connection.inlets[0]).toMatchObject({ lineToLineV: 240 });
    // The circuit with the example's loads, 20 A and 10 A: case U1 of the reference.
    const { answer } = circuits.cases.find(({ id }) => id === 'U1') ?? {};
    const { devices, conductors } = body.hookUps[0].circuit;
    const neutral = conductors.find(({ elementId }: { elementId: string }) => elementId === 'cord I1.N');
    expect(neutral.amperes).toBeCloseTo(answer?.neutralA ?? Number.NaN, 5);
    for (const { residualMa } of devices)
      expect(residualMa / 1000).toBeCloseTo(answer?.residualAtEachOutletA ?? Number.NaN, 5);
    expect(body.cautions).toEqual(electricalCautions);
  });

  it('judges joints that it is given', async () => {
    const example = exampleOf('calculateHookUp') as Record<string, unknown>;
    const joint = { kind: 'inlet', inletId: 'I1', configurationId: 'SS2-50' };
    const hookUp = { adapters: [], joints: [{ from: { kind: 'outlet', outletId: '7A' }, to: joint }] };
    const { body } = await post('hook-up', { ...example, hookUp });
    expect(body.hookUps).toHaveLength(1);
    expect(body.hookUps[0]).toMatchObject({ verdict: 'refused', connection: { hookUp } });
  });

  it('answers unknown facts with what is to confirm, never with clear', async () => {
    const outlets = [{ id: '7A', configurationId: 'L5-30' }];
    const inlets = [{ id: 'I1', configurationIds: ['L5-30'] }];
    const { body } = await post('hook-up', { outlets, inlets });
    expect(body.hookUps[0].verdict).toBe('unconfirmed');
  });

  it.each([
    ['/outlets/0/configurationId', { outlets: [{ id: '7A', configurationId: 'none' }] }],
    ['/outlets/0/systemId', { outlets: [{ id: '7A', configurationId: 'L5-30', systemId: 'none' }] }],
    ['/inlets/0/configurationIds/0', { inlets: [{ id: 'I1', configurationIds: ['none'] }] }],
    ['/adapterKindIds/0', { adapterKindIds: ['none'] }],
    ['/colour', { colour: 'blue' }],
  ])('names %s where it is wrong', async (pointer, wrong) => {
    const reply = await post('hook-up', { ...(exampleOf('calculateHookUp') as object), ...wrong });
    expect(reply).toMatchObject({ status: 400, body: { errors: [{ pointer }] } });
  });

  it('names the outlet that gives its supply a second system', async () => {
    const outlet = { configurationId: 'L6-30', lines: ['L1', 'L2'], supplyId: 'T1' };
    const outlets = [
      { ...outlet, id: '7A', systemId: null },
      { ...outlet, id: '7B', systemId: '208Y/120' },
      { ...outlet, id: '7C', systemId: '240/120-high-leg-delta' },
    ];
    const wrong = await post('hook-up', { ...(exampleOf('calculateHookUp') as object), outlets, hookUp: null });
    expect(wrong).toMatchObject({ status: 400, body: { errors: [{ pointer: '/outlets/2/systemId' }] } });
    expect(wrong.body.errors).toHaveLength(1);
    const sound = await post('hook-up', {
      ...(exampleOf('calculateHookUp') as object),
      outlets: outlets.slice(0, 2),
      hookUp: null,
    });
    expect(sound.status).toBe(200);
  });
});

describe('standards', () => {
  it.each(['configurations', 'supply-systems', 'practices', 'adapter-kinds'])('%s carry their source', async (path) => {
    const { status, body } = await server.call(null, 'GET', `/v1/standards/${path}`);
    expect(status).toBe(200);
    expect(body.items.length).toBeGreaterThan(1);
    for (const { source } of body.items) {
      expect(source).toEqual({ title: expect.stringMatching(/.{5}/), fromMemory: expect.any(Boolean) });
    }
  });

  it('conductors carry the source of their table', async () => {
    const { body } = await server.call(null, 'GET', '/v1/standards/conductors');
    expect(body.source.title).toContain('310.16');
    // NEC Table 310.16, 4/0 AWG copper at 75 C: 230 A.
    const row = body.items.find(({ size }: { size: string }) => size === '4/0');
    expect(row.ampacityA.copper).toMatchObject({ 75: 230 });
  });

  it('practices are the published table', async () => {
    const { body } = await server.call(null, 'GET', '/v1/standards/practices');
    expect(body.items.find(({ id }: { id: string }) => id === 'nec-555-2020').rows).toEqual(demand.table.rows);
  });
});

import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import reference from '../../reference/demand.json' with { type: 'json' };
import { startTestServer, type TestServer } from '../../support/server.ts';
import { write } from '../inventory/support.ts';
import { hours, placeTransient } from '../occupancy/fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
});
afterAll(() => server.close());

type Example = (typeof reference.examples)[number];

const outletOf = new Map([
  ['30 1', { configurationId: 'L5-30', breakerA: 30, turns: [['L1'], ['L2']] }],
  ['50 2', { configurationId: 'SS2-50', breakerA: 50, turns: [['L1', 'L2']] }],
]);

// Those of receptacles that stand on pedestals, on the supply of the marina below.
const examples = reference.examples.filter(
  ({ system, receptacles }) =>
    system === '120/240-split-phase' &&
    receptacles.every(({ ratedA, lineContacts }) => outletOf.has(`${ratedA} ${lineContacts}`)),
);

/** A marina of one feeder with the example's receptacles; two of a slip are dedicated to that slip. */
function documentOf({ receptacles }: Example) {
  const slips = Math.max(1, ...receptacles.map((group) => ('slipGroup' in group ? group.count : 0)));
  const outlets = receptacles.flatMap(({ count, ratedA, lineContacts, ...group }, g) => {
    const { turns = [], ...rest } = outletOf.get(`${ratedA} ${lineContacts}`) ?? {};
    return Array.from({ length: count }, (_, i) => ({
      ...rest,
      id: `o${g}-${i}`,
      label: `${g}-${i}`,
      pedestalId: `p${i}`,
      lines: 'lines' in group ? group.lines : turns[i % turns.length],
      dedicatedBerthId: 'slipGroup' in group ? `s${i}` : null,
    }));
  });
  const spaces = Array.from({ length: slips }, (_, i) => ({ id: `s${i}`, label: `S${i}` }));
  const pedestals = Math.max(...receptacles.map(({ count }) => count));
  return {
    name: 'Handbook Harbor',
    timeZone: 'America/Chicago',
    settings: {},
    docks: [{ id: 'D', label: 'D', kind: 'floating' }],
    equipment: [
      { id: 'svc', label: 'Service', kind: 'service', systemId: '120/240-split-phase', breakerA: 1200 },
      { id: 'feeder', label: 'Feeder', kind: 'feeder', parentId: 'svc', breakerA: 600 },
    ],
    pedestals: Array.from({ length: pedestals }, (_, i) => ({
      id: `p${i}`,
      label: `P${i}`,
      dockId: 'D',
      fedById: 'feeder',
    })),
    outlets,
    spaceUnits: spaces.map((space) => ({ ...space, dockId: 'D', kind: 'slip' })),
    berths: spaces.map((space) => ({ ...space, unitIds: [space.id], mooring: 'fingerPier' })),
  };
}

describe('published examples, as a marina on the docks', () => {
  it('are more than a few', () => {
    expect(examples.length).toBeGreaterThanOrEqual(8);
  });

  it.each(examples)('$id: design demand as published ($source)', async (example) => {
    const document = documentOf(example);
    const stored = await write(server, 'manager', 'PUT', '/inventory', document);
    expect(stored.status, JSON.stringify(stored.body)).toBe(200);
    const { body } = await server.call('manager', 'GET', '/demand/design?countingBasis=all&equipmentId=feeder');
    const [part] = body.parts;
    const { answer } = example;
    if ('receptacles' in answer) expect(part.receptacles).toBe(answer.receptacles);
    if ('connectedVa' in answer) expect(part.connectedVa).toBeCloseTo(Number(answer.connectedVa), 6);
    if ('factor' in answer) expect(part.appliedFactor.factor).toBe(answer.factor);
    if ('demandVa' in answer) expect(part.demandVa).toBeCloseTo(Number(answer.demandVa), 6);
    if ('lineA' in answer) {
      for (const [line, value] of Object.entries({ ...answer.lineA })) expect(part.lineA[line]).toBeCloseTo(value, 6);
    }
  });
});

describe('admission on a real marina', () => {
  it('does not fall at the step of the table: 31 boats count as much as the 30 before (D12)', async () => {
    const d12 = examples.find(({ id }) => id === 'D12');
    if (d12 === undefined) throw new Error('D12 is gone from the reference');
    const document = documentOf(d12);
    expect((await write(server, 'manager', 'PUT', '/inventory', document)).status).toBe(200);
    const outletIds = document.outlets.map(({ id }) => id);
    await placeTransient(server, { id: 'Fleet', berthId: 's0', from: 0, until: 12, outletIds });
    const { body } = await server.call('viewer', 'GET', `/demand/feeder?at=${hours(1)}`);
    const { rated, stated } = body.parts[0];
    expect(rated.demandVa.value).toBeCloseTo(Number(d12.answer.admissionVa), 6);
    expect(rated.counted).toMatchObject({ receptacles: 31, appliedFactor: { countingBasis: 'larger', factor: 0.7 } });
    // Nobody stated a load, so the stated basis takes the full rating and no factor.
    expect(stated.demandVa.value).toBeCloseTo(31 * 3600, 6);
  });
});

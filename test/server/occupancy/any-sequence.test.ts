import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { UsedBy } from '../../../core/berths/occupancy.ts';
import { deriveOutletUses } from '../../../core/berths/outlet-uses.ts';
import { deriveSpaceUses } from '../../../core/berths/space-uses.ts';
import { boatFactsSchema, factsFromApi } from '../../../server/boats/schema.ts';
import { plainJson } from '../../../server/db/plain-json.ts';
import { Problem } from '../../../server/errors.ts';
import { heldOutlets } from '../../../server/holdings/schema.ts';
import { sampleInventory } from '../../support/sample-inventory.ts';
import { type Reply, type TestServer, testNow } from '../../support/server.ts';
import { hours, placeTransient, startMarina } from './fixture.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startMarina();
});
afterAll(() => server.close());

// Few berths and short times, so that nearly everything meets: a slip, two slips together, a face.
const berths = [
  { berthId: 'A5', unitIds: ['A5'] },
  { berthId: 'A6', unitIds: ['A6'] },
  { berthId: 'A5-A6', unitIds: ['A5', 'A6'] },
  { berthId: 'BF-1', unitIds: ['BF'] },
] as const;
const outletIds = ['a3a', 'a4b'];
const boats = ['Auk', 'Bittern', 'Coot'];

const hour = fc.integer({ min: -6, max: 60 });
const period = fc.record({ from: hour, lasts: fc.integer({ min: 1, max: 40 }) });
const berth = fc.constantFrom(...berths);
const metres = fc.record({ fromM: fc.integer({ min: 0, max: 18 }), lengthM: fc.integer({ min: 1, max: 12 }) });
const outlets = fc.subarray(outletIds);
const which = fc.nat(20);

const operation = fc.oneof(
  fc.record({ kind: fc.constant('hold'), berth, metres, period, outlets, open: fc.boolean() }),
  fc.record({ kind: fc.constant('rehold'), which, period, outlets, open: fc.boolean() }),
  fc.record({ kind: fc.constant('endHolding'), which, at: hour }),
  fc.record({ kind: fc.constant('withdrawHolding'), which }),
  { weight: 4, arbitrary: fc.record({ kind: fc.constant('release'), which, period }) },
  fc.record({ kind: fc.constant('withdrawAbsence'), which }),
  fc.record({ kind: fc.constant('recall'), which, at: hour }),
  fc.record({ kind: fc.constant('closeSpace'), berth, metres, period, open: fc.boolean() }),
  fc.record({ kind: fc.constant('closeOutlet'), outletId: fc.constantFrom(...outletIds), period }),
  fc.record({ kind: fc.constant('changeClosing'), which, at: hour }),
  fc.record({ kind: fc.constant('endClosing'), which, at: hour }),
  fc.record({ kind: fc.constant('withdrawClosing'), which }),
  fc.record({ kind: fc.constant('found'), berth, metres, period, outlets, boat: fc.constantFrom(...boats) }),
  fc.record({ kind: fc.constant('assign'), berth, metres, period, outlets }),
  fc.record({ kind: fc.constant('wait'), hours: fc.integer({ min: 1, max: 8 }) }),
);
type Operation = typeof operation extends fc.Arbitrary<infer T> ? T : never;

const always = { from: -40, lasts: 1 };
const residents: Record<'slip' | 'face', Operation> = {
  slip: {
    kind: 'hold',
    berth: berths[0],
    metres: { fromM: 0, lengthM: 1 },
    period: always,
    outlets: ['a3a'],
    open: true,
  },
  face: {
    kind: 'hold',
    berth: berths[3],
    metres: { fromM: 4, lengthM: 9 },
    period: always,
    outlets: ['a4b'],
    open: true,
  },
};

describe('after any sequence of what staff may record', () => {
  it('stored rows are what core derives from the claims, and every answer is a success or a named refusal', async () => {
    const seen = new Map<string, number>();
    await fc.assert(
      fc.asyncProperty(fc.array(operation, { minLength: 30, maxLength: 30, size: 'max' }), async (operations) => {
        await clear();
        await run(residents.slip);
        await run(residents.face);
        for (const each of operations) {
          const reply = await run(each);
          requireAnswer(each, reply);
          if (reply !== null && reply.status < 300) seen.set(each.kind, (seen.get(each.kind) ?? 0) + 1);
          const { stored, derived } = await compareRows();
          expect(stored, JSON.stringify(each)).toEqual(derived);
        }
      }),
      { numRuns: 20, endOnFailure: true, seed: 7 },
    );
    // Nothing was refused always: each kind of record was made at least once.
    expect([...seen.keys()].sort()).toEqual(
      [
        'changeClosing',
        'closeOutlet',
        'closeSpace',
        'endClosing',
        'endHolding',
        'found',
        'hold',
        'recall',
        'rehold',
        'release',
        'withdrawAbsence',
        'withdrawClosing',
        'withdrawHolding',
      ].sort(),
    );
  }, 300_000);

  it('holds as well where all of them are sent at once', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(operation, { minLength: 30, maxLength: 30, size: 'max' }), async (operations) => {
        await clear();
        await run(residents.slip);
        await run(residents.face);
        await Promise.all(operations.map(async (each) => requireAnswer(each, await run(each))));
        const { stored, derived } = await compareRows();
        expect(stored).toEqual(derived);
      }),
      { numRuns: 5, endOnFailure: true, seed: 11 },
    );
  }, 300_000);
});

function requireAnswer(op: Operation, reply: Reply | null): void {
  if (reply === null || reply.status < 300) return;
  // A double use that only the database saw would name nobody: the service must have seen it first.
  const named = typeof reply.body.type === 'string' && reply.body.type !== '/problems/double-use';
  if (reply.status < 500 && (named || reply.body.findings?.length > 0)) return;
  throw new Error(`${JSON.stringify(op)} was answered ${reply.status} ${JSON.stringify(reply.body)}`);
}

async function clear(): Promise<void> {
  server.clock.now = testNow;
  await server.db.pool.query(
    'TRUNCATE space_use, outlet_use, stock_use, assignment, stay, absence, holding, out_of_service, boat CASCADE',
  );
  const facts = plainJson(factsFromApi(boatFactsSchema.parse({}), testNow));
  for (const name of boats) {
    await server.db.prisma.boat.create({ data: { marinaId: 'north', id: name, name, facts } });
  }
}

let transients = 0;

async function run(op: Operation): Promise<Reply | null> {
  const send = (method: string, path: string, body?: object, headers = {}) =>
    server.call('harbormaster', method, path, { ...(body === undefined ? {} : { body }), headers });
  switch (op.kind) {
    case 'wait':
      server.clock.now += op.hours * 3_600_000;
      return null;
    case 'hold':
      return send('POST', '/holdings', {
        berthId: op.berth.berthId,
        ...rangeOn(op.berth.berthId, op.metres),
        holderName: 'Holder',
        ...times(op.period, op.open),
        outlets: op.outlets.map((outletId) => ({ outletId })),
      });
    case 'rehold': {
      const holding = await pick('/holdings', op.which);
      const outlets = op.outlets.map((outletId) => ({ outletId }));
      return (
        holding &&
        send('PATCH', `/holdings/${holding.id}`, { ...times(op.period, op.open), outlets }, { 'if-match': '*' })
      );
    }
    case 'endHolding': {
      const holding = await pick('/holdings', op.which);
      return holding && send('POST', `/holdings/${holding.id}/end`, { at: hours(op.at) }, { 'if-match': '*' });
    }
    case 'withdrawHolding': {
      const holding = await pick('/holdings', op.which);
      return holding && send('DELETE', `/holdings/${holding.id}`);
    }
    case 'release': {
      const holding = await pick('/holdings', op.which);
      return holding && send('POST', `/holdings/${holding.id}/absences`, times(op.period));
    }
    case 'withdrawAbsence': {
      const path = await pickAbsence(op.which);
      return path === null ? null : send('DELETE', path);
    }
    case 'recall': {
      const path = await pickAbsence(op.which);
      return path === null ? null : send('POST', `${path}/recall`, { returnsAt: hours(op.at) });
    }
    case 'closeSpace': {
      const unitId = op.berth.unitIds[0] ?? '';
      const range = rangeOn(op.berth.berthId, op.metres);
      return send('POST', '/out-of-service', { unitId, ...range, ...times(op.period, op.open), reason: 'closed' });
    }
    case 'closeOutlet':
      return send('POST', '/out-of-service', { outletId: op.outletId, ...times(op.period), reason: 'burnt' });
    case 'changeClosing': {
      const closing = await pick('/out-of-service', op.which);
      return closing && send('PATCH', `/out-of-service/${closing.id}`, { until: hours(op.at) }, { 'if-match': '*' });
    }
    case 'endClosing': {
      const closing = await pick('/out-of-service', op.which);
      return closing && send('POST', `/out-of-service/${closing.id}/end`, { at: hours(op.at) }, { 'if-match': '*' });
    }
    case 'withdrawClosing': {
      const closing = await pick('/out-of-service', op.which);
      return closing && send('DELETE', `/out-of-service/${closing.id}`);
    }
    case 'found':
      return send('POST', '/occupancy-found', {
        berthId: op.berth.berthId,
        ...rangeOn(op.berth.berthId, op.metres),
        boat: { boatId: op.boat },
        at: hours(op.period.from),
        until: hours(op.period.from + op.period.lasts),
        outletIds: op.outlets,
      });
    case 'assign':
      await assign(op);
      return null;
  }
}

/** Assigned as the plan would: only where the database finds room, holders included. */
async function assign(op: Extract<Operation, { kind: 'assign' }>): Promise<void> {
  transients += 1;
  const { berthId, unitIds } = op.berth;
  const { fromM = 0, untilM = 1 } = rangeOn(berthId, op.metres);
  const { from, lasts } = op.period;
  const free = await server.db.pool.query(
    `SELECT 1 FROM space_use WHERE unit_id = ANY($1) AND from_m < $3 AND $2 < until_m
       AND tstzrange(from_at, until_at, '[)') && tstzrange($4, $5, '[)')
     UNION ALL SELECT 1 FROM outlet_use WHERE outlet_id = ANY($6)
       AND tstzrange(from_at, until_at, '[)') && tstzrange($4, $5, '[)')`,
    [unitIds, fromM, untilM, hours(from), hours(from + lasts + 1), op.outlets],
  );
  if (free.rowCount !== 0) return;
  const state = from <= 0 ? 'arrived' : 'promised';
  const place = { berthId, unitIds, metres: [fromM, untilM] as const, from, until: from + lasts };
  await placeTransient(server, { id: `T${transients}`, ...place, outletIds: op.outlets, state }).catch((error) => {
    if (!(error instanceof Problem)) throw error;
  });
}

function times({ from, lasts }: { from: number; lasts: number }, open = false) {
  return { from: hours(from), until: open ? null : hours(from + lasts) };
}

function rangeOn(berthId: string, { fromM, lengthM }: { fromM: number; lengthM: number }) {
  return berthId === 'BF-1' ? { fromM, untilM: fromM + lengthM } : {};
}

async function pick(path: string, which: number): Promise<{ id: string } | null> {
  const { body } = await server.call('viewer', 'GET', `${path}?limit=200`);
  return body.items[which % Math.max(1, body.items.length)] ?? null;
}

async function pickAbsence(which: number): Promise<string | null> {
  const absences = await server.db.prisma.absence.findMany({ orderBy: { id: 'asc' } });
  const absence = absences[which % Math.max(1, absences.length)];
  return absence === undefined ? null : `/holdings/${absence.holdingId}/absences/${absence.id}`;
}

/** The stored rows of holders and closings, and what core derives from all claims of all times. */
async function compareRows() {
  const { prisma } = server.db;
  const [spaces, outletRows, holdings, closings] = await Promise.all([
    prisma.spaceUse.findMany(),
    prisma.outletUse.findMany(),
    prisma.holding.findMany({ include: { absences: true } }),
    prisma.outOfService.findMany(),
  ]);
  const by = (kind: UsedBy['kind'], id: string): UsedBy => ({ kind, id, label: '' });
  const periodOf = (row: { fromAt: Date; untilAt: Date }) => ({
    from: row.fromAt.getTime(),
    until: row.untilAt.getTime(),
  });
  const absencesOf = (holding: (typeof holdings)[number]) =>
    holding.absences.map((absence) => ({
      ...periodOf(absence),
      recalledFrom: absence.recalledFromAt?.getTime() ?? null,
    }));
  const claimant = (row: { holdingId: string | null; outOfServiceId: string | null }) =>
    row.holdingId === null ? by('outOfService', row.outOfServiceId ?? '') : by('holding', row.holdingId);
  const unitsOf = new Map(sampleInventory().berths.map(({ id, unitIds }) => [id, unitIds]));

  const derivedSpaces = deriveSpaceUses({
    assignments: spaces
      .filter(({ assignmentId }) => assignmentId !== null)
      .map((row) => ({ unitId: row.unitId, fromM: row.fromM, untilM: row.untilM, ...periodOf(row) })),
    outOfService: closings.flatMap((row) =>
      row.unitId === null
        ? []
        : [
            {
              by: by('outOfService', row.id),
              ...periodOf(row),
              parts: [{ unitId: row.unitId, fromM: row.fromM ?? 0, untilM: row.untilM ?? 1 }],
            },
          ],
    ),
    holdings: holdings.map((holding) => ({
      by: by('holding', holding.id),
      ...periodOf(holding),
      parts: (unitsOf.get(holding.berthId) ?? []).map((unitId) => ({
        unitId,
        fromM: holding.faceFromM ?? 0,
        untilM: holding.faceUntilM ?? 1,
      })),
      absences: absencesOf(holding),
    })),
    groups: [],
  });
  const derivedOutlets = deriveOutletUses({
    assignments: outletRows
      .filter(({ assignmentId }) => assignmentId !== null)
      .map((row) => ({ outletId: row.outletId, ...periodOf(row) })),
    outOfService: closings.flatMap((row) =>
      row.outletId === null ? [] : [{ by: by('outOfService', row.id), ...periodOf(row), outletIds: [row.outletId] }],
    ),
    holdings: holdings.flatMap((holding) =>
      heldOutlets.parse(holding.outlets).map(({ outletId, loadVa }) => ({
        by: by('holding', holding.id),
        ...periodOf(holding),
        outletIds: [outletId],
        absences: absencesOf(holding),
        statedVa: loadVa,
      })),
    ),
  });
  const inOrder = (rows: readonly object[]) => rows.map((row) => JSON.stringify(row)).sort();
  const derivedOnly = <Row extends { assignmentId: string | null }>(rows: Row[]) =>
    rows.filter(({ assignmentId }) => assignmentId === null);
  return {
    stored: inOrder([
      ...derivedOnly(spaces).map((row) => ({
        unitId: row.unitId,
        fromM: row.fromM,
        untilM: row.untilM,
        ...periodOf(row),
        by: claimant(row),
      })),
      ...derivedOnly(outletRows).map((row) => ({
        outletId: row.outletId,
        by: claimant(row),
        statedVa: row.statedVa,
        ...periodOf(row),
      })),
    ]),
    derived: inOrder([
      ...derivedSpaces.map(({ unitId, fromM, untilM, from, until, by: claimed }) => ({
        unitId,
        fromM,
        untilM,
        from,
        until,
        by: claimed,
      })),
      ...derivedOutlets.map(({ outletId, by: claimed, statedVa, from, until }) => ({
        outletId,
        by: claimed,
        statedVa,
        from,
        until,
      })),
    ]),
  };
}

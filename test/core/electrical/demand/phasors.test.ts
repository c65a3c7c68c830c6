import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { demandAt } from '../../../../core/electrical/demand/demand-at.ts';
import type { InventoryIndex } from '../../../../core/inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../../../core/inventory/inventory.ts';
import { configuration } from '../../../../core/standards/configurations.ts';
import type { SupplySystem } from '../../../../core/standards/supply-system.ts';
import { anyMarina, everyRating, marinaOf, outletOn, part, use } from './random-marina.ts';

type Complex = readonly [number, number];
const add = (a: Complex, b: Complex): Complex => [a[0] + b[0], a[1] + b[1]];
const subtract = (a: Complex, b: Complex): Complex => [a[0] - b[0], a[1] - b[1]];
const times = (a: Complex, b: Complex): Complex => [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]];
const conjugate = (a: Complex): Complex => [a[0], -a[1]];
const scaled = (a: Complex, by: number): Complex => [a[0] * by, a[1] * by];
const magnitude = (a: Complex) => Math.hypot(a[0], a[1]);
/** Current that takes `power` at `volts`. */
const currentOf = (power: Complex, volts: Complex): Complex =>
  conjugate(scaled(times(power, conjugate(volts)), 1 / magnitude(volts) ** 2));

const zero: Complex = [0, 0];

/**
 * Kirchhoff's current law on ideal transformers: line currents of every part when each outlet carries its rating at unity
 * power factor. Written apart from the code under test.
 */
function exactLineCurrents(index: InventoryIndex): Map<string, Complex[]> {
  const currents = new Map(index.inventory.equipment.map((part) => [part.id, [zero, zero, zero]]));
  for (const outlet of index.inventory.outlets) {
    const [feeder, ...above] = index.pathOfOutlet.get(outlet.id) ?? [];
    if (feeder === undefined) throw new Error('no feeder');
    let flow = currentsOfOutlet(outlet, systemOf(index, feeder));
    let below = feeder;
    put(currents, feeder, flow);
    for (const part of above) {
      flow = primaryCurrents(below, systemOf(index, below), systemOf(index, part), flow);
      put(currents, part, flow);
      below = part;
    }
  }
  return currents;
}

function put(currents: Map<string, Complex[]>, part: Equipment, flow: readonly Complex[]) {
  const before = currents.get(part.id) ?? [];
  currents.set(
    part.id,
    before.map((current, line) => add(current, flow[line] ?? zero)),
  );
}

function systemOf(index: InventoryIndex, part: Equipment): SupplySystem {
  const system = index.systemOfEquipment.get(part.id);
  if (system === null || system === undefined) throw new Error('no system');
  return system;
}

function voltsOf(system: SupplySystem): Complex[] {
  return ['L1', 'L2', 'L3'].map((name) => {
    const line = system.lines.find((one) => one.name === name);
    if (line === undefined) return zero;
    const angle = (line.angleDeg * Math.PI) / 180;
    return [line.voltageV * Math.cos(angle), line.voltageV * Math.sin(angle)];
  });
}

function currentsOfOutlet(outlet: Outlet, system: SupplySystem): Complex[] {
  const pattern = configuration(outlet.configurationId);
  if (pattern === null || outlet.lines === null) throw new Error('unknown outlet');
  const volts = voltsOf(system);
  const flow: Complex[] = [zero, zero, zero];
  const lines = outlet.lines.map((name) => ['L1', 'L2', 'L3'].indexOf(name));
  const [a = 0, b = 0] = lines;
  if (lines.length === 2 && !pattern.terminals.includes('N')) {
    const between = subtract(volts[a] ?? zero, volts[b] ?? zero);
    const current = scaled(between, pattern.ratedA / magnitude(between));
    flow[a] = current;
    flow[b] = scaled(current, -1);
    return flow;
  }
  // Line to neutral, or three balanced lines: each line's rated amperes in phase with its volts.
  for (const line of lines) {
    const v = volts[line] ?? zero;
    flow[line] = scaled(v, pattern.ratedA / magnitude(v));
  }
  return flow;
}

function primaryCurrents(
  below: Equipment,
  secondary: SupplySystem,
  primary: SupplySystem,
  flow: readonly Complex[],
): Complex[] {
  if (below.transformer === null) return [...flow];
  const from = voltsOf(secondary);
  const to = voltsOf(primary);
  const powers = flow.map((current, line) => times(from[line] ?? zero, conjugate(current)));
  const result: Complex[] = [zero, zero, zero];
  const feed = (a: number, b: number, power: Complex) => {
    const current = currentOf(power, subtract(to[a] ?? zero, to[b] ?? zero));
    result[a] = add(result[a] ?? zero, current);
    result[b] = subtract(result[b] ?? zero, current);
  };
  const { connection } = below.transformer;
  if (connection === 'centreTapped') {
    const [a = 'L1', b = 'L2'] = below.lines ?? [];
    feed(Number(a[1]) - 1, Number(b[1]) - 1, powers.reduce(add, zero));
  } else if (connection === 'deltaWye') {
    // The secondary lags by 30 degrees: IEEE C57.12.00, vector group Dyn1 of IEC 60076-1.
    for (const phase of [0, 1, 2]) feed(phase, (phase + 2) % 3, powers[phase] ?? zero);
  } else {
    for (const phase of [0, 1, 2]) result[phase] = currentOf(powers[phase] ?? zero, to[phase] ?? zero);
  }
  return result;
}

/** The marina without loads beside the outlets, everything in use. */
function fullyUsed(index: InventoryIndex) {
  const equipment = index.inventory.equipment.map((one) => ({ ...one, otherLoads: [] }));
  const bare = marinaOf(equipment, index.inventory.outlets);
  const uses = index.inventory.outlets.map((outlet) => use(outlet.id, 0, 1));
  return { bare, demands: demandAt(bare, everyRating, uses, 0) };
}

describe('line currents against phasor sums', () => {
  it('never fall below the exact currents, in lines and neutral', () => {
    fc.assert(
      fc.property(anyMarina({ everythingKnown: true }), (index) => {
        const { bare, demands } = fullyUsed(index);
        const exact = exactLineCurrents(bare);
        for (const { rated } of demands) {
          const currents = exact.get(rated.equipmentId) ?? [];
          for (const [line, name] of (['L1', 'L2', 'L3'] as const).entries()) {
            const modelled = rated.lineA[name];
            if (modelled === undefined) continue;
            expect(modelled).toBeGreaterThanOrEqual(magnitude(currents[line] ?? zero) - 1e-6);
          }
          const neutral = rated.limits.find((limit) => limit.kind === 'neutral');
          if (neutral === undefined) continue;
          expect(neutral.actual).toBeGreaterThanOrEqual(magnitude(currents.reduce(add, zero)) - 1e-6);
        }
      }),
      { numRuns: 500 },
    );
  });

  it('are exact on the supply that feeds the outlets', () => {
    fc.assert(
      fc.property(anyMarina({ everythingKnown: true }), (index) => {
        const { bare, demands } = fullyUsed(index);
        const exact = exactLineCurrents(bare);
        for (const { rated } of demands) {
          if (!rated.equipmentId.startsWith('feeder')) continue;
          const currents = exact.get(rated.equipmentId) ?? [];
          for (const [line, name] of (['L1', 'L2', 'L3'] as const).entries()) {
            const modelled = rated.lineA[name];
            if (modelled !== undefined) expect(modelled).toBeCloseTo(magnitude(currents[line] ?? zero), 6);
          }
        }
      }),
    );
  });

  it('are VA / (sqrt(3) V) above a balanced delta-wye transformer', () => {
    // 9 x 30 A at 120 V is 32,400 VA: 38.97 A a line at 480 V (arithmetic).
    const equipment = [
      part('service', 'service', null, { systemId: '480-delta' }),
      part('transformer', 'transformer', 'service', {
        systemId: '208Y/120',
        transformer: { ratedKva: 45, connection: 'deltaWye', percentR: null, percentX: null },
      }),
    ];
    const outlets = [0, 1, 2].flatMap((i) =>
      (['L1', 'L2', 'L3'] as const).map((line) => outletOn('transformer', `${line}-${i}`, 'L5-30', [line])),
    );
    const index = marinaOf(equipment, outlets);
    const uses = outlets.map((outlet) => use(outlet.id, 0, 1));
    const [service, transformer] = demandAt(index, everyRating, uses, 0);
    for (const line of ['L1', 'L2', 'L3'] as const) {
      expect(service?.rated.lineA[line]).toBeCloseTo(32400 / (Math.sqrt(3) * 480), 9);
    }
    const windings = transformer?.rated.limits.filter((limit) => limit.kind === 'winding') ?? [];
    expect(windings.map(({ actual, limit, unit }) => [Math.round(actual * 1e6) / 1e6, limit, unit])).toEqual([
      [10.8, 15, 'kVA'],
      [10.8, 15, 'kVA'],
      [10.8, 15, 'kVA'],
    ]);
  });

  it('cover the windings of a high-leg bank, its delta open on either side or closed', () => {
    const lines = ['L1', 'L2', 'L3'] as const;
    const anyLoad = fc.constantFrom(
      ...lines.map((line) => ['L5-30', [line]] as const),
      ...([0, 1, 2] as const).map((i) => ['L6-30', [lines[i], lines[(i + 1) % 3] ?? 'L1']] as const),
      ['SS2-50', ['L1', 'L3']] as const,
    );
    fc.assert(
      fc.property(fc.array(anyLoad, { minLength: 1, maxLength: 8 }), (loads) => {
        const bank = part('bank', 'service', null, {
          systemId: '240/120-high-leg-delta',
          transformer: { ratedKva: 75, connection: 'highLegBank', percentR: null, percentX: null },
        });
        const outlets = loads.map(([pattern, on], i) => outletOn('bank', `o${i}`, pattern, on));
        const { bare, demands } = fullyUsed(marinaOf([bank], outlets));
        const [i1 = zero, i2 = zero, i3 = zero] = exactLineCurrents(bare).get('bank') ?? [];
        const all = add(add(i1, i2), i3);
        // `half` flows from neutral to L1; the other half and the power units follow by Kirchhoff. Closed: the voltage
        // drops of three like units add up to nothing round the delta.
        const closed = scaled(add(add(scaled(i1, 2.5), scaled(i2, 1.5)), scaled(i3, 0.5)), 1 / 3);
        let half = 0;
        let power = 0;
        for (const h1 of [add(i1, i2), i1, closed]) {
          half = Math.max(half, magnitude(h1), magnitude(subtract(h1, all)));
          power = Math.max(power, magnitude(subtract(h1, i1)), magnitude(subtract(subtract(h1, i1), i2)));
        }
        const kva = (name: string) => demands[0]?.rated.limits.find(({ winding }) => winding === name)?.actual ?? -1;
        expect(Math.max(kva('L1-N half'), kva('L3-N half'))).toBeGreaterThanOrEqual((half * 120) / 1000 - 1e-9);
        expect(Math.max(kva('L1-L2'), kva('L2-L3'))).toBeGreaterThanOrEqual((power * 240) / 1000 - 1e-9);
      }),
    );
  });
});

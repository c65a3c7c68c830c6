import { describe, test } from 'vitest';
import { usualAssumptions } from '../../../../core/electrical/network/assumptions.ts';
import { marinaNetwork } from '../../../../core/electrical/network/marina-network.ts';
import type { OutletLoad } from '../../../../core/electrical/network/outlet-loads.ts';
import type { PowerFlowElement, PowerFlowNetwork } from '../../../../core/electrical/power-flow/network.ts';
import type { Inventory } from '../../../../core/inventory/inventory.ts';
import { expectSimulated, isSimulatorInstalled } from '../power-flow/simulator.ts';
import {
  centreTapped,
  conductor,
  feeder,
  legalIndex,
  linear,
  longDock,
  marinaOf,
  outlet,
  part,
  service,
  threePhase,
} from './marinas.ts';

function built(inventory: Inventory, loads: readonly OutletLoad[]): PowerFlowNetwork {
  const { network, findings } = marinaNetwork(legalIndex(inventory), loads, usualAssumptions);
  if (findings.length > 0) throw new Error(findings.map(({ message }) => message).join(' '));
  return network;
}

/** The network with one conductor of a line gone: a neutral broken on the pier. */
function withoutConductor({ elements }: PowerFlowNetwork, lineId: string, name: string): PowerFlowNetwork {
  let broken = 0;
  const kept = elements.map((element): PowerFlowElement => {
    if (element.kind !== 'line' || element.id !== lineId) return element;
    const at = element.conductors.findIndex((each) => each.name === name);
    broken = at;
    const without = (matrix: readonly (readonly number[])[]) =>
      matrix.filter((_, i) => i !== at).map((row) => row.filter((_, j) => j !== at));
    return {
      ...element,
      conductors: element.conductors.filter((_, i) => i !== at),
      resistanceOhm: without(element.resistanceOhm),
      reactanceOhm: without(element.reactanceOhm),
    };
  });
  if (broken <= 0) throw new Error(`no ${name} in ${lineId}`);
  return { elements: kept };
}

const pierOutlets = [
  outlet('one', 'f', 'L5-30', ['L1']),
  outlet('two', 'f', 'L5-30', ['L2']),
  outlet('both', 'g', 'SS2-50', ['L1', 'L2']),
];
const pier = (reducedNeutral: boolean): Inventory => {
  const limits = reducedNeutral ? { conductorAmpacityA: 200, neutralAmpacityA: 100 } : {};
  return marinaOf(
    [
      service('480Y/277'),
      centreTapped('service', 75),
      part('panel', 'panelboard', 'transformer', { breakerA: 300 }),
      feeder('f', 'panel', conductor('3/0', 60), limits),
      feeder('g', 'f', conductor('1/0', 45, { material: 'aluminium' })),
    ],
    pierOutlets,
  );
};
const pierLoads = [
  linear('one', { 'L1-N': 3200 }),
  linear('two', { 'L1-N': 700 }, 1),
  linear('both', { 'L1-N': 1500, 'L2-N': 400, 'L1-L2': 5000 }),
];
const threeLines = (transformer: 'deltaWye' | 'wyeWye' | 'highLegBank', systemId: string): Inventory =>
  marinaOf(
    [
      service('480Y/277'),
      threePhase(systemId, transformer),
      feeder('f', 'transformer', conductor('250', 80)),
      part('b', 'branchCircuit', 'f', { conductor: conductor('6', 25) }),
    ],
    [
      outlet('x', 'f', 'SS2-50', ['L1', 'L2']),
      outlet('y', 'b', 'SS2-50', ['L3', 'L1']),
      outlet('z', 'b', 'L5-30', ['L3']),
      outlet('w', 'f', 'PS-100-120/208-4P5W', ['L1', 'L2', 'L3']),
    ],
  );
const boatsOf240 = [linear('x', { 'L1-L2': 9000 }), linear('y', { 'L1-L2': 6000 }, 0.95)];
const mixed = [
  ...boatsOf240,
  linear('z', { 'L1-N': 2800 }, 0.8),
  linear('w', { 'L1-N': 4000, 'L2-N': 1000, 'L2-L3': 8000 }),
];

const networks: Record<string, PowerFlowNetwork> = {
  'a centre-tapped transformer and a pier with unequal legs': built(pier(false), pierLoads),
  'the same pier with a neutral of half the ampacity': built(pier(true), pierLoads),
  'a neutral broken in the first span of the pier': withoutConductor(built(pier(false), pierLoads), 'line/f', 'N'),
  'a neutral broken in the second span of the pier': withoutConductor(built(pier(false), pierLoads), 'line/g', 'N'),
  '240 V boats alone on 208Y/120 behind a delta-wye transformer': built(threeLines('deltaWye', '208Y/120'), boatsOf240),
  'boats of every kind on 208Y/120 behind a delta-wye transformer': built(threeLines('deltaWye', '208Y/120'), mixed),
  'boats of every kind on 208Y/120 behind a wye-wye transformer': built(threeLines('wyeWye', '208Y/120'), mixed),
  'a high-leg delta bank with load on its halves and its high leg': built(
    threeLines('highLegBank', '240/120-high-leg-delta'),
    mixed,
  ),
  'a three-wire 480 V service with its own boats and a transformer': {
    elements: [
      ...built(
        marinaOf(
          [
            service('480-delta'),
            feeder('q', 'service', conductor('2', 120)),
            part('transformer', 'transformer', 'q', {
              systemId: '208Y/120',
              transformer: { ratedKva: 75, connection: 'deltaWye', percentR: 2, percentX: 4 },
              earthing: 'groundedNeutral',
            }),
            feeder('f', 'transformer', conductor('4/0', 50)),
          ],
          [outlet('big', 'q', 'PS-100-480-3P4W', ['L1', 'L2', 'L3']), outlet('z', 'f', 'L5-30', ['L2'])],
        ),
        [linear('big', { 'L1-L2': 20_000, 'L2-L3': 4000 }), linear('z', { 'L1-N': 3000 })],
      ).elements,
      // The simulator wants every circuit tied to ground.
      { kind: 'impedance', id: 'tie', from: 'star/service', to: '0', resistanceOhm: 50, reactanceOhm: 0 },
    ],
  },
  'a long dock of 40 pedestals, every one loaded': built(
    longDock(40, 9),
    Array.from({ length: 40 }, (_, at) => [
      linear(`a${at + 1}`, { 'L1-N': 900 + 20 * at }),
      linear(`b${at + 1}`, { 'L1-N': 300, 'L2-N': 500 - 5 * at, 'L1-L2': 1500 }, 0.85),
    ]).flat(),
  ),
};
const at50Hz = built(
  marinaOf(
    [
      service('400Y/230'),
      feeder('f', 'service', conductor('95', 140, { sizeUnit: 'mm2' })),
      part('b', 'branchCircuit', 'f', { conductor: conductor('10', 30, { sizeUnit: 'mm2' }), lines: ['L2'] }),
    ],
    [
      outlet('one', 'b', 'IEC-32-2P+E-230-6h', ['L2']),
      outlet('three', 'f', 'IEC-63-3P+N+E-400-6h', ['L1', 'L2', 'L3']),
    ],
  ),
  [linear('one', { 'L1-N': 6500 }), linear('three', { 'L1-N': 9000, 'L2-N': 2000, 'L3-N': 5000 })],
);

describe.skipIf(!isSimulatorInstalled)('marinas built from nameplates against the circuit simulator ngspice', () => {
  test.each(Object.entries(networks))('%s', (_name, network) => expectSimulated(network, 60));

  test('a 50 Hz pier of 400Y/230 V in metric sizes', () => expectSimulated(at50Hz, 50));
});

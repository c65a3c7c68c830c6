import { describe, test } from 'vitest';
import type { PowerFlowElement, PowerFlowNetwork } from '../../../../core/electrical/power-flow/network.ts';
import { expectSimulated, isSimulatorInstalled } from './simulator.ts';

const ohms = (id: string, from: string, to: string, resistanceOhm: number, reactanceOhm = 0): PowerFlowElement => ({
  kind: 'load',
  id,
  from,
  to,
  demand: { model: 'constantImpedance', resistanceOhm, reactanceOhm },
});
const wire = (id: string, from: string, to: string, resistanceOhm: number, reactanceOhm = 0): PowerFlowElement => ({
  kind: 'impedance',
  id,
  from,
  to,
  resistanceOhm,
  reactanceOhm,
});
const source = (id: string, plus: string, minus: string, voltageV: number, angleDeg = 0): PowerFlowElement => ({
  kind: 'source',
  id,
  plus,
  minus,
  voltageV,
  angleDeg,
});
/** Equal conductors, equally coupled. */
const cable = (id: string, names: readonly string[], from: string, to: string, ohm: number): PowerFlowElement => ({
  kind: 'line',
  id,
  conductors: names.map((name) => ({ name, from: `${from}.${name}`, to: `${to}.${name}` })),
  resistanceOhm: names.map((_, i) => names.map((__, j) => (i === j ? ohm : 0.1 * ohm))),
  reactanceOhm: names.map((_, i) => names.map((__, j) => (i === j ? 0.8 * ohm : 0.3 * ohm))),
});
const splitPhase = [source('s1', 's.1', 's.n', 120), source('s2', 's.n', 's.2', 120), wire('bond', 's.n', '0', 0.01)];
const legs = ['1', 'n', '2'];

const networks: Record<string, PowerFlowNetwork> = {
  'unequal legs on a split-phase cable': {
    elements: [
      ...splitPhase,
      cable('feeder', legs, 's', 'p', 0.05),
      ohms('one', 'p.1', 'p.n', 4, 1),
      ohms('two', 'p.n', 'p.2', 15, 2),
      ohms('both', 'p.1', 'p.2', 10, 4),
    ],
  },
  'a broken neutral': {
    elements: [
      ...splitPhase,
      cable('feeder', ['1', '2'], 's', 'p', 0.05),
      ohms('one', 'p.1', 'p.n', 12, 1),
      ohms('two', 'p.n', 'p.2', 30, 2),
    ],
  },
  '240 V boats across the lines of 208Y/120': {
    elements: [
      source('a', 's.a', 's.n', 120),
      source('b', 's.b', 's.n', 120, -120),
      source('c', 's.c', 's.n', 120, 120),
      wire('bond', 's.n', '0', 0.01),
      cable('feeder', ['a', 'b', 'c', 'n'], 's', 'p', 0.04),
      cable('branch', ['a', 'b', 'n'], 'p', 'q', 0.06),
      ohms('boat 1', 'q.a', 'q.b', 5.5, 2),
      ohms('boat 2', 'p.b', 'p.c', 8, 1),
      ohms('boat 3', 'p.c', 'p.n', 6, 3),
      ohms('boat 4', 'q.a', 'q.n', 9, 0),
    ],
  },
  'a centre-tapped transformer with unequal legs and an earth rod': {
    elements: [
      source('s', 'h', '0', 7200),
      {
        kind: 'transformer',
        id: 'T',
        windings: [
          { name: 'h', plus: 'h', minus: '0', ratedV: 7200, resistanceOhm: 12.4416, reactanceOhm: 28.201 },
          { name: 'x1', plus: 's.1', minus: 's.n', ratedV: 120, resistanceOhm: 0.0069, reactanceOhm: 0.0039 },
          { name: 'x2', plus: 's.n', minus: 's.2', ratedV: 120, resistanceOhm: 0.0069, reactanceOhm: 0.0039 },
        ],
      },
      wire('rod', 's.n', '0', 25),
      cable('service', legs, 's', 'p', 0.02),
      wire('leak', 'p.1', '0', 4000),
      ohms('one', 'p.1', 'p.n', 2, 0.4),
      ohms('two', 'p.n', 'p.2', 3, 0.7),
      ohms('both', 'p.1', 'p.2', 6, 1),
    ],
  },
  'a delta-wye bank, one phase heavily loaded': {
    elements: [
      source('a', 'h.a', '0', 277),
      source('b', 'h.b', '0', 277, -120),
      source('c', 'h.c', '0', 277, 120),
      ...(['ac', 'ba', 'cb'] as const).map(
        (pair, at): PowerFlowElement => ({
          kind: 'transformer',
          id: `T${at}`,
          windings: [
            {
              name: 'h',
              plus: `h.${pair[0]}`,
              minus: `h.${pair[1]}`,
              ratedV: 480,
              resistanceOhm: 0.02,
              reactanceOhm: 0.06,
            },
            { name: 'x', plus: `x.${pair[0]}`, minus: 'x.n', ratedV: 120, resistanceOhm: 0.002, reactanceOhm: 0.01 },
          ],
        }),
      ),
      wire('bond', 'x.n', '0', 0.02),
      cable('feeder', ['a', 'b', 'c', 'n'], 'x', 'p', 0.03),
      ohms('a', 'p.a', 'p.n', 1, 0.2),
      ohms('b', 'p.b', 'p.n', 20, 3),
      ohms('ca', 'p.c', 'p.a', 7, 1),
    ].map((element) => (element.kind === 'load' ? { ...element, id: `load ${element.id}` } : element)),
  },
  'a dock of 40 pedestals': {
    elements: [
      ...splitPhase,
      ...Array.from({ length: 40 }, (_, at): PowerFlowElement[] => [
        cable(`span ${at}`, legs, at === 0 ? 's' : `p${at}`, `p${at + 1}`, 0.004),
        ohms(`one ${at}`, `p${at + 1}.1`, `p${at + 1}.n`, 40 + at, 5),
        ohms(`two ${at}`, `p${at + 1}.n`, `p${at + 1}.2`, 90 - at, 9),
        ...(at % 4 === 0 ? [ohms(`both ${at}`, `p${at + 1}.1`, `p${at + 1}.2`, 60, 12)] : []),
      ]).flat(),
    ],
  },
};

describe.skipIf(!isSimulatorInstalled)('power flow against the circuit simulator ngspice', () => {
  test.each(Object.entries(networks))('%s', (_name, network) => expectSimulated(network, 60));
});

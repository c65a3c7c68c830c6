import { performance } from 'node:perf_hooks';
import type { PowerFlowElement, PowerFlowNetwork } from '../../core/electrical/power-flow/network.ts';
import { solvePowerFlow } from '../../core/electrical/power-flow/power-flow.ts';

export interface PowerFlowFigures {
  readonly name: string;
  readonly medianMs: number;
  readonly slowestMs: number;
  readonly iterations: number;
}

/** Power flow of trees of 100, 1,000 and 10,000 terminals: lines, neutral, constant-power loads. */
export async function run(): Promise<PowerFlowFigures[]> {
  const runs = [
    { terminals: 100, times: 400 },
    { terminals: 1_000, times: 100 },
    { terminals: 10_000, times: 20 },
  ];
  return runs.map(({ terminals, times }) =>
    measure(`power flow, tree of ${terminals} terminals`, tree(terminals), times),
  );
}

function measure(name: string, network: PowerFlowNetwork, times: number): PowerFlowFigures {
  const warmUp = Math.ceil(times / 2);
  const taken: number[] = [];
  let iterations = 0;
  for (let at = 0; at < warmUp + times; at++) {
    const start = performance.now();
    const result = solvePowerFlow(network);
    if (at >= warmUp) taken.push(performance.now() - start);
    if (result.status !== 'solved') throw new Error(`${name}: ${result.problems[0]?.message}`);
    iterations = result.iterations;
  }
  taken.sort((a, b) => a - b);
  return { name, medianMs: taken[taken.length >> 1] ?? 0, slowestMs: taken.at(-1) ?? 0, iterations };
}

/** Split-phase places of three terminals (two legs and a neutral), each fed from one before it. */
function tree(terminals: number): PowerFlowNetwork {
  let seed = 7;
  const random = (): number => {
    seed = (seed * 1103515245 + 12345) & 0x7fffffff;
    return seed / 0x7fffffff;
  };
  const elements: PowerFlowElement[] = [
    { kind: 'source', id: 's1', plus: 'p0.1', minus: 'p0.n', voltageV: 120, angleDeg: 0 },
    { kind: 'source', id: 's2', plus: 'p0.n', minus: 'p0.2', voltageV: 120, angleDeg: 0 },
    { kind: 'impedance', id: 'earth', from: 'p0.n', to: '0', resistanceOhm: 0, reactanceOhm: 0 },
  ];
  const places = Math.round(terminals / 3);
  // The feeder is sized with the number of places it feeds, as a real one is.
  const ohm = 1 / places ** 2;
  const mutualOhm = 0.3 * ohm;
  for (let at = 1; at < places; at++) {
    const from = Math.floor(Math.max(0, at - 1 - random() * 4));
    elements.push({
      kind: 'line',
      id: `line${at}`,
      conductors: ['1', '2', 'n'].map((name) => ({ name, from: `p${from}.${name}`, to: `p${at}.${name}` })),
      resistanceOhm: [
        [ohm, 0, 0],
        [0, ohm, 0],
        [0, 0, ohm],
      ],
      reactanceOhm: [
        [ohm, mutualOhm, mutualOhm],
        [mutualOhm, ohm, mutualOhm],
        [mutualOhm, mutualOhm, ohm],
      ],
    });
    for (const [from2, to2, share] of [
      ['1', 'n', 1],
      ['n', '2', 0.6],
      ['1', '2', 2],
    ] as const) {
      if (random() < 0.4) continue;
      elements.push({
        kind: 'load',
        id: `load${at}.${from2}${to2}`,
        from: `p${at}.${from2}`,
        to: `p${at}.${to2}`,
        demand: { model: 'constantPower', powerW: 1200 * share * random(), reactivePowerVar: 400 * share * random() },
      });
    }
  }
  return { elements };
}

import { type DisjointSets, disjointSets } from './disjoint-sets.ts';
import {
  groundTerminal,
  type LoadElement,
  type PowerFlowElement,
  type PowerFlowNetwork,
  type TransformerElement,
} from './network.ts';
import type { PowerFlowProblem } from './problems.ts';

/** What is joined to what, before any figure is computed. Terminals are numbered; ground is 0. */
export interface Topology {
  readonly terminals: readonly string[];
  readonly indexOf: ReadonlyMap<string, number>;
  /** For each terminal, the terminal that its volts are counted from: ground, or the first of its own island. */
  readonly referenceOf: Int32Array;
  /** Whether a source reaches the terminal, through conductors or through a transformer. */
  readonly fed: Uint8Array;
  /** Transformers with no winding that a source reaches: they take no part. */
  readonly deadTransformers: ReadonlySet<string>;
  readonly problems: readonly PowerFlowProblem[];
}

export function readTopology(network: PowerFlowNetwork): Topology {
  const { terminals, indexOf } = numberTerminals(network);
  const index = (terminal: string): number => indexOf.get(terminal) ?? 0;

  const islands = disjointSets(terminals.length);
  const ideal = disjointSets(terminals.length);
  const problems: PowerFlowProblem[] = [];
  for (const element of network.elements) {
    for (const [a, b] of joinedPairs(element)) islands.join(index(a), index(b));
    const link = idealLink(element);
    if (link !== null && !ideal.join(index(link[0]), index(link[1]))) problems.push(idealLoop(element, link));
  }

  const { fed, deadTransformers } = findFed(network, terminals.length, index);
  for (const element of network.elements) {
    if (element.kind === 'load' && !fed[index(element.from)] && !fed[index(element.to)]) {
      problems.push(deadLoad(element));
    }
  }
  return { terminals, indexOf, referenceOf: references(islands, terminals.length), fed, deadTransformers, problems };
}

function numberTerminals(network: PowerFlowNetwork): { terminals: string[]; indexOf: Map<string, number> } {
  const terminals = [groundTerminal];
  const indexOf = new Map([[groundTerminal, 0]]);
  for (const element of network.elements) {
    for (const pair of terminalPairs(element)) {
      for (const terminal of pair) {
        if (indexOf.has(terminal)) continue;
        indexOf.set(terminal, terminals.length);
        terminals.push(terminal);
      }
    }
  }
  return { terminals, indexOf };
}

type Pair = readonly [string, string];

/** The two ends of every conductor, winding or port of an element. */
function terminalPairs(element: PowerFlowElement): readonly Pair[] {
  switch (element.kind) {
    case 'source':
      return [[element.plus, element.minus]];
    case 'line':
      return element.conductors.map(({ from, to }): Pair => [from, to]);
    case 'transformer':
      return element.windings.map(({ plus, minus }): Pair => [plus, minus]);
    case 'admittance':
      return element.ports.map(({ plus, minus }): Pair => [plus, minus]);
    default:
      return [[element.from, element.to]];
  }
}

/** The ends between which an element settles a voltage. */
function joinedPairs(element: PowerFlowElement): readonly Pair[] {
  if (element.kind === 'switch' && !element.closed) return [];
  if (element.kind === 'load' && !takesCurrent(element)) return [];
  return terminalPairs(element);
}

function takesCurrent({ demand }: LoadElement): boolean {
  return demand.model === 'constantImpedance' || demand.powerW !== 0 || demand.reactivePowerVar !== 0;
}

/** The ends that an element without impedance ties together. */
function idealLink(element: PowerFlowElement): Pair | null {
  switch (element.kind) {
    case 'source':
      return [element.plus, element.minus];
    case 'switch':
      return element.closed ? [element.from, element.to] : null;
    case 'impedance':
      return element.resistanceOhm === 0 && element.reactanceOhm === 0 ? [element.from, element.to] : null;
    case 'line': {
      const [only] = element.conductors;
      const isIdeal =
        element.conductors.length === 1 && !element.resistanceOhm[0]?.[0] && !element.reactanceOhm[0]?.[0];
      return only !== undefined && isIdeal ? [only.from, only.to] : null;
    }
    default:
      return null;
  }
}

function idealLoop(element: PowerFlowElement, [a, b]: Pair): PowerFlowProblem {
  return {
    reason: 'idealLoop',
    elementId: element.id,
    terminal: a,
    message:
      `${element.kind} "${element.id}" closes a ring of sources or of links without impedance from "${a}" to "${b}": ` +
      'give one of them an impedance, or open the ring.',
  };
}

/**
 * Follows sources through conductors and transformers, not through loads and not through ground, which every circuit
 * shares.
 */
function findFed(
  network: PowerFlowNetwork,
  terminalCount: number,
  index: (terminal: string) => number,
): { fed: Uint8Array; deadTransformers: Set<string> } {
  const conductive = disjointSets(terminalCount);
  const starts: number[] = [];
  const transformers: TransformerElement[] = [];
  for (const element of network.elements) {
    if (element.kind === 'load') continue;
    if (element.kind === 'transformer') {
      transformers.push(element);
      continue;
    }
    for (const [a, b] of joinedPairs(element)) {
      const from = index(a);
      const to = index(b);
      if (from !== 0 && to !== 0) conductive.join(from, to);
      if (element.kind === 'source') starts.push(from, to);
    }
  }
  const fedRoots = new Uint8Array(terminalCount);
  const unitsAt = new Map<number, number[]>();
  transformers.forEach((unit, at) => {
    for (const root of windingRoots(unit, conductive, index)) {
      const units = unitsAt.get(root);
      if (units === undefined) unitsAt.set(root, [at]);
      else units.push(at);
    }
  });
  const deadTransformers = new Set(transformers.map(({ id }) => id));
  const waiting = starts.map((terminal) => conductive.find(terminal));
  for (let root = waiting.pop(); root !== undefined; root = waiting.pop()) {
    if (root === 0 || fedRoots[root]) continue;
    fedRoots[root] = 1;
    for (const at of unitsAt.get(root) ?? []) {
      const unit = transformers[at];
      if (unit === undefined || !deadTransformers.delete(unit.id)) continue;
      waiting.push(...windingRoots(unit, conductive, index));
    }
  }
  const fed = new Uint8Array(terminalCount);
  for (let terminal = 1; terminal < terminalCount; terminal++) fed[terminal] = fedRoots[conductive.find(terminal)] ?? 0;
  return { fed, deadTransformers };
}

function windingRoots(
  unit: TransformerElement,
  conductive: DisjointSets,
  index: (terminal: string) => number,
): number[] {
  const ends = unit.windings.flatMap(({ plus, minus }) => [index(plus), index(minus)]);
  return ends.filter((end) => end !== 0).map((end) => conductive.find(end));
}

/** The end of a load from which no conductor leads round to its other end, or null where its circuit is closed. */
export function looseEnd(network: PowerFlowNetwork, topology: Topology, load: LoadElement): string | null {
  const joined = disjointSets(topology.terminals.length);
  const index = (terminal: string): number => topology.indexOf.get(terminal) ?? 0;
  for (const element of network.elements) {
    if (element.id === load.id) continue;
    for (const [a, b] of joinedPairs(element)) joined.join(index(a), index(b));
  }
  if (joined.find(index(load.from)) === joined.find(index(load.to))) return null;
  return topology.fed[index(load.from)] ? load.to : load.from;
}

function deadLoad({ id, from, to }: LoadElement): PowerFlowProblem {
  return {
    reason: 'deadLoad',
    elementId: id,
    terminal: from === groundTerminal ? to : from,
    message: `No source reaches load "${id}" between "${from}" and "${to}": join it to a live line, or leave it out.`,
  };
}

function references(islands: DisjointSets, terminalCount: number): Int32Array {
  // Joining keeps the lowest number as root, so ground stands for everything joined to it.
  return Int32Array.from({ length: terminalCount }, (_, terminal) => islands.find(terminal));
}

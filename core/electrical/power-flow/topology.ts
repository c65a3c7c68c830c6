import { type DisjointSets, disjointSets } from './disjoint-sets.ts';
import { groundTerminal, type LoadElement, type PowerFlowElement, type PowerFlowNetwork } from './network.ts';
import type { PowerFlowProblem } from './problems.ts';

/** What is joined to what, before any figure is computed. Terminals are numbered; ground is 0. */
export interface Topology {
  readonly terminals: readonly string[];
  /**
   * Both ends, by number, of every conductor, winding or port: pair after pair, for element e from `endStart[e]` up to
   * `endStart[e + 1]`.
   */
  readonly ends: Int32Array;
  readonly endStart: Int32Array;
  /** For each terminal, the terminal that its volts are counted from: ground, or the first of its own island. */
  readonly referenceOf: Int32Array;
  /** Whether a source reaches the terminal, through conductors or through a transformer. */
  readonly fed: Uint8Array;
  /** Transformers with no winding that a source reaches: they take no part. */
  readonly deadTransformers: ReadonlySet<string>;
  readonly problems: readonly PowerFlowProblem[];
}

export function readTopology(network: PowerFlowNetwork): Topology {
  const numbered = numberTerminals(network);
  const { terminals, ends, endStart } = numbered;
  const islands = disjointSets(terminals.length);
  const ideal = disjointSets(terminals.length);
  const problems: PowerFlowProblem[] = [];
  const { fed, deadTransformers } = findFed(network, numbered);
  network.elements.forEach((element, e) => {
    const first = endStart[e] as number;
    if (joinsItsEnds(element) && !deadTransformers.has(element.id)) {
      for (let at = first; at < (endStart[e + 1] as number); at += 2) {
        islands.join(ends[at] as number, ends[at + 1] as number);
      }
    }
    const a = ends[first] as number;
    const b = ends[first + 1] as number;
    if (isIdealLink(element) && !ideal.join(a, b)) {
      problems.push(idealLoop(element, terminals[a] ?? '', terminals[b] ?? ''));
    }
    if (element.kind === 'load' && !fed[a] && !fed[b]) problems.push(deadLoad(element));
  });
  return { ...numbered, referenceOf: references(islands, terminals.length), fed, deadTransformers, problems };
}

type Numbered = Pick<Topology, 'terminals' | 'ends' | 'endStart'>;

function numberTerminals(network: PowerFlowNetwork): Numbered {
  const terminals = [groundTerminal];
  const indexOf = new Map([[groundTerminal, 0]]);
  const ends: number[] = [];
  const endStart = new Int32Array(network.elements.length + 1);
  const addEnd = (terminal: string): void => {
    let index = indexOf.get(terminal);
    if (index === undefined) {
      index = terminals.length;
      indexOf.set(terminal, index);
      terminals.push(terminal);
    }
    ends.push(index);
  };
  network.elements.forEach((element, e) => {
    switch (element.kind) {
      case 'source':
        addEnd(element.plus);
        addEnd(element.minus);
        break;
      case 'line':
        for (const { from, to } of element.conductors) {
          addEnd(from);
          addEnd(to);
        }
        break;
      case 'transformer':
      case 'admittance':
        for (const { plus, minus } of element.kind === 'transformer' ? element.windings : element.ports) {
          addEnd(plus);
          addEnd(minus);
        }
        break;
      default:
        addEnd(element.from);
        addEnd(element.to);
    }
    endStart[e + 1] = ends.length;
  });
  return { terminals, ends: Int32Array.from(ends), endStart };
}

/** Whether an element settles a voltage between its ends. */
function joinsItsEnds(element: PowerFlowElement): boolean {
  if (element.kind === 'switch') return element.closed;
  if (element.kind !== 'load') return true;
  const { demand } = element;
  return demand.model === 'constantImpedance' || demand.powerW !== 0 || demand.reactivePowerVar !== 0;
}

/** Whether an element ties its ends together without impedance. */
function isIdealLink(element: PowerFlowElement): boolean {
  switch (element.kind) {
    case 'source':
      return true;
    case 'switch':
      return element.closed;
    case 'impedance':
      return element.resistanceOhm === 0 && element.reactanceOhm === 0;
    case 'line':
      return element.conductors.length === 1 && !element.resistanceOhm[0]?.[0] && !element.reactanceOhm[0]?.[0];
    default:
      return false;
  }
}

function idealLoop(element: PowerFlowElement, a: string, b: string): PowerFlowProblem {
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
  { terminals, ends, endStart }: Numbered,
): { fed: Uint8Array; deadTransformers: Set<string> } {
  const terminalCount = terminals.length;
  const conductive = disjointSets(terminalCount);
  const starts: number[] = [];
  const units: { readonly id: string; readonly ends: Int32Array }[] = [];
  network.elements.forEach((element, e) => {
    if (element.kind === 'load') return;
    const own = ends.subarray(endStart[e], endStart[e + 1]);
    if (element.kind === 'transformer') units.push({ id: element.id, ends: own });
    else if (joinsItsEnds(element)) {
      for (let at = 0; at < own.length; at += 2) {
        const a = own[at] as number;
        const b = own[at + 1] as number;
        if (a !== 0 && b !== 0) conductive.join(a, b);
      }
    }
    if (element.kind === 'source') starts.push(...own);
  });
  const rootsOf = (unitEnds: Int32Array): number[] => Array.from(unitEnds, (end) => conductive.find(end));
  const unitsAt = new Map<number, number[]>();
  units.forEach((unit, at) => {
    for (const root of rootsOf(unit.ends)) unitsAt.set(root, [...(unitsAt.get(root) ?? []), at]);
  });

  const fedRoots = new Uint8Array(terminalCount);
  const deadTransformers = new Set(units.map(({ id }) => id));
  const waiting = starts.map((terminal) => conductive.find(terminal));
  for (let root = waiting.pop(); root !== undefined; root = waiting.pop()) {
    if (root === 0 || fedRoots[root]) continue;
    fedRoots[root] = 1;
    for (const at of unitsAt.get(root) ?? []) {
      const unit = units[at];
      if (unit !== undefined && deadTransformers.delete(unit.id)) waiting.push(...rootsOf(unit.ends));
    }
  }
  const fed = new Uint8Array(terminalCount);
  for (let terminal = 1; terminal < terminalCount; terminal++) fed[terminal] = fedRoots[conductive.find(terminal)] ?? 0;
  return { fed, deadTransformers };
}

/** The end of a load from which no conductor leads round to its other end, or null where its circuit is closed. */
export function looseEnd(network: PowerFlowNetwork, topology: Topology, load: LoadElement): string | null {
  const { terminals, ends, endStart, fed } = topology;
  const joined = disjointSets(terminals.length);
  const own = network.elements.indexOf(load);
  network.elements.forEach((element, e) => {
    if (e === own || !joinsItsEnds(element)) return;
    for (let at = endStart[e] as number; at < (endStart[e + 1] as number); at += 2) {
      joined.join(ends[at] as number, ends[at + 1] as number);
    }
  });
  const from = ends[endStart[own] as number] as number;
  const to = ends[(endStart[own] as number) + 1] as number;
  if (joined.find(from) === joined.find(to)) return null;
  return fed[from] ? load.to : load.from;
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
  const reference = new Int32Array(terminalCount);
  for (let terminal = 0; terminal < terminalCount; terminal++) reference[terminal] = islands.find(terminal);
  return reference;
}

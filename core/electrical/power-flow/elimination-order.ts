import type { PowerFlowNetwork } from './network.ts';
import type { Topology } from './topology.ts';

/** The order in which unknowns are eliminated, and the row that each would best be taken from. */
export interface EliminationOrder {
  readonly columnOfStep: Int32Array;
  /** For each column the row preferred as its pivot, -1 where any will do. */
  readonly preferredRow: Int32Array;
}

/** Which unknown stands for what, as the equations describe it. */
export interface UnknownNumbering {
  readonly unknownCount: number;
  readonly voltsUnknown: Int32Array;
  readonly branchUnknown: Int32Array;
  readonly coreUnknown: Int32Array;
}

/**
 * Orders unknowns from the far ends of the network towards its sources, whole places at a time, as one sums currents on
 * a tree by hand: a tree then fills in nothing beyond the conductors of one place. Volts at a place come from the row of
 * the branch that feeds it, the branch's amperes from the sum of currents at its far end.
 */
export function eliminationOrder(
  network: PowerFlowNetwork,
  topology: Topology,
  numbering: UnknownNumbering,
): EliminationOrder {
  const { voltsUnknown, branchUnknown, coreUnknown, unknownCount } = numbering;
  const { endStart, ends } = topology;
  const terminalCount = topology.terminals.length;
  const { level, fedBy } = levels(network, topology);

  const preferredRow = new Int32Array(unknownCount).fill(-1);
  const rank = new Int32Array(unknownCount);
  for (let terminal = 0; terminal < terminalCount; terminal++) {
    const volts = voltsUnknown[terminal] as number;
    if (volts >= 0) rank[volts] = 3 * (level[terminal] as number) + 2;
  }
  network.elements.forEach((_, element) => {
    const branch = branchUnknown[element] as number;
    if (branch < 0) return;
    let farthest = 0;
    const first = endStart[element] as number;
    const pairs = ((endStart[element + 1] as number) - first) >> 1;
    for (let pair = 0; pair < pairs; pair++) {
      const from = ends[first + 2 * pair] as number;
      const to = ends[first + 2 * pair + 1] as number;
      const far = (level[from] as number) > (level[to] as number) ? from : to;
      rank[branch + pair] = 3 * (level[far] as number) + 1;
      farthest = Math.max(farthest, level[far] as number);
      const volts = voltsUnknown[far] as number;
      if (volts < 0 || fedBy[far] !== first + 2 * pair) continue;
      preferredRow[volts] = branch + pair;
      preferredRow[branch + pair] = volts;
    }
    const core = coreUnknown[element] as number;
    if (core >= 0) rank[core] = 3 * farthest;
  });
  return { columnOfStep: byFallingRank(rank), preferredRow };
}

/** How many elements away from a source each terminal is, and the pair of ends through which it was first reached. */
function levels(
  network: PowerFlowNetwork,
  { terminals, endStart, ends }: Topology,
): { level: Int32Array; fedBy: Int32Array } {
  const terminalCount = terminals.length;
  const elementCount = network.elements.length;
  // Elements at each terminal. Ground is left out: every circuit shares it, so it says nothing about distance.
  const start = new Int32Array(terminalCount + 1);
  for (const end of ends) start[end + 1] = (start[end + 1] as number) + 1;
  for (let at = 0; at < terminalCount; at++) start[at + 1] = (start[at + 1] as number) + (start[at] as number);
  const cursor = start.slice(0, terminalCount);
  const place = new Int32Array(ends.length);
  const elementAt = new Int32Array(ends.length);
  // What spreads: 0 loads do not, 1 conductors do, 2 transformers do from winding to winding.
  const through = new Uint8Array(elementCount);
  network.elements.forEach(({ kind }, element) => {
    if (kind !== 'load' && kind !== 'admittance') through[element] = kind === 'transformer' ? 2 : 1;
  });
  for (let element = 0; element < elementCount; element++) {
    for (let at = endStart[element] as number; at < (endStart[element + 1] as number); at++) {
      const terminal = ends[at] as number;
      const slot = cursor[terminal] as number;
      cursor[terminal] = slot + 1;
      place[slot] = at;
      elementAt[slot] = element;
    }
  }

  const level = new Int32Array(terminalCount).fill(-1);
  level[0] = 0;
  const fedBy = new Int32Array(terminalCount).fill(-1);
  const seen = new Uint8Array(elementCount);
  const queue = new Int32Array(terminalCount);
  let head = 0;
  let tail = 0;
  const reach = (terminal: number, at: number, pair: number): void => {
    if ((level[terminal] as number) >= 0) return;
    level[terminal] = at;
    fedBy[terminal] = pair;
    queue[tail++] = terminal;
  };
  const spread = (): void => {
    while (head < tail) {
      const terminal = queue[head++] as number;
      const here = level[terminal] as number;
      for (let slot = start[terminal] as number; slot < (start[terminal + 1] as number); slot++) {
        const element = elementAt[slot] as number;
        if (seen[element] || !through[element]) continue;
        seen[element] = 1;
        const first = endStart[element] as number;
        const entered = (place[slot] as number) - first;
        // Across a line lies its other side, across a transformer its other windings.
        const acrossWindings = through[element] === 2;
        for (let at = first; at < (endStart[element + 1] as number); at++) {
          const offset = at - first;
          const isNear = acrossWindings ? offset >> 1 === entered >> 1 : (offset & 1) === (entered & 1);
          reach(ends[at] as number, isNear ? here : here + 1, first + 2 * (offset >> 1));
        }
      }
    }
  };
  network.elements.forEach(({ kind }, element) => {
    if (kind !== 'source') return;
    const first = endStart[element] as number;
    reach(ends[first] as number, 1, first);
    reach(ends[first + 1] as number, 1, first);
  });
  spread();
  for (let terminal = 1; terminal < terminalCount; terminal++) {
    reach(terminal, 1, -1);
    spread();
  }
  return { level, fedBy };
}

function byFallingRank(rank: Int32Array): Int32Array {
  let highest = 0;
  for (const value of rank) highest = Math.max(highest, value);
  const start = new Int32Array(highest + 2);
  for (const value of rank) start[highest - value + 1] = (start[highest - value + 1] as number) + 1;
  for (let at = 0; at <= highest; at++) start[at + 1] = (start[at + 1] as number) + (start[at] as number);
  const order = new Int32Array(rank.length);
  for (let unknown = 0; unknown < rank.length; unknown++) {
    const at = highest - (rank[unknown] as number);
    order[start[at] as number] = unknown;
    start[at] = (start[at] as number) + 1;
  }
  return order;
}

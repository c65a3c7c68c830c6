import { type Complex, divideComplex, fromPolar } from '../../complex.ts';
import type { LoadElement, PowerFlowElement, TransformerElement } from '../../power-flow/network.ts';
import type { LoadPort } from './circuit.ts';
import { type Factor, factorSymmetric, solveFactored } from './dense-symmetric.ts';

export type CircuitSolution = SolvedCircuit | UnsolvedCircuit;

export interface SolvedCircuit {
  readonly status: 'solved';
  /** V(from) - V(to); null where no conductor settles one of them. */
  readonly between: (from: string, to: string) => Complex | null;
  /** Through an impedance or a load, positive from its first end to the second; 0 in an open one. */
  readonly currentA: (elementId: string) => Complex;
  /** Into one winding of a transformer at its `plus`. */
  readonly windingA: (elementId: string, winding: string) => Complex;
}

export interface UnsolvedCircuit {
  readonly status: 'notConverged' | 'undetermined';
  /** The load that gets no steady volts, or the terminal that nothing settles. */
  readonly where: string;
}

export interface PreparedCircuit {
  /** Solves with these loads, and with these elements open. */
  readonly solve: (loads: readonly LoadElement[], open?: ReadonlySet<string>) => CircuitSolution;
  /**
   * Solves once without loads and once for one ampere of each port: what any amperes do is then their sum, each in phase
   * with its port's volts without load. A port without volts draws nothing.
   */
  readonly superpose: (
    ports: readonly LoadPort[],
    open?: ReadonlySet<string>,
  ) => ((amperesOf: readonly number[]) => SolvedCircuit) | null;
}

interface Branch {
  readonly id: string;
  readonly a: number;
  readonly b: number;
  readonly siemens: number;
}

/** Ports of one transformer with its admittances, row and column in the order of its windings. */
interface Coupled {
  readonly id: string;
  readonly names: readonly string[];
  readonly a: readonly number[];
  readonly b: readonly number[];
  readonly siemens: readonly (readonly number[])[];
}

interface Assembled {
  /** For each node its row in the matrix, or `held` or `floating`. */
  readonly unknownOf: Int32Array;
  readonly factored: Factor;
  /** Volts of held nodes. */
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly knownRe: Float64Array;
  readonly knownIm: Float64Array;
}

const mostIterations = 60;
const settled = 1e-13;
const floating = -1;
const held = -2;

/**
 * Prepares a hook-up's circuit for any number of solves. Nodal equations of resistances, ideal links and ideal
 * transformers with resistive leakage, sources from ground, in one dense symmetric matrix: a hook-up has some twenty
 * unknown volts, which is quicker done densely than by the power flow's sparse elimination. Loads of constant impedance
 * stand in the matrix, others are currents found by repetition, of which there are at most 60.
 */
export function prepareCircuit(elements: readonly PowerFlowElement[]): PreparedCircuit {
  const { indexOf, count, root } = numberTerminals(elements);
  const at = (terminal: string): number => {
    const index = indexOf.get(terminal);
    return index === undefined ? floating : (root[index] ?? floating);
  };
  const branches: Branch[] = [];
  const coupled: Coupled[] = [];
  const fixed = new Map<number, Complex>([[at('0'), { re: 0, im: 0 }]]);
  for (const element of elements) {
    if (element.kind === 'source') fixed.set(at(element.plus), fromPolar(element.voltageV, element.angleDeg));
    else if (element.kind === 'impedance')
      branches.push({ id: element.id, a: at(element.from), b: at(element.to), siemens: 1 / element.resistanceOhm });
    else if (element.kind === 'transformer') coupled.push(coupledPorts(element, at));
  }
  const branchOf = new Map(branches.map((branch) => [branch.id, branch]));

  const isSettledIn = (unknownOf: Int32Array, node: number) => (unknownOf[node] ?? floating) !== floating;

  /** The matrix with these resistors, factored, and what fixed volts drive into it. */
  const factor = (resistors: readonly Branch[], open: ReadonlySet<string>): Assembled => {
    const present = open.size === 0 ? branches : branches.filter(({ id }) => !open.has(id));
    const { unknownOf, size } = reached(count, fixed, [present, resistors], coupled);
    const matrix = new Float64Array(size * size);
    const re = new Float64Array(count);
    const im = new Float64Array(count);
    const knownRe = new Float64Array(size);
    const knownIm = new Float64Array(size);
    for (const [node, volts] of fixed) {
      re[node] = volts.re;
      im[node] = volts.im;
    }
    const add = (i: number, j: number, siemens: number): void => {
      const row = unknownOf[i] ?? floating;
      if (row < 0) return;
      const column = unknownOf[j] ?? floating;
      if (column >= 0) matrix[row * size + column] = (matrix[row * size + column] ?? 0) + siemens;
      else if (column === held) {
        knownRe[row] = (knownRe[row] ?? 0) - siemens * (re[j] ?? 0);
        knownIm[row] = (knownIm[row] ?? 0) - siemens * (im[j] ?? 0);
      }
    };
    for (const list of [present, resistors])
      for (const { a, b, siemens } of list) {
        add(a, a, siemens);
        add(b, b, siemens);
        add(a, b, -siemens);
        add(b, a, -siemens);
      }
    for (const { a, b, siemens } of coupled) {
      a.forEach((plus, i) => {
        const minus = b[i] ?? floating;
        a.forEach((otherPlus, j) => {
          const otherMinus = b[j] ?? floating;
          const y = siemens[i]?.[j] ?? 0;
          add(plus, otherPlus, y);
          add(plus, otherMinus, -y);
          add(minus, otherPlus, -y);
          add(minus, otherMinus, y);
        });
      });
    }
    return { unknownOf, factored: factorSymmetric(matrix, size), re, im, knownRe, knownIm };
  };

  const terminalOf = (unknown: number, unknownOf: Int32Array): string => {
    const node = unknownOf.indexOf(unknown);
    return [...indexOf].find(([, index]) => root[index] === node)?.[0] ?? '';
  };

  /** Reads volts and amperes of conductors from the volts of every node. */
  const reading = (unknownOf: Int32Array, re: Float64Array, im: Float64Array, open: ReadonlySet<string>) => {
    const isSettled = (node: number) => isSettledIn(unknownOf, node);
    const across = ({ a, b, siemens }: Branch): Complex => ({
      re: ((re[a] ?? 0) - (re[b] ?? 0)) * siemens,
      im: ((im[a] ?? 0) - (im[b] ?? 0)) * siemens,
    });
    const between: SolvedCircuit['between'] = (from, to) => {
      const a = at(from);
      const b = at(to);
      if (!isSettled(a) || !isSettled(b)) return null;
      return { re: (re[a] ?? 0) - (re[b] ?? 0), im: (im[a] ?? 0) - (im[b] ?? 0) };
    };
    // What is open, or tied to nothing, carries nothing.
    const through = (branch: Branch | undefined): Complex =>
      branch === undefined || open.has(branch.id) || !isSettled(branch.a) || !isSettled(branch.b)
        ? none
        : across(branch);
    const windingA: SolvedCircuit['windingA'] = (elementId, winding) => {
      const unit = coupled.find(({ id }) => id === elementId);
      const row = unit?.siemens[unit.names.indexOf(winding)] ?? [];
      const amperes = { re: 0, im: 0 };
      row.forEach((siemens, j) => {
        const a = unit?.a[j] ?? 0;
        const b = unit?.b[j] ?? 0;
        if (!isSettled(a) || !isSettled(b)) return;
        amperes.re += siemens * ((re[a] ?? 0) - (re[b] ?? 0));
        amperes.im += siemens * ((im[a] ?? 0) - (im[b] ?? 0));
      });
      return amperes;
    };
    return { between, through, windingA };
  };

  const superpose: PreparedCircuit['superpose'] = (ports, open = nothingOpen) => {
    const { unknownOf, factored, re, im, knownRe, knownIm } = factor([], open);
    if (factored.stuck >= 0) return null;
    solveFactored(factored, knownRe);
    solveFactored(factored, knownIm);
    for (let node = 0; node < count; node++) {
      const unknown = unknownOf[node] ?? floating;
      if (unknown < 0) continue;
      re[node] = knownRe[unknown] ?? 0;
      im[node] = knownIm[unknown] ?? 0;
    }
    const units = ports.map(({ from, to }) => {
      const a = at(from);
      const b = at(to);
      const volts = { re: (re[a] ?? 0) - (re[b] ?? 0), im: (im[a] ?? 0) - (im[b] ?? 0) };
      const length = Math.hypot(volts.re, volts.im);
      if (!isSettledIn(unknownOf, a) || !isSettledIn(unknownOf, b) || length < 1) return null;
      const right = new Float64Array(factored.size);
      const start = unknownOf[a] ?? floating;
      const end = unknownOf[b] ?? floating;
      if (start >= 0) right[start] = -1;
      if (end >= 0) right[end] = (right[end] ?? 0) + 1;
      solveFactored(factored, right);
      return { right, re: volts.re / length, im: volts.im / length };
    });
    return (amperesOf) => {
      const sumRe = re.slice();
      const sumIm = im.slice();
      units.forEach((unit, i) => {
        const amperes = amperesOf[i] ?? 0;
        if (unit === null || amperes === 0) return;
        for (let node = 0; node < count; node++) {
          const unknown = unknownOf[node] ?? floating;
          if (unknown < 0) continue;
          const volts = amperes * (unit.right[unknown] ?? 0);
          sumRe[node] = (sumRe[node] ?? 0) + volts * unit.re;
          sumIm[node] = (sumIm[node] ?? 0) + volts * unit.im;
        }
      });
      const { between, through, windingA } = reading(unknownOf, sumRe, sumIm, open);
      return { status: 'solved', between, windingA, currentA: (elementId) => through(branchOf.get(elementId)) };
    };
  };

  const solve: PreparedCircuit['solve'] = (loads, open = nothingOpen) => {
    const resistors: Branch[] = [];
    const drawn: LoadElement[] = [];
    for (const load of loads) {
      const { demand } = load;
      if (demand.model !== 'constantImpedance' || demand.reactanceOhm !== 0) drawn.push(load);
      else resistors.push({ id: load.id, a: at(load.from), b: at(load.to), siemens: 1 / demand.resistanceOhm });
    }
    const { unknownOf, factored, re, im, knownRe, knownIm } = factor(resistors, open);
    const { size, stuck } = factored;
    if (stuck >= 0) return { status: 'undetermined', where: terminalOf(stuck, unknownOf) };
    const isSettled = (node: number) => isSettledIn(unknownOf, node);
    const draws = drawn.map((load) => ({ load, a: at(load.from), b: at(load.to), re: 0, im: 0 }));
    const rightRe = new Float64Array(size);
    const rightIm = new Float64Array(size);
    const update = (): void => {
      rightRe.set(knownRe);
      rightIm.set(knownIm);
      for (const { a, b, re: amperesRe, im: amperesIm } of draws) {
        const from = unknownOf[a] ?? floating;
        const to = unknownOf[b] ?? floating;
        if (from >= 0) {
          rightRe[from] = (rightRe[from] ?? 0) - amperesRe;
          rightIm[from] = (rightIm[from] ?? 0) - amperesIm;
        }
        if (to >= 0) {
          rightRe[to] = (rightRe[to] ?? 0) + amperesRe;
          rightIm[to] = (rightIm[to] ?? 0) + amperesIm;
        }
      }
      solveFactored(factored, rightRe);
      solveFactored(factored, rightIm);
      for (let node = 0; node < count; node++) {
        const unknown = unknownOf[node] ?? floating;
        if (unknown < 0) continue;
        re[node] = rightRe[unknown] ?? 0;
        im[node] = rightIm[unknown] ?? 0;
      }
    };
    let worst = '';
    let change = 1;
    update();
    for (let iteration = 0; draws.length > 0 && change > settled; iteration++) {
      if (iteration === mostIterations) return { status: 'notConverged', where: worst };
      change = 0;
      for (const draw of draws) {
        const { load, a, b } = draw;
        if (!isSettled(a) || !isSettled(b)) continue;
        const volts = { re: (re[a] ?? 0) - (re[b] ?? 0), im: (im[a] ?? 0) - (im[b] ?? 0) };
        const next = currentAt(load, volts);
        const size0 = Math.hypot(next.re, next.im);
        const moved = Math.hypot(next.re - draw.re, next.im - draw.im) / Math.max(1e-3, size0);
        if (!Number.isFinite(moved)) return { status: 'notConverged', where: load.id };
        if (moved >= change) worst = load.id;
        change = Math.max(change, moved);
        draw.re = next.re;
        draw.im = next.im;
      }
      update();
    }

    const drawOf = new Map(draws.map((draw) => [draw.load.id, draw]));
    const resistorOf = new Map(resistors.map((each) => [each.id, each]));
    const { between, through, windingA } = reading(unknownOf, re, im, open);
    return {
      status: 'solved',
      between,
      windingA,
      currentA: (elementId) => {
        const draw = drawOf.get(elementId);
        if (draw !== undefined) return { re: draw.re, im: draw.im };
        return through(branchOf.get(elementId) ?? resistorOf.get(elementId));
      },
    };
  };
  return { solve, superpose };
}

const nothingOpen: ReadonlySet<string> = new Set();
const none: Complex = { re: 0, im: 0 };

/** Numbers terminals; ends of a closed link share a root. */
function numberTerminals(elements: readonly PowerFlowElement[]) {
  const indexOf = new Map<string, number>([['0', 0]]);
  const parent: number[] = [0];
  const number = (terminal: string): number => {
    const found = indexOf.get(terminal);
    if (found !== undefined) return found;
    const index = parent.length;
    indexOf.set(terminal, index);
    parent.push(index);
    return index;
  };
  const rootOf = (index: number): number => {
    const above = parent[index] ?? index;
    return above === index ? index : rootOf(above);
  };
  for (const element of elements) {
    if (element.kind === 'source') {
      number(element.plus);
      number(element.minus);
    } else if (element.kind === 'impedance') {
      number(element.from);
      number(element.to);
    } else if (element.kind === 'switch') {
      const from = rootOf(number(element.from));
      const to = rootOf(number(element.to));
      if (element.closed) parent[Math.max(from, to)] = Math.min(from, to);
    } else if (element.kind === 'transformer') {
      for (const { plus, minus } of element.windings) {
        number(plus);
        number(minus);
      }
    }
  }
  return { indexOf, count: parent.length, root: parent.map((_, index) => rootOf(index)) };
}

/** Eliminates the core's volts E from V = z I + n E and sum(n I) = 0. */
function coupledPorts({ id, windings }: TransformerElement, at: (terminal: string) => number): Coupled {
  let sum = 0;
  for (const { ratedV, resistanceOhm } of windings) sum += (ratedV * ratedV) / resistanceOhm;
  return {
    id,
    names: windings.map(({ name }) => name),
    a: windings.map(({ plus }) => at(plus)),
    b: windings.map(({ minus }) => at(minus)),
    siemens: windings.map((one, i) =>
      windings.map(
        (other, j) =>
          (i === j ? 1 / one.resistanceOhm : 0) -
          (one.ratedV * other.ratedV) / (one.resistanceOhm * other.resistanceOhm * sum),
      ),
    ),
  };
}

/** Which volts are unknown, numbered; `held` where a source fixes them, `floating` where nothing does. */
function reached(
  count: number,
  fixed: ReadonlyMap<number, Complex>,
  branches: readonly (readonly Branch[])[],
  coupled: readonly Coupled[],
): { readonly unknownOf: Int32Array; readonly size: number } {
  const unknownOf = new Int32Array(count).fill(floating);
  for (const node of fixed.keys()) unknownOf[node] = held;
  let size = 0;
  let grows = true;
  const spread = (a: number, b: number): void => {
    if (a < 0 || b < 0) return;
    const isA = unknownOf[a] !== floating;
    if (isA === (unknownOf[b] !== floating)) return;
    unknownOf[isA ? b : a] = size++;
    grows = true;
  };
  while (grows) {
    grows = false;
    for (const list of branches) for (const { a, b } of list) spread(a, b);
    for (const { a, b } of coupled) for (let i = 0; i < a.length; i++) spread(a[i] ?? floating, b[i] ?? floating);
  }
  return { unknownOf, size };
}

/** What a load draws at these volts. Without volts it draws nothing, whatever it asks for. */
function currentAt({ demand }: LoadElement, volts: Complex): Complex {
  const square = volts.re * volts.re + volts.im * volts.im;
  if (demand.model === 'constantImpedance')
    return divideComplex(volts, { re: demand.resistanceOhm, im: demand.reactanceOhm });
  if (square < 1) return none;
  const { powerW, reactivePowerVar } = demand;
  // conj(S / V), and for constant current of the magnitude that S has at rated volts.
  const scale = demand.model === 'constantPower' ? 1 / square : 1 / (Math.sqrt(square) * demand.ratedV);
  return {
    re: (powerW * volts.re + reactivePowerVar * volts.im) * scale,
    im: (powerW * volts.im - reactivePowerVar * volts.re) * scale,
  };
}

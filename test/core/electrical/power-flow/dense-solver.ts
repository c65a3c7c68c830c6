import {
  type Complex,
  complex,
  divideComplex,
  fromPolar,
  multiplyComplex,
  subtractComplex,
} from '../../../../core/electrical/complex.ts';
import type { PowerFlowNetwork } from '../../../../core/electrical/power-flow/network.ts';

/**
 * A plain second opinion for linear networks: nodal equations written from the textbook, line currents eliminated by
 * inverting each impedance matrix, solved by dense elimination. It shares no code with the solver it checks. Sources
 * stand behind `sourceOhm`, so the networks compared must have that impedance in them; transformers are not covered.
 */
export function solveDense(network: PowerFlowNetwork): Map<string, Complex> {
  const names: string[] = [];
  const at = (terminal: string): number => {
    if (terminal === '0') return -1;
    if (!names.includes(terminal)) names.push(terminal);
    return names.indexOf(terminal);
  };
  const admittances: { a: number; b: number; c: number; d: number; y: Complex }[] = [];
  const fixed: { a: number; b: number; volts: Complex }[] = [];
  for (const element of network.elements) {
    switch (element.kind) {
      case 'source':
        fixed.push({
          a: at(element.plus),
          b: at(element.minus),
          volts: fromPolar(element.voltageV, element.angleDeg),
        });
        break;
      case 'impedance': {
        const [a, b] = [at(element.from), at(element.to)];
        const y = divideComplex(complex(1), complex(element.resistanceOhm, element.reactanceOhm));
        admittances.push({ a, b, c: a, d: b, y });
        break;
      }
      case 'line': {
        const z = element.resistanceOhm.map((row, i) =>
          row.map((r, j) => complex(r, element.reactanceOhm[i]?.[j] ?? 0)),
        );
        const y = invert(z);
        element.conductors.forEach((into, i) => {
          element.conductors.forEach((across, j) => {
            const entry = y[i]?.[j] ?? complex(0);
            admittances.push({ a: at(into.from), b: at(into.to), c: at(across.from), d: at(across.to), y: entry });
          });
        });
        break;
      }
      case 'load': {
        if (element.demand.model !== 'constantImpedance') throw new Error('linear loads only');
        const { resistanceOhm, reactanceOhm } = element.demand;
        const [a, b] = [at(element.from), at(element.to)];
        admittances.push({ a, b, c: a, d: b, y: divideComplex(complex(1), complex(resistanceOhm, reactanceOhm)) });
        break;
      }
      default:
        throw new Error(`${element.kind} is not covered`);
    }
  }
  const size = names.length + fixed.length;
  const matrix = Array.from({ length: size }, () => Array.from({ length: size + 1 }, () => complex(0)));
  const add = (i: number, j: number, y: Complex, sign: number): void => {
    const row = matrix[i];
    const old = row?.[j];
    if (row === undefined || old === undefined) return;
    row[j] = complex(old.re + sign * y.re, old.im + sign * y.im);
  };
  for (const { a, b, c, d, y } of admittances) {
    add(a, c, y, 1);
    add(a, d, y, -1);
    add(b, c, y, -1);
    add(b, d, y, 1);
  }
  fixed.forEach(({ a, b, volts }, k) => {
    const row = names.length + k;
    add(a, row, complex(1), 1);
    add(b, row, complex(1), -1);
    add(row, a, complex(1), 1);
    add(row, b, complex(1), -1);
    add(row, size, volts, 1);
  });
  eliminate(matrix);
  return new Map(names.map((name, i) => [name, matrix[i]?.[size] ?? complex(0)]));
}

function invert(z: readonly (readonly Complex[])[]): Complex[][] {
  const matrix = z.map((row, i) => [...row, ...z.map((_, j) => complex(i === j ? 1 : 0))]);
  eliminate(matrix);
  return matrix.map((row) => row.slice(z.length));
}

/** Gauss and Jordan with row exchanges, in place; the columns beyond the square become the answers. */
function eliminate(matrix: Complex[][]): void {
  const size = matrix.length;
  const square = ({ re, im }: Complex = complex(0)): number => re * re + im * im;
  for (let k = 0; k < size; k++) {
    let best = k;
    for (let i = k + 1; i < size; i++) if (square(matrix[i]?.[k]) > square(matrix[best]?.[k])) best = i;
    const pivotRow = matrix[best] ?? [];
    matrix[best] = matrix[k] ?? [];
    const pivot = pivotRow[k] ?? complex(0);
    matrix[k] = pivotRow.map((value) => divideComplex(value, pivot));
    for (let i = 0; i < size; i++) {
      const row = matrix[i] ?? [];
      const factor = row[k] ?? complex(0);
      if (i === k || square(factor) === 0) continue;
      matrix[i] = row.map((value, j) => subtractComplex(value, multiplyComplex(factor, matrix[k]?.[j] ?? complex(0))));
    }
  }
}

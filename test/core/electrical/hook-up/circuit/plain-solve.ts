import type { PowerFlowElement } from '../../../../../core/electrical/power-flow/network.ts';

/** Volts to ground as [re, im]; null where nothing ties a terminal to ground. */
export type PlainVolts = (terminal: string) => readonly [number, number] | null;

/**
 * The plain second opinion on a hook-up's circuit: nodal equations from the textbook, Gauss with row exchanges. Sources
 * from ground, resistances and resistive loads. It shares no code with the solver that it checks.
 */
export function plainSolve(elements: readonly PowerFlowElement[]): PlainVolts {
  const fixed = new Map<string, readonly [number, number]>([['0', [0, 0]]]);
  const links: { readonly from: string; readonly to: string; readonly ohm: number }[] = [];
  for (const element of elements) {
    if (element.kind === 'source') {
      const angle = (element.angleDeg / 180) * Math.PI;
      fixed.set(element.plus, [element.voltageV * Math.cos(angle), element.voltageV * Math.sin(angle)]);
    } else if (element.kind === 'impedance')
      links.push({ from: element.from, to: element.to, ohm: element.resistanceOhm });
    else if (element.kind === 'load' && element.demand.model === 'constantImpedance')
      links.push({ from: element.from, to: element.to, ohm: element.demand.resistanceOhm });
    else throw new Error(`${element.kind} is not covered`);
  }
  const tied = new Set(fixed.keys());
  for (let before = -1; before !== tied.size; ) {
    before = tied.size;
    for (const { from, to } of links) if (tied.has(from) !== tied.has(to)) tied.add(from).add(to);
  }
  const unknown = [...tied].filter((terminal) => !fixed.has(terminal));
  const row = new Map(unknown.map((terminal, i) => [terminal, i]));
  const table = unknown.map(() => new Array<number>(unknown.length + 2).fill(0));
  const put = (at: string, other: string, siemens: number): void => {
    const line = table[row.get(at) ?? -1];
    if (line === undefined) return;
    const self = row.get(at) ?? 0;
    line[self] = (line[self] ?? 0) + siemens;
    const column = row.get(other);
    if (column !== undefined) line[column] = (line[column] ?? 0) - siemens;
    const [re, im] = fixed.get(other) ?? [0, 0];
    line[unknown.length] = (line[unknown.length] ?? 0) + siemens * re;
    line[unknown.length + 1] = (line[unknown.length + 1] ?? 0) + siemens * im;
  };
  for (const { from, to, ohm } of links) {
    if (!tied.has(from)) continue;
    put(from, to, 1 / ohm);
    put(to, from, 1 / ohm);
  }
  eliminate(table, unknown.length);
  return (terminal) => {
    const known = fixed.get(terminal);
    if (known !== undefined) return known;
    const line = table[row.get(terminal) ?? -1];
    return line === undefined ? null : [line[unknown.length] ?? 0, line[unknown.length + 1] ?? 0];
  };
}

function eliminate(table: number[][], size: number): void {
  for (let k = 0; k < size; k++) {
    let best = k;
    for (let i = k + 1; i < size; i++) if (Math.abs(table[i]?.[k] ?? 0) > Math.abs(table[best]?.[k] ?? 0)) best = i;
    const pivotLine = table[best] ?? [];
    table[best] = table[k] ?? [];
    table[k] = pivotLine;
    const pivot = pivotLine[k] ?? 1;
    for (let j = k; j < size + 2; j++) pivotLine[j] = (pivotLine[j] ?? 0) / pivot;
    for (let i = 0; i < size; i++) {
      const line = table[i];
      const factor = line?.[k] ?? 0;
      if (line === undefined || i === k || factor === 0) continue;
      for (let j = k; j < size + 2; j++) line[j] = (line[j] ?? 0) - factor * (pivotLine[j] ?? 0);
    }
  }
}

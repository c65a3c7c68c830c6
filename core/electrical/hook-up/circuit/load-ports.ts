import type { Inlet } from '../../../boats.ts';
import type { Configuration, LineName } from '../../../standards/configuration.ts';
import type { LoadPort } from './circuit.ts';

/** Share of the rated volts within which equipment is built to run. */
export const voltageTolerance = 0.1;
export const toleranceSource = 'NEMA MG 1 and EN 50160 (from memory): within 10 % of nominal';

/** Volts that the loads behind an inlet are built for: what was stated of them, or within 10 % of the pattern's. */
export function acceptedVolts(inlet: Inlet, ratedV: number): { readonly lowestV: number; readonly highestV: number } {
  const stated = inlet.accepts?.value ?? null;
  return stated === null
    ? { lowestV: ratedV * (1 - voltageTolerance), highestV: ratedV * (1 + voltageTolerance) }
    : { lowestV: stated.lowestV, highestV: stated.highestV };
}

/** Ports straight behind an inlet. */
export function addLoadPorts(ports: LoadPort[], inlet: Inlet, pattern: Configuration): void {
  const { terminals, lineToNeutralV, lineToLineV } = pattern;
  const lines = terminals.filter((terminal): terminal is LineName => terminal !== 'N' && terminal !== 'G');
  const add = (from: LineName, to: LineName | 'N', ratedV: number): void => {
    ports.push({
      id: `${inlet.id} ${from}-${to}`,
      inletId: inlet.id,
      legs: [from, to],
      from: `${inlet.id}.${from}`,
      to: `${inlet.id}.${to}`,
      ratedV,
      ...acceptedVolts(inlet, ratedV),
      transformer: 'none',
    });
  };
  if (lineToNeutralV !== null && terminals.includes('N')) for (const line of lines) add(line, 'N', lineToNeutralV);
  if (lineToLineV !== null)
    lines.forEach((line, i) => {
      for (const other of lines.slice(i + 1)) add(line, other, lineToLineV);
    });
}

import type { LineName } from '../../standards/configuration.ts';
import type { SupplySystem } from '../../standards/supply-system.ts';
import { fromPolar, magnitude, subtractComplex } from '../complex.ts';

/** A conductor of a supply or a contact of an outlet. */
export type Pole = LineName | 'N';

/** Names of a network's terminals and elements for the parts of a marina; `/` is in no id. */
export const names = {
  partTerminal: (partId: string, pole: Pole): string => `part/${partId}/${pole}`,
  primaryTerminal: (partId: string, pole: Pole): string => `primary/${partId}/${pole}`,
  starTerminal: (partId: string): string => `star/${partId}`,
  outletTerminal: (outletId: string, contact: Pole): string => `outlet/${outletId}/${contact}`,
  source: (partId: string, line: LineName): string => `source/${partId}/${line}`,
  earth: (partId: string): string => `earth/${partId}`,
  line: (partId: string): string => `line/${partId}`,
  joint: (partId: string, pole: Pole): string => `joint/${partId}/${pole}`,
  transformer: (partId: string): string => `transformer/${partId}`,
  breaker: (outletId: string, contact: Pole): string => `breaker/${outletId}/${contact}`,
  load: (outletId: string, pair: string): string => `load/${outletId}/${pair}`,
  otherLoad: (partId: string, at: number, line: LineName): string => `other/${partId}/${at}/${line}`,
};

/** Nominal volts between two poles of a supply; 0 where it has not both. */
export function nominalBetweenV(system: SupplySystem, a: Pole, b: Pole): number {
  const phasor = (pole: Pole) => {
    if (pole === 'N') return fromPolar(0, 0);
    const line = system.lines.find(({ name }) => name === pole);
    return line === undefined ? null : fromPolar(line.voltageV, line.angleDeg);
  };
  const [one, other] = [phasor(a), phasor(b)];
  return one === null || other === null ? 0 : magnitude(subtractComplex(one, other));
}

/** The pairs between which people measure volts: each line to neutral where there is one, then line to line. */
export function pairsOf(poles: readonly Pole[]): (readonly [Pole, Pole])[] {
  const lines = poles.filter((pole) => pole !== 'N');
  const pairs: (readonly [Pole, Pole])[] = poles.includes('N') ? lines.map((line) => [line, 'N'] as const) : [];
  lines.forEach((line, i) => {
    for (const other of lines.slice(i + 1)) pairs.push([line, other]);
  });
  return pairs;
}

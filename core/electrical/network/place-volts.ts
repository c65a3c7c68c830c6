import { magnitude } from '../complex.ts';
import { type PowerFlowSolution, voltageBetween } from '../power-flow/results.ts';
import type { NetworkPlace } from './marina-network.ts';
import type { Pole } from './terminals.ts';

/** Volts between two poles of a part or two contacts of an outlet; null where it has not both. */
export function voltsOf({ terminals }: NetworkPlace, a: Pole, b: Pole, solution: PowerFlowSolution): number | null {
  const volts = voltageBetween(solution, terminals.get(a) ?? '', terminals.get(b) ?? '');
  return volts && magnitude(volts);
}

import { magnitude } from '../complex.ts';
import { type PowerFlowSolution, voltageBetween } from '../power-flow/results.ts';
import type { NetworkPlace } from './marina-network.ts';
import { nominalBetweenV, type Pole, pairsOf } from './terminals.ts';

export interface PairVolts {
  /** `L1-N`, `L1-L2`: lines of a part, contacts of an outlet. */
  readonly between: string;
  readonly voltageV: number;
  readonly nominalV: number;
}

/** What a solve finds, as far as volts go. */
export type SolvedVolts = Pick<PowerFlowSolution, 'terminals'>;

/** Volts between all pairs of a place's poles or contacts that people measure. */
export function pairVoltsOf(place: NetworkPlace, solution: SolvedVolts): PairVolts[] {
  const volts: PairVolts[] = [];
  for (const [a, b] of pairsOf([...place.terminals.keys()])) {
    const voltageV = voltsOf(place, a, b, solution);
    if (voltageV === null) continue;
    const nominalV = nominalBetweenV(place.system, place.poleOf.get(a) ?? a, place.poleOf.get(b) ?? b);
    volts.push({ between: `${a}-${b}`, voltageV, nominalV });
  }
  return volts;
}

/** Volts between two poles of a part or two contacts of an outlet; null where it has not both. */
export function voltsOf({ terminals }: NetworkPlace, a: Pole, b: Pole, solution: SolvedVolts): number | null {
  const volts = voltageBetween(solution, terminals.get(a) ?? '', terminals.get(b) ?? '');
  return volts && magnitude(volts);
}

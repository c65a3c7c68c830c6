import type { Finding } from '../../../findings.ts';
import { magnitude } from '../../complex.ts';
import type { TracedInlet } from '../trace.ts';
import { feedingOutlets } from '../wiring-rules.ts';
import type { HookUpCircuit, RatedConductor } from './circuit.ts';
import type { SolvedCircuit } from './solve-circuit.ts';

/** Rounding of a solve is not an overload. */
const tolerance = 1e-6;

/** The largest current in one element over several solves, A. */
export function largestA(solutions: readonly SolvedCircuit[], elementId: string): number {
  let largest = 0;
  for (const solution of solutions) largest = Math.max(largest, magnitude(solution.currentA(elementId)));
  return largest;
}

/**
 * Neutrals against their rating, with every line at the limit of its breakers and conductors or at nothing, and the
 * neutral current in any one of joined paths: no breaker opens a neutral.
 */
export function judgeNeutrals(
  circuit: HookUpCircuit,
  inlets: readonly TracedInlet[],
  solutions: readonly SolvedCircuit[],
): Finding[] {
  let worst: { readonly conductor: RatedConductor; readonly actualA: number } | null = null;
  for (const conductor of circuit.conductors) {
    if (!conductor.isNeutral) continue;
    const actualA = largestA(solutions, conductor.elementId);
    if (actualA <= conductor.ratedA * (1 + tolerance)) continue;
    if (worst === null || actualA / conductor.ratedA > worst.actualA / worst.conductor.ratedA)
      worst = { conductor, actualA };
  }
  if (worst === null) return [];
  const { conductor } = worst;
  const traced = inlets.find(({ inlet }) => inlet.id === conductor.inletId) ?? inlets[0];
  if (traced === undefined) return [];
  const actual = Math.round(worst.actualA * 10) / 10;
  const labels = feedingOutlets(traced).map((outlet) => outlet.label);
  const outlets = `outlet${labels.length > 1 ? 's' : ''} ${labels.join(' and ')}`;
  return [
    {
      rule: 'hookup.neutralOverload',
      level: 'refuse',
      subject: traced.subject,
      actual,
      limit: conductor.ratedA,
      unit: 'A',
      source: 'Kirchhoff: legs on one line add in the neutral, and no breaker opens a neutral',
      message: `The neutral of inlet ${traced.inlet.id} may carry ${actual} A where ${conductor.ratedA} A is its rating (${conductor.what}, ${outlets}). Nothing trips and it burns. Use outlets on two different lines, or one outlet with two lines.`,
      mend: 'one outlet with two lines, or outlets on different lines',
    },
  ];
}

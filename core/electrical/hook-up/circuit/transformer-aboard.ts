import type { Inlet, IsolationTransformer } from '../../../boats.ts';
import type { Configuration, LineName } from '../../../standards/configuration.ts';
import type { TransformerWinding } from '../../power-flow/network.ts';
import type { CircuitParts } from './circuit.ts';
import { acceptedVolts, voltageTolerance } from './load-ports.ts';

/** Resistive leakage of a small isolation transformer, share of its rating over all windings (common practice). */
const leakageShare = 0.03;
/** No-load loss, share of its rating (common practice). */
const coreShare = 0.01;

/** Where nobody has stated its rating: that of the inlet before it, which it is chosen for (common practice). */
function ratedVaOf({ ratedVa, primaryV }: IsolationTransformer, { ratedA }: Configuration): number {
  return ratedVa ?? ratedA * primaryV;
}

/** What it takes itself, with no load behind it, A. */
export function noLoadA(transformer: IsolationTransformer, pattern: Configuration): number {
  return (ratedVaOf(transformer, pattern) * coreShare) / transformer.primaryV;
}

/**
 * An isolation transformer between an inlet and its loads. Its primary stands across the lines, and uses no neutral,
 * where the pattern has two of them; its secondary is grounded aboard, as the one place where neutral and ground meet.
 */
export function addTransformer(
  { elements, ports }: CircuitParts,
  inlet: Inlet,
  transformer: IsolationTransformer,
  pattern: Configuration,
  secondaryOhm: number,
): void {
  const { id } = inlet;
  const { terminals } = pattern;
  const { primaryV, secondaryV } = transformer;
  const ratedVa = ratedVaOf(transformer, pattern);
  const minus = terminals.includes('L2') ? `${id}.L2` : `${id}.N`;
  // Half of the leakage belongs to the primary, half to the secondary.
  const winding = (name: string, plus: string, to: string, ratedV: number, shareOfVa: number): TransformerWinding => ({
    name,
    plus,
    minus: to,
    ratedV,
    resistanceOhm: ((leakageShare / 2) * ratedV * ratedV) / (ratedVa * shareOfVa),
    reactanceOhm: 0,
    ratedVa: ratedVa * shareOfVa,
  });
  const windings = [winding('h', `${id}.L1`, minus, primaryV, 1)];
  if (transformer.legs === 2)
    windings.push(
      winding('x1', `${id}.s1`, `${id}.sn`, secondaryV / 2, 0.5),
      winding('x2', `${id}.sn`, `${id}.s2`, secondaryV / 2, 0.5),
    );
  else windings.push(winding('x1', `${id}.s1`, `${id}.sn`, secondaryV, 1));
  elements.push({ kind: 'transformer', id: `transformer ${id}`, windings });
  const coreOhm = (primaryV * primaryV) / (ratedVa * coreShare);
  elements.push({
    kind: 'impedance',
    id: `core ${id}`,
    from: `${id}.L1`,
    to: minus,
    resistanceOhm: coreOhm,
    reactanceOhm: 0,
  });
  elements.push({ kind: 'switch', id: `secondary ground ${id}`, from: `${id}.sn`, to: `${id}.G`, closed: true });

  const ends = transformer.legs === 2 ? (['s1', 's2', 'sn'] as const) : (['s1', 'sn'] as const);
  const terminalAt = (end: string): string => (secondaryOhm > 0 ? `${id}.b${end}` : `${id}.${end}`);
  if (secondaryOhm > 0)
    for (const end of ends)
      elements.push({
        kind: 'impedance',
        id: `cord ${id}.${end}`,
        from: `${id}.${end}`,
        to: terminalAt(end),
        resistanceOhm: secondaryOhm,
        reactanceOhm: 0,
      });
  const add = (legs: readonly [LineName, LineName | 'N'], from: string, to: string, ratedV: number): void => {
    ports.push({
      id: `${id} ${legs[0]}-${legs[1]}`,
      inletId: id,
      legs,
      from: terminalAt(from),
      to: terminalAt(to),
      ratedV,
      ...acceptedVolts(inlet, ratedV),
      transformer: 'behind',
    });
  };
  ports.push({
    id: `${id} primary`,
    inletId: id,
    legs: ['L1', terminals.includes('L2') ? 'L2' : 'N'],
    from: `${id}.L1`,
    to: minus,
    ratedV: primaryV,
    lowestV: primaryV * (1 - voltageTolerance),
    highestV: primaryV * (1 + voltageTolerance),
    transformer: 'primary',
  });
  const legV = transformer.legs === 2 ? secondaryV / 2 : secondaryV;
  add(['L1', 'N'], 's1', 'sn', legV);
  if (transformer.legs === 1) return;
  add(['L2', 'N'], 's2', 'sn', legV);
  add(['L1', 'L2'], 's1', 's2', secondaryV);
}

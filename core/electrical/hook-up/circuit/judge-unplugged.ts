import type { Finding } from '../../../findings.ts';
import { magnitude } from '../../complex.ts';
import type { HookUpCircuit, LoosePlug } from './circuit.ts';
import { type PortLimit, resistorAt } from './load-cases.ts';
import type { PreparedCircuit } from './solve-circuit.ts';

/** Volts to ground that a bare contact may stand at, on a wet dock. */
const touchableV = 25;

/**
 * Pulls each plug of a piece that has several, the others live, and reads the volts on its bare contacts. A load between
 * lines is reckoned with even where none is stated: one forgotten breaker is enough.
 */
export function judgeUnplugged(
  circuit: HookUpCircuit,
  prepared: PreparedCircuit,
  limits: readonly PortLimit[],
  labelOf: (kindId: string) => string,
): Finding[] {
  const findings: Finding[] = [];
  for (const kindId of new Set(circuit.plugs.map((plug) => plug.kindId))) {
    const plugs = circuit.plugs.filter((plug) => plug.kindId === kindId && !plug.interlock);
    const highestV = Math.max(0, ...plugs.map((plug) => bareVolts(plug, prepared, limits)));
    if (highestV > touchableV) findings.push(exposed(kindId, labelOf(kindId), Math.round(highestV)));
  }
  return findings;
}

/** Volts to ground on the contacts of a plug that is out: the highest, or the first that is too high. */
export function bareVolts(plug: LoosePlug, prepared: PreparedCircuit, limits: readonly PortLimit[]): number {
  const open = new Set(plug.elementIds);
  const betweenLines = limits.filter(({ port }) => port.legs[1] !== 'N');
  let highestV = 0;
  for (const loads of [betweenLines, limits]) {
    if (highestV > touchableV) break;
    const solution = prepared.solve(loads.map(resistorAt), open);
    if (solution.status !== 'solved') continue;
    for (const contact of plug.contacts) {
      const volts = solution.between(contact, '0');
      if (volts !== null) highestV = Math.max(highestV, magnitude(volts));
    }
  }
  return highestV;
}

function exposed(kindId: string, label: string, actualV: number): Finding {
  const subject = { kind: 'adapter' as const, id: kindId, label };
  return {
    rule: 'hookup.exposedContacts',
    level: 'confirm',
    subject,
    actual: actualV,
    limit: touchableV,
    unit: 'V',
    source: 'IEC 60364-4-41 (from memory): 25 V to ground in wet places; Kirchhoff, solved with one plug out',
    message: `${label} has no interlock: with one plug pulled, its blades stand at ${actualV} V to ground through the boat's loads. Breakers off before any plug moves.`,
    missingFact: {
      subject,
      fact: 'interlock',
      question: 'Does this piece have an interlock that makes a loose plug dead?',
    },
  };
}

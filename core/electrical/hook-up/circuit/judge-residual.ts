import type { Finding } from '../../../findings.ts';
import type { GroundFault } from '../../../inventory/inventory.ts';
import { addComplex, complexZero, magnitude } from '../../complex.ts';
import type { SupplyOutlet } from '../supply-outlet.ts';
import type { TracedInlet } from '../trace.ts';
import { feedingOutlets } from '../wiring-rules.ts';
import type { HookUpCircuit } from './circuit.ts';
import type { SolvedCircuit } from './solve-circuit.ts';

const usualSettingMa = 30;
/** What rounding leaves in a sound circuit is far below this. */
const noiseMa = 0.01;

/** A device that may open a circuit of the hook-up, with the outlets that it sees. */
export interface SeeingDevice {
  readonly label: string;
  readonly device: GroundFault['device'];
  readonly settingMa: number | null;
  readonly outletIds: ReadonlySet<string>;
}

/** Devices of the outlets themselves, and those above that a hook-up's outlets hang on. */
export function seeingDevices(outlets: readonly SupplyOutlet[]): SeeingDevice[] {
  const own = outlets.map(({ id, label, groundFault }) => ({
    label: `outlet ${label}`,
    device: groundFault.device,
    settingMa: groundFault.settingMa,
    outletIds: new Set([id]),
  }));
  const above = new Map<string, { device: GroundFault['device']; label: string; outletIds: Set<string> }>();
  for (const { id, label, devicesAbove } of outlets)
    for (const { equipmentId, device } of devicesAbove) {
      const known = above.get(equipmentId);
      if (known === undefined)
        above.set(equipmentId, { device, label: `the feeder above outlet ${label}`, outletIds: new Set([id]) });
      else known.outletIds.add(id);
    }
  return [...own, ...[...above.values()].map((each) => ({ ...each, settingMa: null }))];
}

/** What leaves through a device's lines and neutral and does not come back through them, mA. */
export function residualMa(circuit: HookUpCircuit, solution: SolvedCircuit, { outletIds }: SeeingDevice): number {
  let sum = complexZero;
  for (const { outlet, terminal, elementId } of circuit.poles)
    if (terminal !== 'G' && outletIds.has(outlet.id)) sum = addComplex(sum, solution.currentA(elementId));
  return magnitude(sum) * 1000;
}

/** Residual current at each ground-fault device, in the worst of the solves, against its setting and half of it. */
export function judgeResidual(
  circuit: HookUpCircuit,
  inlets: readonly TracedInlet[],
  outlets: readonly SupplyOutlet[],
  solutions: readonly SolvedCircuit[],
): Finding[] {
  const findings: Finding[] = [];
  for (const each of seeingDevices(outlets)) {
    if (each.device === 'none') continue;
    let worstMa = 0;
    for (const solution of solutions) worstMa = Math.max(worstMa, residualMa(circuit, solution, each));
    if (worstMa < Math.max(noiseMa, (each.settingMa ?? usualSettingMa) / 2)) continue;
    const traced = inlets.find((inlet) => feedingOutlets(inlet).some(({ id }) => each.outletIds.has(id))) ?? inlets[0];
    if (traced !== undefined) findings.push(residual(traced, each, Math.round(worstMa)));
  }
  // One word is enough: a device that trips before one that may.
  const order = ['refuse', 'confirm', 'caution', 'note'] as const;
  findings.sort((a, b) => order.indexOf(a.level) - order.indexOf(b.level));
  const gravest = findings[0];
  return gravest === undefined ? [] : [gravest];
}

function residual(traced: TracedInlet, seen: SeeingDevice, actual: number): Finding {
  const limit = seen.settingMa ?? usualSettingMa;
  const base = {
    rule: 'hookup.residual' as const,
    subject: traced.subject,
    actual,
    limit,
    unit: 'mA',
    source:
      'Kirchhoff: the circuit solved, with the neutral current in the worst of its paths; devices may trip from half their setting (UL 943, IEC 61008)',
  };
  const what = `With loads on inlet ${traced.inlet.id}, up to ${actual} mA leave through ${seen.label} and come back another way.`;
  if (seen.device === 'unknown')
    return {
      ...base,
      level: 'confirm',
      message: `${what} Whether it has a ground-fault device that trips is unknown. Look.`,
      missingFact: {
        subject: traced.subject,
        fact: 'groundFault.device',
        question: `Has ${seen.label} a ground-fault device?`,
      },
    };
  if (actual > limit)
    return {
      ...base,
      level: 'refuse',
      message: `${what} Its ground-fault device (${limit} mA) trips. Use one outlet with two lines.`,
      mend: 'one outlet that feeds all lines of the inlet',
    };
  return {
    ...base,
    level: 'caution',
    message: `${what} Its ground-fault device (${limit} mA) may trip from half of its setting.`,
  };
}

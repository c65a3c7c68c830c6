import type { Finding, Subject } from '../../findings.ts';
import { equipmentSubject, outletSubject } from '../../inventory/checks/check.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment } from '../../inventory/inventory.ts';
import { startsSupply } from '../../inventory/supplies.ts';
import { citation, type Source } from '../../standards/source.ts';
import type { MarinaNetwork, NetworkPlace } from './marina-network.ts';
import { type SolvedVolts, voltsOf } from './place-volts.ts';
import { nominalBetweenV, pairsOf } from './terminals.ts';

const dropSource: Source = { title: 'NFPA 70, informational notes to 210.19 and 215.2', fromMemory: false };
const dropAdvice = {
  feeder: { most: 0.03, what: 'The feeder' },
  branchCircuit: { most: 0.03, what: 'The branch circuit' },
  both: { most: 0.05, what: 'Feeder and branch circuit together' },
} as const;

/**
 * Drops beyond what is advised, from where a supply starts (its service or transformer) on: in feeders and in branch
 * circuits once for the part where they end, by its worst outlet; in both together for each outlet.
 */
export function dropFindings(
  index: InventoryIndex,
  built: Pick<MarinaNetwork, 'parts' | 'outlets'>,
  solution: SolvedVolts,
  outletIds: readonly string[],
): Finding[] {
  const findings: Finding[] = [];
  const worst = { feeder: new Map<Equipment, number>(), branchCircuit: new Map<Equipment, number>() };
  const note = (run: keyof typeof worst, part: Equipment, share: number): void => {
    worst[run].set(part, Math.max(share, worst[run].get(part) ?? 0));
  };
  for (const outletId of outletIds) {
    const outlet = index.outlets.get(outletId);
    const place = built.outlets.get(outletId);
    const path = index.pathOfOutlet.get(outletId) ?? [];
    const [feeding] = path;
    const feederEnd = path.find(({ kind }) => kind !== 'branchCircuit');
    const top = built.parts.get(path.find(startsSupply)?.id ?? '');
    const middle = built.parts.get(feederEnd?.id ?? '');
    if (!outlet || !place || !feeding || !feederEnd || !top || !middle) continue;
    const drops = dropsBetween(top, middle, place, solution);
    note('feeder', feederEnd, drops.feeder);
    note('branchCircuit', feeding, drops.branchCircuit);
    findings.push(...beyondAdvice(outletSubject(outlet, index), 'both', drops.both));
  }
  for (const run of ['feeder', 'branchCircuit'] as const) {
    for (const [part, share] of worst[run]) findings.push(...beyondAdvice(equipmentSubject(part), run, share));
  }
  return findings;
}

/** Largest drop of any pair of the outlet's contacts, as a share of nominal volts. */
function dropsBetween(top: NetworkPlace, middle: NetworkPlace, outlet: NetworkPlace, solution: SolvedVolts) {
  const drops = { feeder: 0, branchCircuit: 0, both: 0 };
  for (const [a, b] of pairsOf([...outlet.terminals.keys()])) {
    const [poleA, poleB] = [outlet.poleOf.get(a) ?? a, outlet.poleOf.get(b) ?? b];
    const nominalV = nominalBetweenV(outlet.system, poleA, poleB);
    const topV = voltsOf(top, poleA, poleB, solution);
    const middleV = voltsOf(middle, poleA, poleB, solution);
    const hereV = voltsOf(outlet, a, b, solution);
    if (topV === null || middleV === null || hereV === null) continue;
    drops.feeder = Math.max(drops.feeder, (topV - middleV) / nominalV);
    drops.branchCircuit = Math.max(drops.branchCircuit, (middleV - hereV) / nominalV);
    drops.both = Math.max(drops.both, (topV - hereV) / nominalV);
  }
  return drops;
}

function beyondAdvice(subject: Subject, run: keyof typeof dropAdvice, dropShare: number): Finding[] {
  const { most, what } = dropAdvice[run];
  if (dropShare <= most) return [];
  const percent = Math.round(dropShare * 1000) / 10;
  return [
    {
      rule: 'power.drop',
      level: 'note',
      subject,
      actual: percent,
      limit: 100 * most,
      unit: '%',
      source: citation(dropSource),
      message: `${what} to ${subject.label}: ${percent} % of the volts are lost, more than the advised ${100 * most} %. The advice is no rule: have a thicker conductor sized when it is next replaced.`,
    },
  ];
}

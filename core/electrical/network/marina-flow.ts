import { type Finding, gravestFirst, type Subject } from '../../findings.ts';
import { equipmentSubject, judgement, outletSubject } from '../../inventory/checks/check.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment } from '../../inventory/inventory.ts';
import { magnitude } from '../complex.ts';
import { solvePowerFlow } from '../power-flow/power-flow.ts';
import type { PowerFlowProblem } from '../power-flow/problems.ts';
import type { CurrentFlow, PowerFlowSolution, PowerTotals } from '../power-flow/results.ts';
import { assumptionsInWords, type FlowAssumptions, usualAssumptions } from './assumptions.ts';
import { dropFindings } from './drop-findings.ts';
import { overloadFinding, rangeFindings } from './flow-findings.ts';
import { type MarinaNetwork, marinaNetwork, type NetworkPlace } from './marina-network.ts';
import type { OutletLoad } from './outlet-loads.ts';
import { type PairVolts, pairVoltsOf } from './place-volts.ts';
import { names } from './terminals.ts';

export interface MarinaFlow {
  readonly status: 'solved' | 'invalid' | 'singular' | 'notConverged';
  /** Empty when solved; without a solution every place is not assessed. */
  readonly problems: readonly PowerFlowProblem[];
  readonly parts: readonly PartFlow[];
  readonly pedestals: readonly PedestalFlow[];
  readonly outlets: readonly OutletFlow[];
  /** The outlet with the lowest volts for its nominal ones, among those assessed. */
  readonly worst: { readonly outletId: string; readonly between: string; readonly share: number } | null;
  /** Of everything that could be joined; null without a solution. */
  readonly totals: PowerTotals | null;
  readonly findings: readonly Finding[];
  readonly assumptions: readonly string[];
}

/** `atBest`: load of the same service is missing in the solve, so that volts may be lower and amperes higher. */
export type Assessment = 'assessed' | 'atBest' | 'notAssessed';

interface Place {
  readonly assessment: Assessment;
  /** Empty where not assessed. */
  readonly volts: readonly PairVolts[];
}

export interface PartFlow extends Place {
  readonly equipmentId: string;
  /** Amperes of each line and the neutral, into the part; of a transformer, in its windings. Empty where not assessed. */
  readonly currents: readonly FlowCurrent[];
  readonly lossW: number | null;
}

/** `loading` is the share of what is entered as its rating, null without one. */
export interface FlowCurrent {
  readonly name: string;
  readonly currentA: number;
  readonly loading: number | null;
}

export interface PedestalFlow extends Place {
  readonly pedestalId: string;
}

export interface OutletFlow extends Place {
  readonly outletId: string;
  /** Amperes in each contact. */
  readonly currents: readonly FlowCurrent[];
}

/**
 * Volts, amperes and losses of a marina with loads on its outlets: the tree solved as one unbalanced network with its
 * neutral. Linear time in the number of outlets.
 *
 * @throws RangeError for a load that its outlet cannot have (see `marinaNetwork`).
 */
export function marinaFlow(
  index: InventoryIndex,
  loads: readonly OutletLoad[],
  assumed: FlowAssumptions = usualAssumptions,
): MarinaFlow {
  const built = marinaNetwork(index, loads, assumed);
  const solution = solvePowerFlow(built.network);
  const solved = solution.status === 'solved' ? solution : null;
  const reader = new Map<NetworkPlace, Place>();
  const read = (place: NetworkPlace | undefined): Place => {
    if (place === undefined || solved === null) return unknownPlace;
    const known = reader.get(place) ?? readPlace(place, built, solved);
    reader.set(place, known);
    return known;
  };
  const { equipment, pedestals, outlets } = index.inventory;
  const parts = equipment.map((part): PartFlow => {
    const place = read(built.parts.get(part.id));
    if (solved === null || place.assessment === 'notAssessed') {
      return { equipmentId: part.id, ...place, currents: [], lossW: null };
    }
    return { equipmentId: part.id, ...place, ...readPart(part, built, solved) };
  });
  const outletFlows = outlets.map((outlet): OutletFlow => {
    const at = built.outlets.get(outlet.id);
    const place = read(at);
    const contacts = solved === null || place.assessment === 'notAssessed' ? [] : [...(at?.terminals.keys() ?? [])];
    const currents = contacts.map((contact) =>
      flowOf(contact, solved?.elements.get(names.breaker(outlet.id, contact))?.currents[0]),
    );
    return { outletId: outlet.id, ...place, currents };
  });
  const findings = [...built.findings];
  if (solution.status === 'solved') findings.push(...judge(index, built, solution, parts, outletFlows));
  else findings.push(...solution.problems.map((problem) => unsolved(problem, built, index)));
  return {
    status: solution.status,
    problems: solution.status === 'solved' ? [] : solution.problems,
    parts,
    pedestals: pedestals.map(({ id, fedById }) => ({ pedestalId: id, ...read(built.parts.get(fedById)) })),
    outlets: outletFlows,
    worst: worstOf(outletFlows),
    totals: solved?.totals ?? null,
    findings: gravestFirst(findings),
    assumptions: assumptionsInWords(assumed),
  };
}

const unknownPlace: Place = { assessment: 'notAssessed', volts: [] };

function readPlace(place: NetworkPlace, built: MarinaNetwork, solution: PowerFlowSolution): Place {
  if (!place.assessed) return unknownPlace;
  return {
    assessment: built.incompleteServices.has(place.serviceId) ? 'atBest' : 'assessed',
    volts: pairVoltsOf(place, solution),
  };
}

function readPart(
  part: Equipment,
  built: MarinaNetwork,
  { elements }: PowerFlowSolution,
): Pick<PartFlow, 'currents' | 'lossW'> {
  const line = elements.get(names.line(part.id));
  if (part.kind === 'transformer') {
    const units = [1, 2, 3].flatMap((unit) => elements.get(`${names.transformer(part.id)}/${unit}`) ?? []);
    return {
      currents: units.flatMap(({ currents }, unit) =>
        currents.map((flow) => flowOf(`${flow.name} of unit ${unit + 1}`, flow)),
      ),
      lossW: units.reduce((sum, { lossW }) => sum + lossW, line?.lossW ?? 0),
    };
  }
  if (line !== undefined) return { currents: line.currents.map((flow) => flowOf(flow.name, flow)), lossW: line.lossW };
  const poles = [...(built.parts.get(part.id)?.terminals.keys() ?? [])];
  const currents = poles.flatMap((pole) => {
    const id = part.kind === 'service' && pole !== 'N' ? names.source(part.id, pole) : names.joint(part.id, pole);
    const flow = elements.get(id)?.currents[0];
    if (flow === undefined) return [];
    const found = flowOf(pole, flow);
    return [
      part.kind === 'service' && part.breakerA !== null ? { ...found, loading: found.currentA / part.breakerA } : found,
    ];
  });
  return { currents, lossW: 0 };
}

function flowOf(name: string, flow: CurrentFlow | undefined): FlowCurrent {
  return { name, currentA: flow === undefined ? 0 : magnitude(flow.currentA), loading: flow?.loading ?? null };
}

function worstOf(outlets: readonly OutletFlow[]): MarinaFlow['worst'] {
  let worst: MarinaFlow['worst'] = null;
  for (const { outletId, volts } of outlets) {
    for (const { between, voltageV, nominalV } of volts) {
      const share = voltageV / nominalV;
      if (worst === null || share < worst.share) worst = { outletId, between, share };
    }
  }
  return worst;
}

function mostLoaded(currents: readonly FlowCurrent[]): FlowCurrent | null {
  return currents.reduce<FlowCurrent | null>((a, b) => ((b.loading ?? 0) > (a?.loading ?? 0) ? b : a), null);
}

function judge(
  index: InventoryIndex,
  built: MarinaNetwork,
  solution: PowerFlowSolution,
  parts: readonly PartFlow[],
  outlets: readonly OutletFlow[],
): Finding[] {
  const findings: (Finding | null)[] = [];
  for (const { equipmentId, currents } of parts) {
    const part = index.equipment.get(equipmentId);
    if (part === undefined) continue;
    findings.push(overloadFinding(equipmentSubject(part), mostLoaded(currents)));
  }
  for (const { outletId, volts, currents } of outlets) {
    const outlet = index.outlets.get(outletId);
    const place = built.outlets.get(outletId);
    if (outlet === undefined || place === undefined || volts.length === 0) continue;
    const subject = outletSubject(outlet, index);
    findings.push(overloadFinding(subject, mostLoaded(currents)));
    findings.push(...rangeFindings(subject, volts, place.system.frequencyHz));
  }
  const known = outlets.filter(({ assessment }) => assessment !== 'notAssessed').map(({ outletId }) => outletId);
  return [...findings.filter((finding) => finding !== null), ...dropFindings(index, built, solution, known)];
}

function unsolved(
  { elementId, message }: PowerFlowProblem,
  built: MarinaNetwork,
  { inventory }: InventoryIndex,
): Finding {
  const whole: Subject = { kind: 'marina', id: inventory.name, label: inventory.name };
  const subject = (elementId === null ? undefined : built.owners.get(elementId)) ?? whole;
  return {
    rule: 'power.notSolved',
    level: 'caution',
    subject,
    actual: null,
    limit: null,
    unit: null,
    source: judgement,
    message: `No steady volts were found; the trouble shows at ${subject.label}. ${message}`,
  };
}

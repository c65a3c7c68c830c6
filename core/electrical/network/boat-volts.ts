import type { OutletUse } from '../../berths/occupancy.ts';
import type { Finding } from '../../findings.ts';
import { judgement, outletSubject } from '../../inventory/checks/check.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import type { LoadBasis } from '../demand/demand-of-part.ts';
import { loadModel } from '../demand/load-model.ts';
import { spreadStatedVa } from '../demand/spread-stated.ts';
import type { PowerFlowFailure } from '../power-flow/power-flow.ts';
import {
  type FoundVolts,
  type LoadPlace,
  type PlacedLoads,
  type PreparedPowerFlow,
  preparePowerFlow,
} from '../power-flow/prepared-power-flow.ts';
import { usualAssumptions } from './assumptions.ts';
import { dropFindings } from './drop-findings.ts';
import { rangeFindings, voltRange } from './flow-findings.ts';
import { loadsInUse } from './loads-in-use.ts';
import { type MarinaNetwork, marinaNetwork, type NetworkPlace } from './marina-network.ts';
import { type PairVolts, pairVoltsOf } from './place-volts.ts';
import { type OutletPair, type VoltModel, voltModel } from './volt-model.ts';
import { type ScreenLoad, type VoltScreen, voltScreen } from './volt-screen.ts';

/** The volts that one more boat finds at its outlets, with everything in use at once beside it. */
export interface BoatVolts {
  /** `notAssessed`: a datum of some outlet or above it is missing. `notSolved`: no steady volts were found. */
  readonly status: 'solved' | 'notSolved' | 'notAssessed';
  /** The pair of contacts with the lowest volts for its nominal ones; null without a solution. */
  readonly lowest: (PairVolts & { readonly outletId: string }) | null;
  /** What the other boats and this one were taken to draw. */
  readonly basis: LoadBasis;
  readonly findings: readonly Finding[];
}

export interface StayVolts {
  /** False only where the solved volts lie within range for certain; quick, and the same for outlets that load alike. */
  readonly mayLeaveRange: (outlets: readonly Outlet[], statedVa: number | null) => boolean;
  readonly solve: (outlets: readonly Outlet[], statedVa: number | null) => BoatVolts;
}

/**
 * Volts for one more boat over a period, on the basis that refuses: everything in use at some moment of the period
 * counts at once. Others draw as `loadsInUse` has it, the boat its outlets' full rating, or what it says.
 */
export function prepareVolts(index: InventoryIndex, practice: DemandPractice, uses: readonly OutletUse[]): StayVolts {
  const basis = index.inventory.settings.refusingBasis;
  const model = voltModel(index);
  const classes = loadModel(index);
  const { loads: others, unjoined } = otherLoads(index, practice, uses, basis, model);
  const screen = voltScreen(model, others);

  const ownLoads = (outlets: readonly Outlet[], statedVa: number | null): ScreenLoad[] => {
    const stated =
      basis === 'stated'
        ? spreadStatedVa(
            index,
            outlets.map(({ id }) => id),
            statedVa,
          )
        : null;
    return outlets.map((outlet) => {
      const totalVa = stated?.get(outlet.id) ?? model.outletOf(outlet)?.patternVa ?? 0;
      return { outlet, totalVa };
    });
  };
  const solver = groupSolver(index, model, basis === 'rated' ? 'constantCurrent' : 'constantPower', others);
  const solutions = new Map<string, Solved>();
  const solved = (own: readonly ScreenLoad[]): Solved => {
    const key = own
      .map(({ outlet, totalVa }) => `${classes.outletLoad(outlet).classId} ${totalVa}`)
      .sort()
      .join();
    const found = solutions.get(key) ?? solver(own);
    solutions.set(key, found);
    return found;
  };

  return {
    mayLeaveRange: (outlets, statedVa) => {
      const own = ownLoads(outlets, statedVa);
      if (isWellWithin(model, screen, own)) return false;
      const bounds = screen.bounds(own);
      return (
        bounds?.some(({ outletId, leastV, mostV, nominalV }) => {
          const place = model.network.outlets.get(outletId);
          if (place === undefined) return false;
          const { least, most } = voltRange(place.system.frequencyHz);
          return leastV < least * nominalV || mostV > most * nominalV;
        }) ?? true
      );
    },
    solve: (outlets, statedVa) => {
      const gaps = outlets.flatMap((outlet) => gapOf(index, model, outlet));
      if (gaps.length > 0) return { status: 'notAssessed', lowest: null, basis, findings: gaps };
      const volts = judged(index, model, basis, outlets, solved(ownLoads(outlets, statedVa)));
      const leftOut = outlets.flatMap((outlet) => leftOutNote(index, model, outlet, unjoined));
      return { ...volts, findings: [...volts.findings, ...leftOut] };
    },
  };
}

/** Whether the rough bounds of all outlets are within range; those that are not assessed say nothing. */
function isWellWithin(model: VoltModel, screen: VoltScreen, own: readonly ScreenLoad[]): boolean {
  let addedA = 0;
  for (const { outlet, totalVa } of own) addedA += totalVa * (model.outletOf(outlet)?.amperesOfOneVa ?? 0);
  return own.every(({ outlet }) => {
    const at = model.outletOf(outlet);
    const place = model.network.outlets.get(outlet.id);
    if (at === null || place?.assessed !== true) return true;
    const rough = screen.rough(at.part, addedA);
    const { least, most } = voltRange(place.system.frequencyHz);
    return rough !== null && rough.least >= least && rough.most <= most;
  });
}

/** Loads of all others, those alike in path, lines and pattern as one on the first of their outlets. */
function otherLoads(
  index: InventoryIndex,
  practice: DemandPractice,
  uses: readonly OutletUse[],
  basis: LoadBasis,
  model: VoltModel,
): { readonly loads: ScreenLoad[]; readonly unjoined: readonly Outlet[] } {
  const classes = loadModel(index);
  const unjoined: Outlet[] = [];
  const byClass = new Map<number, { outlet: Outlet; totalVa: number }>();
  for (const { outlet, load } of loadsInUse(index, practice, uses, basis).loads) {
    const at = model.outletOf(outlet);
    if (at === null) {
      unjoined.push(outlet);
      continue;
    }
    const { demand } = load;
    const va =
      demand.basis === 'spread' ? demand.totalVa : at.ratedVa * (demand.basis === 'rated' ? (demand.share ?? 1) : 1);
    const { classId } = classes.outletLoad(outlet);
    const alike = byClass.get(classId);
    if (alike === undefined) byClass.set(classId, { outlet, totalVa: va });
    else alike.totalVa += va;
  }
  return { loads: [...byClass.values()], unjoined };
}

interface Solved {
  readonly built: MarinaNetwork;
  readonly result: FoundVolts | PowerFlowFailure;
}

/**
 * Solves what shares a conductor with a boat's outlets, and nothing else: the rest does not see them. What all others
 * draw is solved once for each such group, and the volts with the boat are sought from there.
 */
function groupSolver(
  index: InventoryIndex,
  model: VoltModel,
  loadModelled: PlacedLoads['model'],
  others: readonly ScreenLoad[],
): (own: readonly ScreenLoad[]) => Solved {
  const byGroup = new Map<number | undefined, ScreenLoad[]>();
  for (const each of others) {
    const group = groupOf(model, each.outlet);
    const ofGroup = byGroup.get(group);
    if (ofGroup === undefined) byGroup.set(group, [each]);
    else ofGroup.push(each);
  }
  const without = new Map<GroupNetwork, { readonly loads: PlacedLoads; readonly volts: FoundVolts | null }>();
  const ofOthers = (network: GroupNetwork, groups: ReadonlySet<number | undefined>) => {
    const known = without.get(network);
    if (known !== undefined) return known;
    const { placeCount, flow } = network;
    const [powerW, reactivePowerVar] = [new Float64Array(placeCount), new Float64Array(placeCount)];
    const loads: PlacedLoads = { model: loadModelled, powerW, reactivePowerVar };
    for (const group of groups) for (const each of byGroup.get(group) ?? []) draw(model, network, loads, each);
    const result = flow.solve(loads, null);
    const found = { loads, volts: result.status === 'solved' ? result : null };
    without.set(network, found);
    return found;
  };
  return (own) => {
    const groups = new Set(own.map(({ outlet }) => groupOf(model, outlet)));
    const network = networkOf(index, model, groups);
    const { loads, volts } = ofOthers(network, groups);
    const { powerW, reactivePowerVar } = loads;
    const all = { model: loadModelled, powerW: powerW.slice(), reactivePowerVar: reactivePowerVar.slice() };
    for (const each of own) draw(model, network, all, each);
    return { built: network.built, result: network.flow.solve(all, volts) };
  };
}

function draw(model: VoltModel, { placeOf }: GroupNetwork, loads: PlacedLoads, { outlet, totalVa }: ScreenLoad): void {
  const at = model.outletOf(outlet);
  if (at === null) return;
  const { powerFactor } = usualAssumptions;
  const lag = Math.sqrt(1 - powerFactor * powerFactor);
  for (const pair of at.pairs) {
    const place = placeOf.get(placeKey(at.part, pair));
    if (place === undefined) continue;
    loads.powerW[place] = (loads.powerW[place] as number) + totalVa * pair.share * powerFactor;
    loads.reactivePowerVar[place] = (loads.reactivePowerVar[place] as number) + totalVa * pair.share * lag;
  }
}

function groupOf(model: VoltModel, outlet: Outlet): number | undefined {
  return model.parts[model.outletOf(outlet)?.part ?? -1]?.group;
}

/** Loads between the same poles of a part hang as one. */
function placeKey(part: number, { poles: [one, other] }: OutletPair): string {
  return `${part} ${one} ${other}`;
}

interface GroupNetwork {
  readonly built: MarinaNetwork;
  readonly flow: PreparedPowerFlow;
  readonly placeOf: ReadonlyMap<string, number>;
  readonly placeCount: number;
}

const networks = new WeakMap<VoltModel, Map<string, GroupNetwork>>();

/** The network of some groups with a place for whatever may hang on an outlet of theirs; read once for each. */
function networkOf(index: InventoryIndex, model: VoltModel, groups: ReadonlySet<number | undefined>): GroupNetwork {
  const ofModel = networks.get(model) ?? new Map<string, GroupNetwork>();
  networks.set(model, ofModel);
  const key = [...groups].sort().join();
  const known = ofModel.get(key);
  if (known !== undefined) return known;
  const built = partsOf(index, model, groups);
  const places: LoadPlace[] = [];
  const placeOf = new Map<string, number>();
  for (const outlet of index.inventory.outlets) {
    const at = model.outletOf(outlet);
    if (at === null || !groups.has(groupOf(model, outlet))) continue;
    const terminals = built.parts.get(model.network.feedingParts.get(outlet.id) ?? '')?.terminals;
    for (const pair of at.pairs) {
      const id = placeKey(at.part, pair);
      const [from, to] = pair.poles.map((pole) => terminals?.get(pole));
      if (placeOf.has(id) || from === undefined || to === undefined) continue;
      placeOf.set(id, places.length);
      places.push({ id, from, to, ratedV: pair.nominalV });
    }
  }
  const flow = preparePowerFlow(built.network.elements, places);
  const made = { built, flow, placeOf, placeCount: places.length };
  ofModel.set(key, made);
  return made;
}

/** The network of some groups, with what feeds them, without outlets. */
function partsOf(index: InventoryIndex, model: VoltModel, groups: ReadonlySet<number | undefined>): MarinaNetwork {
  const kept = new Set<Equipment>();
  for (const [id, place] of model.placeOf) {
    if (!groups.has(model.parts[place]?.group)) continue;
    for (let part = index.equipment.get(id); part !== undefined && !kept.has(part); ) {
      kept.add(part);
      part = part.parentId === null ? undefined : index.equipment.get(part.parentId);
    }
  }
  const equipment = index.inventory.equipment.filter((part) => kept.has(part));
  const some: InventoryIndex = {
    ...index,
    inventory: { ...index.inventory, equipment, outlets: [] },
    equipment: new Map(equipment.map((each) => [each.id, each])),
  };
  return marinaNetwork(some, [], usualAssumptions);
}

function judged(
  index: InventoryIndex,
  model: VoltModel,
  basis: LoadBasis,
  outlets: readonly Outlet[],
  { built, result }: Solved,
): BoatVolts {
  if (result.status !== 'solved') {
    return {
      status: 'notSolved',
      lowest: null,
      basis,
      findings: outlets.slice(0, 1).map((outlet) => unsolved(index, outlet, result)),
    };
  }
  // An outlet of a class has the volts of the part that feeds it, whichever of the class was solved.
  const places = new Map<string, NetworkPlace>();
  for (const { id } of outlets) {
    const part = built.parts.get(model.network.feedingParts.get(id) ?? '');
    const at = model.network.outlets.get(id);
    if (part === undefined || at === undefined) continue;
    const terminals = new Map([...at.poleOf].map(([contact, pole]) => [contact, part.terminals.get(pole) ?? '']));
    places.set(id, { ...at, terminals });
  }
  let lowest: BoatVolts['lowest'] = null;
  const findings: Finding[] = [];
  for (const outlet of outlets) {
    const place = places.get(outlet.id);
    if (place === undefined) continue;
    const volts = pairVoltsOf(place, result);
    for (const pair of volts) {
      if (lowest === null || pair.voltageV / pair.nominalV < lowest.voltageV / lowest.nominalV) {
        lowest = { outletId: outlet.id, ...pair };
      }
    }
    findings.push(...rangeFindings(outletSubject(outlet, index), volts, place.system.frequencyHz));
  }
  const drops = dropFindings(index, { ...built, outlets: places }, result, [...places.keys()]);
  findings.push(...drops.filter(({ subject }) => subject.kind === 'outlet'));
  return { status: 'solved', lowest, basis, findings };
}

function unsolved(index: InventoryIndex, outlet: Outlet, result: PowerFlowFailure): Finding {
  const subject = outletSubject(outlet, index);
  return {
    rule: 'power.notSolved',
    level: 'caution',
    subject,
    actual: null,
    limit: null,
    unit: null,
    source: judgement,
    message: `No steady volts were found with one more boat at outlet ${subject.label}: ${result.problems[0]?.message ?? result.status}`,
  };
}

/** What keeps the volts of an outlet from being assessed. A note: it is unknown, and never within. */
function gapOf(index: InventoryIndex, { network }: VoltModel, outlet: Outlet): Finding[] {
  if (network.outlets.get(outlet.id)?.assessed === true) return [];
  const above = new Set((index.pathOfOutlet.get(outlet.id) ?? []).map(({ id }) => id));
  const why = network.findings.find(({ subject }) =>
    subject.kind === 'outlet' ? subject.id === outlet.id : above.has(subject.id),
  );
  const subject = outletSubject(outlet, index);
  return [
    {
      rule: 'power.notAssessed',
      level: 'note',
      subject,
      actual: null,
      limit: null,
      unit: null,
      source: judgement,
      message: `Volts at outlet ${subject.label} are not assessed: ${why?.missingFact?.question ?? 'what feeds it is unknown.'}`,
    },
  ];
}

/** Outlets in use that share a conductor with this one and whose load could not be joined. */
function leftOutNote(index: InventoryIndex, model: VoltModel, outlet: Outlet, unjoined: readonly Outlet[]): Finding[] {
  const groupOf = ({ id }: Outlet) => {
    const placed = index.pathOfOutlet.get(id)?.find((part) => model.placeOf.has(part.id));
    return model.parts[model.placeOf.get(placed?.id ?? '') ?? -1]?.group;
  };
  const own = groupOf(outlet);
  const missing = unjoined.filter((each) => groupOf(each) === own).map((each) => outletSubject(each, index).label);
  if (missing.length === 0) return [];
  const subject = outletSubject(outlet, index);
  return [
    {
      rule: 'power.atBest',
      level: 'note',
      subject,
      actual: missing.length,
      limit: 0,
      unit: 'outlet',
      source: judgement,
      message: `Volts at outlet ${subject.label} may be lower than figured: which lines ${missing.slice(0, 5).join(', ')} load is unknown.`,
    },
  ];
}

import type { Finding, Subject } from '../../findings.ts';
import { equipmentSubject, judgement, outletSubject } from '../../inventory/checks/check.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import { startsSupply, suppliesOf } from '../../inventory/supplies.ts';
import type { LineName } from '../../standards/configuration.ts';
import { configuration } from '../../standards/configurations.ts';
import type { SupplySystem } from '../../standards/supply-system.ts';
import { groundTerminal, type PowerFlowElement, type PowerFlowNetwork } from '../power-flow/network.ts';
import type { FlowAssumptions } from './assumptions.ts';
import { conductorImpedance, conductorLine, type MissingDatum, neutralSize } from './conductor-impedance.ts';
import { demandOf, type OutletLoad, pairLoads } from './outlet-loads.ts';
import { names, type Pole } from './terminals.ts';
import { transformerUnits } from './transformer-units.ts';

/** Where a part or an outlet stands in the network. */
export interface NetworkPlace {
  readonly system: SupplySystem;
  /** Terminal of each pole; of an outlet, of each contact. */
  readonly terminals: ReadonlyMap<Pole, string>;
  /** For each contact the pole of the supply behind it; of a part, itself. */
  readonly poleOf: ReadonlyMap<Pole, Pole>;
  /** False where a datum of it or of what feeds it is missing. It is then joined without impedance, for its load only. */
  readonly assessed: boolean;
  readonly serviceId: string;
}

export interface MarinaNetwork {
  readonly network: PowerFlowNetwork;
  /** Parts and outlets in the network; one that is missing cannot be joined at all. */
  readonly parts: ReadonlyMap<string, NetworkPlace>;
  readonly outlets: ReadonlyMap<string, NetworkPlace>;
  /** The part that feeds each of these outlets. */
  readonly feedingParts: ReadonlyMap<string, string>;
  /** Loads of parts that are in the network, line to neutral. */
  readonly otherLoads: readonly { readonly partId: string; readonly line: LineName; readonly loadVa: number }[];
  /** Services with something that is not assessed below them: volts there may be lower than solved. */
  readonly incompleteServices: ReadonlySet<string>;
  /** Whom each element belongs to. */
  readonly owners: ReadonlyMap<string, Subject>;
  /** One for each datum that is missing. */
  readonly findings: readonly Finding[];
}

/** Stands for a transformer that is not assessed, so that what is above it still carries its load; percent R and X. */
const standIn = { percentR: 1, percentX: 2 };

/** A load below this is none: its impedance would be beyond any figure. Above the other there is no outlet. */
const leastVa = 1e-3;
const mostVa = 1e9;

/**
 * The distribution tree of a marina with loads on its outlets as a network to solve: a terminal for each line and the
 * neutral at every part, and for each contact of every outlet. A datum that is missing gives a finding that names it;
 * everything behind it is not assessed.
 *
 * @throws RangeError for a load on an unknown outlet, on contacts that its outlet has not, below 0 VA or beyond any
 * outlet, or with a power factor outside (0, 1].
 */
export function marinaNetwork(
  index: InventoryIndex,
  loads: readonly OutletLoad[],
  assumed: FlowAssumptions,
): MarinaNetwork {
  const { inventory } = index;
  const elements: PowerFlowElement[] = [];
  const owners = new Map<string, Subject>();
  const parts = new Map<string, NetworkPlace>();
  const outlets = new Map<string, NetworkPlace>();
  const feedingParts = new Map<string, string>();
  const otherLoads: MarinaNetwork['otherLoads'][number][] = [];
  const incompleteServices = new Set<string>();
  const findings: Finding[] = [];
  const supplies = suppliesOf(index.equipment);

  const add = (owner: Subject, ...added: PowerFlowElement[]): void => {
    for (const element of added) {
      elements.push(element);
      owners.set(element.id, owner);
    }
  };
  const miss = (subject: Subject, serviceId: string, { datum, why }: MissingDatum): void => {
    incompleteServices.add(serviceId);
    findings.push(notAssessed(subject, datum, why));
  };
  const polesOf = (part: Equipment): readonly Pole[] => {
    const supply = supplies.ofEquipment.get(part.id) ?? null;
    if (supply === null) return [];
    return supply.system.hasNeutral ? [...supply.lines, 'N'] : supply.lines;
  };
  const place = (part: Equipment, system: SupplySystem, assessed: boolean, serviceId: string): NetworkPlace => {
    const poles = polesOf(part);
    const made = {
      system,
      terminals: new Map(poles.map((pole) => [pole, names.partTerminal(part.id, pole)])),
      poleOf: new Map(poles.map((pole) => [pole, pole])),
      assessed,
      serviceId,
    };
    parts.set(part.id, made);
    return made;
  };
  const ground = (part: Equipment, { terminals }: NetworkPlace): void => {
    const neutral = terminals.get('N');
    // One tie to ground settles what volts are counted from and carries nothing.
    if (neutral === undefined || part.earthing === null) return;
    const tie = { kind: 'impedance', id: names.earth(part.id), from: neutral, to: groundTerminal } as const;
    add(equipmentSubject(part), { ...tie, resistanceOhm: 0, reactanceOhm: 0 });
  };

  const addService = (part: Equipment, system: SupplySystem): void => {
    const here = place(part, system, true, part.id);
    const minus = here.terminals.get('N') ?? names.starTerminal(part.id);
    for (const { name, voltageV, angleDeg } of system.lines) {
      const plus = here.terminals.get(name);
      if (plus === undefined) continue;
      const volts = { voltageV: voltageV * assumed.serviceVoltageShare, angleDeg };
      add(equipmentSubject(part), { kind: 'source', id: names.source(part.id, name), plus, minus, ...volts });
    }
    ground(part, here);
  };

  /** Joins the poles of a part to those above it, by its conductor or, where it has none or not all is known, ideally. */
  const join = (part: Equipment, from: NetworkPlace, toTerminal: (pole: Pole) => string): MissingDatum | null => {
    const owner = equipmentSubject(part);
    const wired = [...from.terminals].filter(([pole]) => pole === 'N' || (part.lines?.includes(pole) ?? true));
    const needsConductor = part.kind === 'feeder' || part.kind === 'branchCircuit';
    const made = part.conductor === null ? null : conductorsOf(part, part.conductor, assumed);
    if (made !== null && !('datum' in made)) {
      const ends = wired.map(([pole, terminal]) => ({
        name: pole,
        from: terminal,
        to: toTerminal(pole),
        impedance: pole === 'N' ? made.neutral : made.line,
        ...rated(pole === 'N' ? part.neutralAmpacityA : lowest(part.breakerA, part.conductorAmpacityA)),
      }));
      add(owner, conductorLine(names.line(part.id), ends));
      return null;
    }
    for (const [pole, terminal] of wired) {
      const ends = { from: terminal, to: toTerminal(pole), closed: true } as const;
      const limit = rated(pole === 'N' ? null : lowest(part.breakerA, part.busA));
      add(owner, { kind: 'switch', id: names.joint(part.id, pole), ...ends, ...limit });
    }
    if (made !== null) return made;
    return needsConductor ? { datum: 'conductor', why: 'its conductor is unknown' } : null;
  };

  const addTransformer = (part: Equipment, system: SupplySystem, from: NetworkPlace): void => {
    const owner = equipmentSubject(part);
    const fault = part.conductor === null ? null : join(part, from, (pole) => names.primaryTerminal(part.id, pole));
    const wired = [...from.terminals].filter(([pole]) => pole === 'N' || (part.lines?.includes(pole) ?? true));
    const primary = {
      system: from.system,
      terminals: new Map(
        wired.map(([pole, terminal]) => [
          pole,
          part.conductor === null ? terminal : names.primaryTerminal(part.id, pole),
        ]),
      ),
    };
    const secondary = {
      system,
      terminals: new Map(polesOf(part).map((pole) => [pole, names.partTerminal(part.id, pole)])),
    };
    const { transformer } = part;
    if (transformer === null) {
      miss(owner, from.serviceId, { datum: 'transformer', why: 'nothing of its nameplate is entered' });
      return;
    }
    const id = names.transformer(part.id);
    const units = transformerUnits(id, transformer, primary, secondary);
    const missing = 'datum' in units ? units : fault;
    if (missing !== null) miss(owner, from.serviceId, missing);
    const ratedKva = transformer.ratedKva !== null && transformer.ratedKva > 0 ? transformer.ratedKva : 1000;
    const used =
      'datum' in units ? transformerUnits(id, { ...transformer, ratedKva, ...standIn }, primary, secondary) : units;
    if ('datum' in used) return;
    add(owner, ...used);
    ground(part, place(part, system, from.assessed && missing === null, from.serviceId));
  };

  const addPart = (part: Equipment): void => {
    const supply = supplies.ofEquipment.get(part.id) ?? null;
    if (supply === null) {
      const why = 'its supply system is unknown';
      if (startsSupply(part)) miss(equipmentSubject(part), part.id, { datum: 'systemId', why });
      return;
    }
    if (part.kind === 'service') {
      addService(part, supply.system);
    } else {
      const from = part.parentId === null ? undefined : parts.get(part.parentId);
      if (from === undefined) return;
      if (startsSupply(part)) {
        addTransformer(part, supply.system, from);
      } else {
        const missing = join(part, from, (pole) => names.partTerminal(part.id, pole));
        if (missing !== null) miss(equipmentSubject(part), from.serviceId, missing);
        place(part, supply.system, from.assessed && missing === null, from.serviceId);
      }
    }
    const here = parts.get(part.id);
    if (here !== undefined) addOtherLoads(part, here);
  };

  const addOtherLoads = (part: Equipment, { system, terminals, serviceId }: NetworkPlace): void => {
    const owner = equipmentSubject(part);
    part.otherLoads.forEach(({ label, loadVa }, at) => {
      for (const { name: line, voltageV } of system.lines) {
        const va = loadVa[line] ?? 0;
        if (va < leastVa) continue;
        const [from, to] = [terminals.get(line), terminals.get('N')];
        if (from === undefined || to === undefined) {
          const why = `its load "${label}" on ${line} has no line and neutral to hang on`;
          miss(owner, serviceId, { datum: `otherLoads.${at}.loadVa.${line}`, why });
          continue;
        }
        const demand = demandOf('constantPower', va, voltageV, assumed.powerFactor);
        add(owner, { kind: 'load', id: names.otherLoad(part.id, at, line), from, to, demand });
        otherLoads.push({ partId: part.id, line, loadVa: va });
      }
    });
  };

  const addOutlet = (outlet: Outlet): void => {
    const feeding = index.pathOfOutlet.get(outlet.id)?.[0];
    const from = feeding === undefined ? undefined : parts.get(feeding.id);
    if (feeding === undefined || from === undefined) return;
    const owner = outletSubject(outlet, index);
    const poleOf = contactsOf(outlet, from);
    if ('datum' in poleOf) {
      miss(owner, from.serviceId, poleOf);
      return;
    }
    const terminals = new Map<Pole, string>();
    for (const [contact, pole] of poleOf) {
      const terminal = names.outletTerminal(outlet.id, contact);
      terminals.set(contact, terminal);
      const ends = { from: from.terminals.get(pole) ?? '', to: terminal, closed: true } as const;
      const limit = rated(contact === 'N' ? null : outlet.breakerA);
      add(owner, { kind: 'switch', id: names.breaker(outlet.id, contact), ...ends, ...limit });
    }
    outlets.set(outlet.id, { ...from, terminals, poleOf });
    feedingParts.set(outlet.id, feeding.id);
  };

  for (const part of parentsFirst(index)) addPart(part);
  for (const outlet of inventory.outlets) addOutlet(outlet);
  for (const load of loads) {
    const { outletId, powerFactor = assumed.powerFactor } = load;
    const model = load.model ?? (load.demand.basis === 'rated' ? 'constantCurrent' : 'constantPower');
    const outlet = index.outlets.get(outletId);
    if (outlet === undefined) throw new RangeError(`There is no outlet "${outletId}": correct the id.`);
    if (!(powerFactor > 0 && powerFactor <= 1)) {
      throw new RangeError(`The power factor ${powerFactor} on outlet "${outletId}" must be above 0 and at most 1.`);
    }
    const at = outlets.get(outletId);
    const pattern = configuration(outlet.configurationId);
    // An outlet that cannot be joined has its finding already.
    if (at === undefined || pattern === null) continue;
    const pairs = pairLoads(load, outlet, pattern, at.system, at.poleOf);
    if (pairs === null) {
      const contacts = [...at.terminals.keys()].join(', ');
      throw new RangeError(`Outlet "${outletId}" has the contacts ${contacts}: put its load between two of these.`);
    }
    for (const { pair, nominalV, loadVa } of pairs) {
      if (!(loadVa >= 0 && loadVa <= mostVa)) {
        throw new RangeError(`The load of ${loadVa} VA on outlet "${outletId}" must be from 0 to ${mostVa} VA.`);
      }
      if (loadVa < leastVa) continue;
      const [from = '', to = ''] = pair.map((contact) => at.terminals.get(contact) ?? '');
      const demand = demandOf(model, loadVa, nominalV, powerFactor);
      add(outletSubject(outlet, index), { kind: 'load', id: names.load(outletId, pair.join('-')), from, to, demand });
    }
  }
  return { network: { elements }, parts, outlets, feedingParts, otherLoads, incompleteServices, owners, findings };
}

function conductorsOf(part: Equipment, conductor: NonNullable<Equipment['conductor']>, assumed: FlowAssumptions) {
  const run = { ...conductor, conduit: assumed.conduit, temperatureC: assumed.conductorTemperatureC };
  const line = conductorImpedance(run);
  const neutral = conductorImpedance({
    ...run,
    ...neutralSize(conductor, part.conductorAmpacityA, part.neutralAmpacityA),
  });
  if ('datum' in line) return line;
  return 'datum' in neutral ? neutral : { line, neutral };
}

/** For each contact of an outlet the pole of its supply, or what keeps it from being joined. */
function contactsOf(outlet: Outlet, from: NetworkPlace): ReadonlyMap<Pole, Pole> | MissingDatum {
  const pattern = configuration(outlet.configurationId);
  if (pattern === null) return { datum: 'configurationId', why: `"${outlet.configurationId}" is no known pattern` };
  const contacts = pattern.terminals.filter((terminal): terminal is LineName => terminal !== 'N' && terminal !== 'G');
  const carried = [...from.terminals.keys()].filter((pole): pole is LineName => pole !== 'N');
  const lines = outlet.lines ?? (carried.length === contacts.length ? carried : null);
  if (lines === null) return { datum: 'lines', why: 'nobody has said which lines are on its contacts' };
  const poleOf = new Map<Pole, Pole>();
  contacts.forEach((contact, at) => {
    const line = lines[at];
    if (line !== undefined && carried.includes(line)) poleOf.set(contact, line);
  });
  if (poleOf.size < contacts.length || new Set(poleOf.values()).size < contacts.length) {
    return {
      datum: 'lines',
      why: `its contacts need ${contacts.length} of ${carried.join(', ')}, not ${lines.join(', ')}`,
    };
  }
  if (!pattern.terminals.includes('N')) return poleOf;
  if (!from.terminals.has('N'))
    return { datum: 'configurationId', why: 'its pattern has a neutral and its supply has none' };
  return poleOf.set('N', 'N');
}

/** Parts from the services down, so that what feeds a part is there before it. */
function parentsFirst({ inventory }: InventoryIndex): Equipment[] {
  const children = new Map<string, Equipment[]>();
  const ordered: Equipment[] = [];
  for (const part of inventory.equipment) {
    if (part.parentId === null) ordered.push(part);
    else {
      const siblings = children.get(part.parentId);
      if (siblings === undefined) children.set(part.parentId, [part]);
      else siblings.push(part);
    }
  }
  // The list grows while it is walked.
  for (const part of ordered) ordered.push(...(children.get(part.id) ?? []));
  return ordered;
}

function lowest(...limits: readonly (number | null)[]): number | null {
  const known = limits.filter((limit) => limit !== null);
  return known.length === 0 ? null : Math.min(...known);
}

function rated(ratedA: number | null): { ratedA?: number } {
  return ratedA === null ? {} : { ratedA };
}

const questions: Readonly<Record<string, string>> = {
  conductor: 'What are the material, size, sets and length of the conductor',
  'conductor.lengthM': 'How long, one way, is the conductor',
  'conductor.size': 'What size is printed on the conductor',
  lines: 'Which lines are connected to the terminals',
  transformer: 'What does the nameplate say',
  'transformer.ratedKva': 'How many kVA are on the nameplate',
  'transformer.percentR': 'What percent resistance is on the nameplate or test sheet',
  'transformer.percentX': 'What percent reactance is on the nameplate or test sheet',
  'transformer.connection': 'How are the windings connected',
};

function notAssessed(subject: Subject, datum: string, why: string): Finding {
  return {
    rule: 'power.notAssessed',
    level: 'confirm',
    subject,
    actual: null,
    limit: null,
    unit: null,
    source: judgement,
    message: `Volts and amperes of ${subject.label} and of all that it feeds are not assessed: ${why}. Find it out and enter it.`,
    missingFact: {
      subject,
      fact: datum,
      question: `${questions[datum] ?? `What is the ${datum}`} of ${subject.label}?`,
    },
  };
}

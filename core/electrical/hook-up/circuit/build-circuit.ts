import { transformerOf } from '../../../boats.ts';
import type { AdapterKind } from '../../../standards/adapter-kind.ts';
import type { Configuration, LineName, Terminal } from '../../../standards/configuration.ts';
import { configuration } from '../../../standards/configurations.ts';
import type { PowerFlowElement } from '../../power-flow/network.ts';
import type { HookUp, HookUpContext, Joint } from '../hook-up.ts';
import { cordSetsFor } from '../inlet-rules.ts';
import type { SupplyOutlet } from '../supply-outlet.ts';
import { lineOfContact } from '../trace.ts';
import type { CircuitParts, HookUpCircuit, LoosePlug, RatedFitting } from './circuit.ts';
import { addLoadPorts } from './load-ports.ts';
import { adapterLengthM, contactOhm, ohmPerMetre } from './resistances.ts';
import { addTransformer } from './transformer-aboard.ts';

// A cord of which nobody has said the length counts as the usual 50 ft.
const usualCordM = 15.24;

/**
 * The circuit of a hook-up whose outlets all have known lines and systems; null where one has not. Joints that do not
 * mate, or name what does not exist, are left open.
 */
export function buildCircuit(hookUp: HookUp, context: HookUpContext): HookUpCircuit | null {
  const parts: CircuitParts = { elements: [], ports: [], poles: [], conductors: [] };
  const kinds = new Map<string, AdapterKind>();
  for (const { ref, kindId } of hookUp.adapters) {
    const kind = context.adapterKinds.get(kindId);
    if (kind !== undefined) kinds.set(ref, kind);
  }
  const supplies = new Set<string>();
  for (const joint of hookUp.joints) {
    const pattern = mated(joint, kinds, context);
    if (pattern === null) continue;
    const outlet = joint.from.kind === 'outlet' ? context.outlets.get(joint.from.outletId) : undefined;
    if (outlet !== undefined && !addSupply(outlet, pattern, supplies, parts.elements)) return null;
    if (joint.to.kind === 'plug')
      addContacts(parts, pattern, outlet, (terminal) => sourceTerminal(joint, outlet, terminal), joint.to);
    else addInlet(parts, joint, joint.to.inletId, pattern, outlet, context);
  }
  for (const [ref, kind] of kinds) addAdapter(parts, ref, kind);
  return {
    ...parts,
    plugs: [...kinds].flatMap(([ref, kind]) => loosePlugs(ref, kind, parts.elements)),
    fittings: [...kinds].flatMap(([ref, kind]) => ratedFittings(ref, kind)),
  };
}

function mated(joint: Joint, kinds: ReadonlyMap<string, AdapterKind>, context: HookUpContext): Configuration | null {
  const { from, to } = joint;
  const source =
    from.kind === 'outlet'
      ? context.outlets.get(from.outletId)?.configurationId
      : kinds.get(from.adapter)?.connectors.find(({ id }) => id === from.fitting)?.configurationId;
  const sink =
    to.kind === 'inlet'
      ? to.configurationId
      : kinds.get(to.adapter)?.plugs.find(({ id }) => id === to.fitting)?.configurationId;
  return source !== undefined && source === sink ? configuration(source) : null;
}

/** Sources of an outlet's supply; false where its lines or system are unknown. */
function addSupply(
  outlet: SupplyOutlet,
  pattern: Configuration,
  supplies: Set<string>,
  elements: PowerFlowElement[],
): boolean {
  const { system } = outlet;
  if (system === null) return false;
  for (const terminal of pattern.terminals) {
    if (!isLine(terminal)) continue;
    const name = lineOfContact(outlet, terminal);
    const line = system.lines.find((each) => each.name === name);
    if (line === undefined) return false;
    const plus = supplyTerminal(outlet, line.name);
    if (supplies.has(plus)) continue;
    supplies.add(plus);
    const { voltageV, angleDeg } = line;
    elements.push({ kind: 'source', id: `source ${plus}`, plus, minus: '0', voltageV, angleDeg });
  }
  return true;
}

/**
 * Outlets of which the supply is unknown stand on one of their own. Where two of one supply are said to have different
 * systems, each keeps the volts of its own: neither takes them from the other.
 */
function supplyTerminal({ supplyId, system, id }: SupplyOutlet, line: LineName): string {
  return supplyId === null ? `outlet ${id}.${line}` : `supply ${supplyId} ${system?.id}.${line}`;
}

function isLine(terminal: Terminal): terminal is LineName {
  return terminal !== 'N' && terminal !== 'G';
}

function sourceTerminal({ from }: Joint, outlet: SupplyOutlet | undefined, terminal: Terminal): string {
  if (from.kind === 'connector') return `${from.adapter}.${from.fitting}.${terminal}`;
  if (outlet === undefined || !isLine(terminal)) return '0';
  return supplyTerminal(outlet, lineOfContact(outlet, terminal) ?? terminal);
}

/** One impedance for each pair of contacts of a plug. */
function addContacts(
  { elements, poles }: CircuitParts,
  pattern: Configuration,
  outlet: SupplyOutlet | undefined,
  from: (terminal: Terminal) => string,
  plug: { readonly adapter: string; readonly fitting: string },
): void {
  for (const terminal of pattern.terminals) {
    const to = `${plug.adapter}.${plug.fitting}.${terminal}`;
    const id = `contact ${to}`;
    elements.push({
      kind: 'impedance',
      id,
      from: from(terminal),
      to,
      resistanceOhm: contactOhm,
      reactanceOhm: 0,
      ratedA: pattern.ratedA,
    });
    if (outlet !== undefined) poles.push({ outlet, terminal, elementId: id });
  }
}

/** A cord set with its two pairs of contacts, and what lies behind the inlet. */
function addInlet(
  parts: CircuitParts,
  joint: Joint,
  inletId: string,
  pattern: Configuration,
  outlet: SupplyOutlet | undefined,
  context: HookUpContext,
): void {
  const inlet = context.boat.inlets.find(({ id }) => id === inletId);
  if (inlet === undefined) return;
  const cord = weakestCord(context, pattern);
  const transformer = transformerOf(inlet);
  const inDockBox = transformer !== null && transformer.place === 'dockBox';
  const cordOhm = ohmPerMetre(cord.ratedA) * cord.lengthM;
  // Behind a transformer in the dock box the cord belongs to its secondary.
  const dockOhm = inDockBox ? contactOhm : 2 * contactOhm + cordOhm;
  const what = `the cord set of inlet ${inletId}`;
  for (const terminal of pattern.terminals) {
    const id = `cord ${inletId}.${terminal}`;
    elementsOf(parts, id, sourceTerminal(joint, outlet, terminal), `${inletId}.${terminal}`, dockOhm, cord.ratedA);
    if (outlet !== undefined) parts.poles.push({ outlet, terminal, elementId: id });
    if (terminal === 'G') continue;
    const ratedA = Math.min(cord.ratedA, pattern.ratedA);
    parts.conductors.push({ elementId: id, what, inletId, isNeutral: terminal === 'N', ratedA });
  }
  if (transformer === null) {
    if (context.boat.neutralBond?.value === 'always' && pattern.terminals.includes('N'))
      parts.elements.push({
        kind: 'impedance',
        id: `bond ${inletId}`,
        from: `${inletId}.N`,
        to: `${inletId}.G`,
        resistanceOhm: contactOhm,
        reactanceOhm: 0,
      });
    addLoadPorts(parts.ports, inlet, pattern);
  } else addTransformer(parts, inlet, transformer, pattern, inDockBox ? contactOhm + cordOhm : 0);
}

function elementsOf(parts: CircuitParts, id: string, from: string, to: string, resistanceOhm: number, ratedA: number) {
  parts.elements.push({ kind: 'impedance', id, from, to, resistanceOhm, reactanceOhm: 0, ratedA });
}

/** Which of the cord sets that fit is used is decided by its length: the one that loses most is reckoned with. */
function weakestCord({ boat }: HookUpContext, pattern: Configuration) {
  const cords = cordSetsFor(boat, pattern.id) ?? [];
  let weakest = { lengthM: usualCordM, ratedA: pattern.ratedA };
  let mostOhm = -1;
  for (const { lengthM, ratedA } of cords) {
    const ohm = ohmPerMetre(ratedA) * lengthM;
    if (ohm > mostOhm) weakest = { lengthM, ratedA };
    mostOhm = Math.max(mostOhm, ohm);
  }
  return weakest;
}

function addAdapter(parts: CircuitParts, ref: string, kind: AdapterKind): void {
  kind.conductors.forEach(({ from, to, ratedA }, i) => {
    const id = `adapter ${ref}.${i}`;
    const ohm = ohmPerMetre(ratedA) * adapterLengthM;
    const start = `${ref}.${from.fitting}.${from.terminal}`;
    elementsOf(parts, id, start, `${ref}.${to.fitting}.${to.terminal}`, ohm, ratedA);
    if (to.terminal === 'G') return;
    const isNeutral = to.terminal === 'N';
    parts.conductors.push({ elementId: id, what: kind.name, inletId: null, isNeutral, ratedA });
  });
}

function loosePlugs(ref: string, kind: AdapterKind, elements: readonly PowerFlowElement[]): LoosePlug[] {
  if (kind.plugs.length < 2) return [];
  return kind.plugs.map(({ id }) => {
    const contacts = (configuration(kind.plugs.find((each) => each.id === id)?.configurationId ?? '')?.terminals ?? [])
      .filter((terminal) => terminal !== 'G')
      .map((terminal) => `${ref}.${id}.${terminal}`);
    const elementIds = elements.flatMap((element) =>
      element.id.startsWith(`contact ${ref}.${id}.`) ? [element.id] : [],
    );
    return { adapter: ref, kindId: kind.id, fitting: id, elementIds, contacts, interlock: kind.interlock };
  });
}

function ratedFittings(ref: string, kind: AdapterKind): RatedFitting[] {
  return kind.connectors.map(({ id }) => {
    const conductors = kind.conductors.filter(({ to }) => to.fitting === id);
    const contacts = conductors.flatMap(({ to }) => (to.terminal === 'G' ? [] : [`${ref}.${id}.${to.terminal}`]));
    return {
      kindId: kind.id,
      label: kind.name,
      contacts: [...new Set(contacts)],
      ratedV: Math.min(...conductors.map(({ ratedV }) => ratedV)),
    };
  });
}

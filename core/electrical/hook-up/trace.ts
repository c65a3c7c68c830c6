import type { Inlet } from '../../boats.ts';
import type { Finding, Subject } from '../../findings.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import type { Configuration, LineName, Terminal } from '../../standards/configuration.ts';
import { configuration } from '../../standards/configurations.ts';
import { type Complex, complexZero, fromPolar } from '../complex.ts';
import type { HookUp, HookUpContext, PowerSource } from './hook-up.ts';
import type { SupplyOutlet } from './supply-outlet.ts';

/** One conductor of an adapter on the way from an outlet's contact to an inlet's. */
interface Segment {
  /** Of the circuit. */
  readonly elementId: string;
  readonly adapter: Subject;
  readonly ratedA: number;
  readonly breakerA: number | null;
}

/** A conducting way from an outlet's contact, dock's end first. */
export interface Path {
  readonly outlet: SupplyOutlet;
  readonly terminal: Terminal;
  readonly segments: readonly Segment[];
}

export interface TracedInlet {
  readonly inlet: Inlet;
  readonly subject: Subject;
  /** Where the inlet stands in the boat's document, for paths of missing facts. */
  readonly position: number;
  readonly configuration: Configuration;
  /** Ways that reach each contact; an open contact has none. */
  readonly paths: ReadonlyMap<Terminal, readonly Path[]>;
  /** Its lines that a way reaches, in order, and those that none reaches. */
  readonly live: readonly { readonly terminal: LineName; readonly path: Path }[];
  readonly dead: readonly LineName[];
}

export interface TracedHookUp {
  readonly inlets: readonly TracedInlet[];
  readonly outlets: readonly SupplyOutlet[];
  readonly adapters: readonly { readonly kind: AdapterKind; readonly subject: Subject }[];
  /** What does not mate or does not exist: behind it nothing is traced. */
  readonly findings: readonly Finding[];
}

const lineTerminals: readonly LineName[] = ['L1', 'L2', 'L3'];

export function outletSubject(outlet: SupplyOutlet): Subject {
  return { kind: 'outlet', id: outlet.id, label: outlet.label };
}

export function isLineTerminal(terminal: Terminal): terminal is LineName {
  return terminal !== 'N' && terminal !== 'G';
}

/** The supply's line behind a way; null where the outlet's lines are unknown or the way begins at no line. */
export function lineOf(path: Path): LineName | null {
  return isLineTerminal(path.terminal) ? lineOfContact(path.outlet, path.terminal) : null;
}

/** The supply's line on a contact of an outlet; null where nobody has stated it. */
export function lineOfContact(outlet: SupplyOutlet, contact: LineName): LineName | null {
  return outlet.lines?.[lineTerminals.indexOf(contact)] ?? null;
}

/** Nominal volts to the supply's neutral behind a way; null where lines or system are unknown. */
export function phasorOf(path: Path): Complex | null {
  if (!isLineTerminal(path.terminal)) return complexZero;
  const name = lineOf(path);
  const line = path.outlet.system?.lines.find((each) => each.name === name);
  return line === undefined ? null : fromPolar(line.voltageV, line.angleDeg);
}

/** Follows every conductor of the hook-up from the boat back to the dock. */
export function traceHookUp(hookUp: HookUp, context: HookUpContext): TracedHookUp {
  const findings: Finding[] = [];
  const adapters = new Map<string, { kind: AdapterKind; subject: Subject }>();
  for (const placed of hookUp.adapters) {
    const kind = context.adapterKinds.get(placed.kindId);
    const subject: Subject = { kind: 'adapter', id: placed.kindId, label: kind?.name ?? placed.kindId };
    if (kind === undefined)
      findings.push(absent(subject, 'is no known kind of adapter', 'Describe its terminals first'));
    else adapters.set(placed.ref, { kind, subject });
  }

  const sourceOfPlug = new Map<string, PowerSource>();
  for (const joint of hookUp.joints) {
    if (joint.to.kind === 'plug') sourceOfPlug.set(`${joint.to.adapter} ${joint.to.fitting}`, joint.from);
  }

  findings.push(...usedTwice(hookUp));
  const outlets = new Map<string, SupplyOutlet>();
  for (const { from } of hookUp.joints) {
    if (from.kind !== 'outlet') continue;
    const outlet = context.outlets.get(from.outletId);
    if (outlet !== undefined) outlets.set(outlet.id, outlet);
    else {
      const subject: Subject = { kind: 'outlet', id: from.outletId, label: from.outletId };
      findings.push(
        absent(subject, 'is not among the outlets of this berth', 'Choose an outlet that the berth reaches'),
      );
    }
  }

  for (const { kind, subject, ref } of placedIn(hookUp, adapters)) {
    for (const plug of kind.plugs) {
      const source = sourceOfPlug.get(`${ref} ${plug.id}`);
      if (source === undefined) findings.push(loosePlug(subject, plug.configurationId));
      else findings.push(...mating(configurationOfSource(source), plug.configurationId, subject));
    }
  }

  function configurationOfSource(source: PowerSource): string | null {
    if (source.kind === 'outlet') return context.outlets.get(source.outletId)?.configurationId ?? null;
    const kind = adapters.get(source.adapter)?.kind;
    return kind?.connectors.find((each) => each.id === source.fitting)?.configurationId ?? null;
  }

  /** `depth` ends a circle of adapters that a stored or calculated hook-up might describe. */
  function waysTo(source: PowerSource, terminal: Terminal, depth: number): Path[] {
    if (source.kind === 'outlet') {
      const outlet = context.outlets.get(source.outletId);
      const present = outlet !== undefined && configuration(outlet.configurationId)?.terminals.includes(terminal);
      return present ? [{ outlet, terminal, segments: [] }] : [];
    }
    const adapter = adapters.get(source.adapter);
    if (adapter === undefined || depth === 0) return [];
    const ways: Path[] = [];
    adapter.kind.conductors.forEach((conductor, i) => {
      if (conductor.to.fitting !== source.fitting || conductor.to.terminal !== terminal) return;
      const before = sourceOfPlug.get(`${source.adapter} ${conductor.from.fitting}`);
      const plug = adapter.kind.plugs.find((each) => each.id === conductor.from.fitting);
      if (before === undefined || configurationOfSource(before) !== plug?.configurationId) return;
      const { ratedA, breakerA } = conductor;
      const segment = { elementId: `adapter ${source.adapter}.${i}`, adapter: adapter.subject, ratedA, breakerA };
      for (const way of waysTo(before, conductor.from.terminal, depth - 1))
        ways.push({ ...way, segments: [...way.segments, segment] });
    });
    return ways;
  }

  function pathsTo(source: PowerSource, pattern: Configuration): Map<Terminal, Path[]> {
    return new Map(pattern.terminals.map((terminal) => [terminal, waysTo(source, terminal, adapters.size)]));
  }

  const inlets: TracedInlet[] = [];
  for (const { from, to } of hookUp.joints) {
    if (to.kind !== 'inlet') continue;
    const position = context.boat.inlets.findIndex((each) => each.id === to.inletId);
    const inlet = context.boat.inlets[position];
    const subject: Subject = { kind: 'inlet', id: to.inletId, label: to.inletId };
    const pattern = configuration(to.configurationId);
    const mismatch = mating(configurationOfSource(from), to.configurationId, subject);
    findings.push(...mismatch);
    if (inlet === undefined) findings.push(absent(subject, 'is no inlet of this boat', 'Name one of its inlets'));
    else if (pattern !== null && mismatch.length === 0)
      inlets.push(tracedInlet(inlet, position, pattern, pathsTo(from, pattern)));
  }

  return { inlets, outlets: [...outlets.values()], adapters: [...adapters.values()], findings };
}

function tracedInlet(
  inlet: Inlet,
  position: number,
  pattern: Configuration,
  paths: ReadonlyMap<Terminal, readonly Path[]>,
): TracedInlet {
  const live: { terminal: LineName; path: Path }[] = [];
  const dead: LineName[] = [];
  for (const terminal of pattern.terminals) {
    if (!isLineTerminal(terminal)) continue;
    const path = paths.get(terminal)?.[0];
    if (path === undefined) dead.push(terminal);
    else live.push({ terminal, path });
  }
  const subject: Subject = { kind: 'inlet', id: inlet.id, label: inlet.id };
  return { inlet, subject, position, configuration: pattern, paths, live, dead };
}

function* placedIn(hookUp: HookUp, adapters: ReadonlyMap<string, { kind: AdapterKind; subject: Subject }>) {
  for (const { ref } of hookUp.adapters) {
    const adapter = adapters.get(ref);
    if (adapter !== undefined) yield { ...adapter, ref };
  }
}

/** An outlet, a connector, a plug or an inlet holds one counterpart. */
function usedTwice(hookUp: HookUp): Finding[] {
  const seen = new Set<string>();
  const findings: Finding[] = [];
  for (const { from, to } of hookUp.joints) {
    const source = from.kind === 'outlet' ? `outlet ${from.outletId}` : `connector ${from.fitting} of ${from.adapter}`;
    const sink = to.kind === 'inlet' ? `inlet ${to.inletId}` : `plug ${to.fitting} of ${to.adapter}`;
    for (const part of [source, sink]) {
      if (seen.has(part)) {
        const subject: Subject = { kind: 'adapter', id: part, label: part };
        findings.push(absent(subject, 'is joined twice, and holds one counterpart', 'Join every fitting once'));
      }
      seen.add(part);
    }
  }
  return findings;
}

/** Equal configurations of a known pattern mate; anything else is refused. */
function mating(sourceId: string | null, sinkId: string, subject: Subject): Finding[] {
  if (sourceId === sinkId && configuration(sinkId) !== null) return [];
  const actual = sourceId ?? 'nothing known';
  return [
    {
      rule: 'hookup.mating',
      level: 'refuse',
      subject,
      actual,
      limit: sinkId,
      unit: null,
      source: 'NEMA WD 6, UL 1682, IEC 60309-2: different configurations do not mate',
      message:
        sourceId === null
          ? `${subject.label} has configuration ${sinkId}, and what it would enter is not known. Look at the fitting before plugging in.`
          : `${subject.label} has configuration ${sinkId}, which does not enter ${actual}. Use an outlet of ${sinkId} or an adapter between the two.`,
      mend:
        sourceId === null
          ? `an outlet of configuration ${sinkId}`
          : `an outlet of configuration ${sinkId}, or an adapter from ${actual} to ${sinkId}`,
    },
  ];
}

function loosePlug(subject: Subject, configurationId: string): Finding {
  return {
    rule: 'hookup.loosePlug',
    level: 'refuse',
    subject,
    actual: 'not connected',
    limit: configurationId,
    unit: null,
    source: 'common practice: every plug of an adapter is connected, or its blades may be live',
    message: `A plug (${configurationId}) of ${subject.label} is not connected: its blades may be live. Connect every plug or leave the adapter out.`,
    mend: `a free outlet of configuration ${configurationId} for every plug`,
  };
}

function absent(subject: Subject, what: string, advice: string): Finding {
  return {
    rule: 'hookup.unknownPart',
    level: 'refuse',
    subject,
    actual: subject.id,
    limit: null,
    unit: null,
    source: 'the hook-up as described',
    message: `"${subject.label}" ${what}. ${advice}.`,
    mend: advice,
  };
}

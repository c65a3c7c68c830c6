import { statedValue } from '../../../facts.ts';
import type { Finding } from '../../../findings.ts';
import { citation } from '../../../standards/source.ts';
import { magnitude } from '../../complex.ts';
import type { HookUpContext } from '../hook-up.ts';
import type { TracedInlet } from '../trace.ts';
import { lineToLineNeed, needFact } from '../wiring-rules.ts';
import type { HookUpCircuit, LoadPort } from './circuit.ts';
import { toleranceSource } from './load-ports.ts';
import { resistanceSource } from './resistances.ts';
import type { SolvedCircuit } from './solve-circuit.ts';

/** Down to here line-to-line equipment runs at reduced output; 208 V on 240 V is 0.867. */
const reducedShare = 0.85;
/** Below this a leg has no volts of its own. */
export const deadV = 1;

/** What lower volts do to a load: a resistor's share of its watts, and a motor's of its amperes at constant power. */
export function reducedVoltage(actualV: number, ratedV: number) {
  const shareOfVolts = actualV / ratedV;
  return { shareOfVolts, shareOfWatts: shareOfVolts ** 2, motorShareOfAmperes: 1 / shareOfVolts };
}

/** One inlet's volts, solved without loads and with every one of them. */
export interface SolvedVolts {
  readonly unloaded: SolvedCircuit;
  readonly loaded: readonly SolvedCircuit[];
  /** With the loads that the boat has stated; null where it has not. */
  readonly stated: SolvedCircuit | null;
}

/** Volts at every load of an inlet against what the load is built for. */
export function judgeVolts(
  traced: TracedInlet,
  circuit: HookUpCircuit,
  solved: SolvedVolts,
  context: HookUpContext,
): Finding[] {
  const ports = circuit.ports.filter(({ inletId }) => inletId === traced.inlet.id);
  const dead = deadLegs(traced, solved.unloaded);
  const findings = dead.length === 0 ? [] : [deadLeg(traced, dead, ports, solved)];
  const primary = ports.find(({ transformer }) => transformer === 'primary');
  const ofPrimary = primary === undefined ? [] : withoutLoad(traced, primary, dead, solved);
  // What a transformer lacks, everything behind it lacks.
  if (ofPrimary.length > 0) return [...findings, ...ofPrimary];
  for (const port of ports) {
    if (isOn(port, dead)) continue;
    const unloaded = withoutLoad(traced, port, dead, solved);
    findings.push(...(unloaded.length > 0 ? unloaded : underLoad(traced, port, solved, context)));
  }
  return [...findings, ...rotation(traced, ports, solved.unloaded)];
}

function isOn({ legs, transformer }: LoadPort, dead: readonly string[]): boolean {
  return transformer !== 'behind' && legs.some((leg) => dead.includes(leg));
}

function voltsAt(solution: SolvedCircuit, { from, to }: LoadPort): number | null {
  const volts = solution.between(from, to);
  return volts === null ? null : magnitude(volts);
}

function withoutLoad(traced: TracedInlet, port: LoadPort, dead: readonly string[], solved: SolvedVolts): Finding[] {
  if (isOn(port, dead)) return [];
  const actualV = rounded(voltsAt(solved.unloaded, port) ?? 0);
  const betweenLines = port.legs[1] !== 'N';
  if (betweenLines && actualV < deadV) return [sameLine(traced, port)];
  if (actualV >= port.lowestV && actualV <= port.highestV) return [];
  const isReduced = betweenLines && actualV < port.lowestV && actualV >= reducedShare * port.ratedV;
  const isStated = statedValue(traced.inlet.accepts ?? null) !== null;
  return [isReduced && !isStated ? reduced(traced, port, actualV) : wrongVolts(traced, port, actualV)];
}

/** Legs of the inlet that no source holds. */
function deadLegs(traced: TracedInlet, unloaded: SolvedCircuit): string[] {
  const { id } = traced.inlet;
  return [...traced.live.map(({ terminal }) => terminal), ...traced.dead].filter((terminal) => {
    const volts = unloaded.between(`${id}.${terminal}`, '0');
    return volts === null || magnitude(volts) < deadV;
  });
}

function underLoad(traced: TracedInlet, port: LoadPort, solved: SolvedVolts, context: HookUpContext): Finding[] {
  if (port.legs[1] !== 'N' && port.transformer !== 'primary' && lineToLineNeed(traced) === 'notNeeded') return [];
  let lowestV = Number.POSITIVE_INFINITY;
  let highestV = 0;
  for (const solution of solved.loaded) {
    const actual = voltsAt(solution, port);
    if (actual === null) continue;
    lowestV = Math.min(lowestV, actual);
    highestV = Math.max(highestV, actual);
  }
  if (highestV > port.highestV) return [wrongVolts(traced, port, tenth(highestV))];
  if (lowestV >= port.lowestV) return [];
  return [tooFar(traced, port, tenth(lowestV), solved.stated, context)];
}

function place(port: LoadPort): string {
  const [from, to] = port.legs;
  const where = `${from} to ${to === 'N' ? 'neutral' : to}`;
  return port.transformer === 'behind' ? `${where} behind its transformer` : where;
}

function wrongVolts(traced: TracedInlet, port: LoadPort, actualV: number): Finding {
  return {
    rule: 'hookup.voltage',
    level: 'refuse',
    subject: traced.subject,
    actual: actualV,
    limit: port.ratedV,
    unit: 'V',
    source: `${toleranceSource}; mating does not prove volts`,
    message: `Inlet ${traced.inlet.id} would have ${actualV} V from ${place(port)} and is meant for ${port.ratedV} V. Use another supply; no adapter changes volts.`,
    mend: `a supply of ${port.ratedV} V`,
  };
}

function sameLine(traced: TracedInlet, port: LoadPort): Finding {
  const { ratedV } = port;
  const base = {
    rule: 'hookup.sameLine' as const,
    subject: traced.subject,
    actual: 0,
    limit: ratedV,
    unit: 'V',
    source: 'Kirchhoff: one line on both legs leaves nothing between them, and its neutral carries the sum',
  };
  const what = `Both legs of inlet ${traced.inlet.id} (${place(port)}) are one line: 0 V between them where the pattern has ${ratedV} V.`;
  return byNeed(
    traced,
    base,
    what,
    'The boat needs line to line. Use two different lines.',
    'outlets on two different lines',
    `What needs ${ratedV} V aboard will not run.`,
  );
}

function deadLeg(
  traced: TracedInlet,
  dead: readonly string[],
  ports: readonly LoadPort[],
  solved: SolvedVolts,
): Finding {
  const count = traced.live.length + traced.dead.length;
  const legs = dead.join(' and ');
  let backFedV = 0;
  for (const port of ports) {
    if (port.legs[1] !== 'N' || !dead.includes(port.legs[0])) continue;
    for (const solution of solved.loaded) backFedV = Math.max(backFedV, voltsAt(solution, port) ?? 0);
  }
  const fed =
    backFedV < deadV
      ? 'no line-to-line volts, and loads between lines would back-feed the dead leg.'
      : `no line-to-line volts, and loads between lines back-feed the dead leg with up to ${tenth(backFedV)} V.`;
  const base = {
    rule: 'hookup.deadLeg' as const,
    subject: traced.subject,
    actual: `${count - dead.length} of ${count} lines`,
    limit: `${count} lines`,
    unit: null,
    source: 'Kirchhoff: an unfed leg is back-fed through loads between lines',
  };
  return byNeed(
    traced,
    base,
    `Leg ${legs} of inlet ${traced.inlet.id} is not fed: ${fed}`,
    'The boat needs line to line. Use an outlet with two lines.',
    `an outlet of configuration ${traced.configuration.id}`,
    'Keep every line-to-line breaker aboard off.',
  );
}

/** Refused where a load between lines is aboard, a question where that is unknown, a caution where none is. */
function byNeed(
  traced: TracedInlet,
  base: Omit<Finding, 'level' | 'message'>,
  what: string,
  refusal: string,
  mend: string,
  caution: string,
): Finding {
  const need = lineToLineNeed(traced);
  if (need === 'needed') return { ...base, level: 'refuse', message: `${what} ${refusal}`, mend };
  if (need === 'notNeeded') return { ...base, level: 'caution', message: `${what} ${caution}` };
  return {
    ...base,
    level: 'confirm',
    message: `${what} Ask whether the boat needs it.`,
    missingFact: needFact(traced),
  };
}

function reduced(traced: TracedInlet, port: LoadPort, actualV: number): Finding {
  const { ratedV } = port;
  const { shareOfWatts, motorShareOfAmperes } = reducedVoltage(actualV, ratedV);
  const base = {
    rule: 'hookup.reducedVoltage' as const,
    subject: traced.subject,
    actual: actualV,
    limit: ratedV,
    unit: 'V',
    source: `Ohm's law; ${toleranceSource}`,
  };
  const what = `Inlet ${traced.inlet.id} would have ${actualV} V from ${place(port)} instead of ${ratedV} V: heaters give ${percent(shareOfWatts)} of their watts, motors draw ${percent(motorShareOfAmperes)} of their amperes.`;
  if (lineToLineNeed(traced) === 'notNeeded')
    return { ...base, level: 'caution', message: `${what} Nothing aboard is known to need it.` };
  return {
    ...base,
    level: 'confirm',
    message: `${what} Ask whether every ${ratedV} V load aboard is marked for ${actualV} V too.`,
    missingFact: {
      ...needFact(traced),
      question: `Is every ${ratedV} V load behind inlet ${traced.inlet.id} marked for ${actualV} V, or is there none?`,
    },
  };
}

/** Right volts without load, too few with what the breakers pass: the boat's own load decides. */
function tooFar(
  traced: TracedInlet,
  port: LoadPort,
  actualV: number,
  stated: SolvedCircuit | null,
  { boat }: HookUpContext,
): Finding {
  const statedV = stated === null ? null : voltsAt(stated, port);
  const base = {
    rule: 'hookup.voltageDrop' as const,
    subject: traced.subject,
    actual: actualV,
    limit: tenth(port.lowestV),
    unit: 'V',
    source: `Ohm's law: contacts, adapters and cord in series; ${citation(resistanceSource)}; ${toleranceSource}`,
  };
  const what = `With all that the breakers pass, inlet ${traced.inlet.id} has ${actualV} V from ${place(port)} (${tenth(port.lowestV)} V at least).`;
  if (statedV !== null && statedV >= port.lowestV)
    return {
      ...base,
      level: 'caution',
      message: `${what} With the boat's own loads it has ${tenth(statedV)} V. Run no more.`,
    };
  return {
    ...base,
    level: 'confirm',
    message: `${what} Use a shorter or heavier cord, or ask what the boat runs at once.`,
    missingFact: {
      subject: { kind: 'boat', id: boat.id, label: boat.name },
      fact: 'appliances',
      question: 'What does the boat run at once, and on which leg?',
    },
  };
}

/** Three lines in the wrong order turn motors backwards. */
function rotation(traced: TracedInlet, ports: readonly LoadPort[], unloaded: SolvedCircuit): Finding[] {
  const { id } = traced.inlet;
  if (traced.live.length < 3 || ports.some(({ transformer }) => transformer !== 'none')) return [];
  const [a, b, c] = traced.live.map(({ terminal }) => unloaded.between(`${id}.${terminal}`, '0'));
  if (!a || !b || !c) return [];
  const turn = (b.re - a.re) * (c.im - a.im) - (b.im - a.im) * (c.re - a.re);
  // Lines of equal angle have no order.
  if (turn <= 1) return [];
  return [
    {
      rule: 'hookup.rotation',
      level: 'caution',
      subject: traced.subject,
      actual: 'reversed',
      limit: 'L1, L2, L3',
      unit: null,
      source: 'common practice: phase rotation is checked before three-phase motors run',
      message: `The three lines reach inlet ${traced.inlet.id} in reversed order: motors would turn backwards. Keep three-phase motors off until an electrician has corrected it.`,
    },
  ];
}

function percent(share: number): string {
  return `${(share * 100).toFixed(1)} %`;
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}

/** Nominal volts to a tenth: 207.8 V of 120 V lines at 120 degrees is spoken of as 208 V. */
export function rounded(volts: number): number {
  const nearest = Math.round(volts);
  return Math.abs(volts - nearest) < 0.25 ? nearest : tenth(volts);
}

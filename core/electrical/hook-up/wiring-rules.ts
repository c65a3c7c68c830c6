import type { Finding } from '../../findings.ts';
import type { Terminal } from '../../standards/configuration.ts';
import type { SupplyOutlet } from './supply-outlet.ts';
import { isLineTerminal, type Path, type TracedInlet } from './trace.ts';

export function pathsTo(traced: TracedInlet, terminal: Terminal): readonly Path[] {
  return traced.paths.get(terminal) ?? [];
}

/** Outlets whose lines feed the inlet, each once. */
export function feedingOutlets(traced: TracedInlet): SupplyOutlet[] {
  const outlets = new Set<SupplyOutlet>();
  for (const [terminal, paths] of traced.paths) {
    if (isLineTerminal(terminal)) for (const path of paths) outlets.add(path.outlet);
  }
  return [...outlets];
}

/** Level of a missing or reduced line-to-line voltage, by what the loads behind the inlet are known to need. */
export function lineToLineNeed(traced: TracedInlet): 'needed' | 'unknown' | 'notNeeded' {
  // Without a neutral every load hangs between lines.
  if (!traced.configuration.terminals.includes('N')) return 'needed';
  const fact = traced.inlet.needsLineToLine;
  return fact === null ? 'unknown' : fact.value ? 'needed' : 'notNeeded';
}

export function needFact(traced: TracedInlet) {
  return {
    subject: traced.subject,
    fact: `inlets.${traced.position}.needsLineToLine`,
    question: `Does anything behind inlet ${traced.inlet.id} need 240 V (a range, a dryer, a large air conditioner)?`,
  };
}

/** Ground, neutral, polarity and dead legs of one inlet, read from the ways alone. */
export function judgeWiring(traced: TracedInlet): Finding[] {
  return [...polarity(traced), ...parallel(traced), ...continuity(traced), ...deadLegs(traced)];
}

function polarity(traced: TracedInlet): Finding[] {
  const findings: Finding[] = [];
  for (const [terminal, paths] of traced.paths) {
    for (const path of paths) {
      const wanted = isLineTerminal(terminal) ? 'a line' : terminal;
      if (isLineTerminal(terminal) ? isLineTerminal(path.terminal) : path.terminal === terminal) continue;
      findings.push({
        rule: 'hookup.polarity',
        level: 'refuse',
        subject: traced.subject,
        actual: path.terminal,
        limit: wanted,
        unit: null,
        source: 'common practice: line, neutral and ground each arrive on their own contact',
        message: `Contact ${terminal} of inlet ${traced.inlet.id} is joined to ${path.terminal} of outlet ${path.outlet.label} instead of ${wanted}. Take the piece out of use.`,
        mend: 'an adapter with right polarity',
      });
    }
  }
  return findings;
}

function parallel(traced: TracedInlet): Finding[] {
  const findings: Finding[] = [];
  for (const [terminal, paths] of traced.paths) {
    if (!isLineTerminal(terminal)) continue;
    const sources = new Set(paths.map((path) => `${path.outlet.label} ${path.terminal}`));
    if (sources.size < 2) continue;
    findings.push({
      rule: 'hookup.parallelSources',
      level: 'refuse',
      subject: traced.subject,
      actual: [...sources].join(' and '),
      limit: 1,
      unit: null,
      source: 'NEC 240.8 (from memory): breakers are not put in parallel in the field',
      message: `Contact ${terminal} of inlet ${traced.inlet.id} is fed by ${[...sources].join(' and ')} at once. Feed each line from one outlet.`,
      mend: 'an adapter that feeds each line from one outlet',
    });
  }
  return findings;
}

function continuity(traced: TracedInlet): Finding[] {
  const findings: Finding[] = [];
  for (const outlet of feedingOutlets(traced)) {
    const base = { level: 'refuse' as const, subject: traced.subject, actual: 'open', unit: null };
    if (!pathsTo(traced, 'G').some((path) => path.outlet === outlet && path.terminal === 'G'))
      findings.push({
        rule: 'hookup.groundOpen',
        ...base,
        limit: 'continuous',
        source: 'common practice: the grounding conductor is continuous from outlet to inlet',
        message: `No ground runs from outlet ${outlet.label} to inlet ${traced.inlet.id}. A fault aboard would put the current in the water.`,
        mend: 'adapters that carry the ground through',
      });
    const wantsNeutral = traced.configuration.terminals.includes('N');
    if (wantsNeutral && !pathsTo(traced, 'N').some((path) => path.outlet === outlet && path.terminal === 'N'))
      findings.push({
        rule: 'hookup.neutralOpen',
        ...base,
        limit: 'continuous',
        source: 'Kirchhoff: without its neutral the loads on two legs share 240 V by their resistance',
        message: `The neutral of outlet ${outlet.label} does not reach inlet ${traced.inlet.id}. Volts on its legs would float, or its current return through another outlet.`,
        mend: 'an outlet and adapters that carry the neutral through',
      });
  }
  return findings;
}

function deadLegs(traced: TracedInlet): Finding[] {
  const { live, dead } = traced;
  if (dead.length === 0) return [];
  const base = {
    subject: traced.subject,
    actual: `${live.length} of ${live.length + dead.length} lines`,
    limit: `${live.length + dead.length} lines`,
    unit: null,
  };
  if (live.length === 0)
    return [
      {
        rule: 'hookup.noPower',
        level: 'refuse',
        ...base,
        source: 'the hook-up as described',
        message: `No line reaches inlet ${traced.inlet.id}. Use another adapter or outlet.`,
        mend: `an outlet or adapter that feeds ${traced.configuration.id}`,
      },
    ];
  const need = lineToLineNeed(traced);
  const legs = dead.join(' and ');
  const what = `Leg ${legs} of inlet ${traced.inlet.id} is not fed: no line-to-line volts, and loads between lines would back-feed the dead leg.`;
  const single = {
    rule: 'hookup.deadLeg' as const,
    ...base,
    source: 'Kirchhoff: an unfed leg is back-fed through loads between lines',
  };
  if (need === 'needed')
    return [
      {
        ...single,
        level: 'refuse',
        message: `${what} The boat needs line to line. Use an outlet with two lines.`,
        mend: `an outlet of configuration ${traced.configuration.id}`,
      },
    ];
  if (need === 'unknown')
    return [
      { ...single, level: 'confirm', message: `${what} Ask whether the boat needs it.`, missingFact: needFact(traced) },
    ];
  return [{ ...single, level: 'caution', message: `${what} Keep every line-to-line breaker aboard off.` }];
}

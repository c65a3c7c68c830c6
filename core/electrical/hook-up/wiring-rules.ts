import { transformerOf } from '../../boats.ts';
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
  // Without a neutral every load hangs between lines, and so does a transformer.
  if (!traced.configuration.terminals.includes('N') || transformerOf(traced.inlet) !== null) return 'needed';
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

/** Ground, neutral and polarity of one inlet, read from the ways alone. */
export function judgeWiring(traced: TracedInlet): Finding[] {
  return [...polarity(traced), ...parallel(traced), ...continuity(traced), ...noPower(traced)];
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

function noPower({ live, dead, subject, inlet, configuration }: TracedInlet): Finding[] {
  if (live.length > 0 || dead.length === 0) return [];
  return [
    {
      rule: 'hookup.noPower',
      level: 'refuse',
      subject,
      actual: `0 of ${dead.length} lines`,
      limit: `${dead.length} lines`,
      unit: null,
      source: 'the hook-up as described',
      message: `No line reaches inlet ${inlet.id}. Use another adapter or outlet.`,
      mend: `an outlet or adapter that feeds ${configuration.id}`,
    },
  ];
}

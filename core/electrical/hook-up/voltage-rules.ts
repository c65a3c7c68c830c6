import type { Finding } from '../../findings.ts';
import type { LineName } from '../../standards/configuration.ts';
import { type Complex, complexZero, magnitude, subtractComplex } from '../complex.ts';
import { phasorOf, type TracedConnector, type TracedInlet } from './trace.ts';
import { lineToLineNeed, needFact } from './wiring-rules.ts';

/** Share of the rated volts within which equipment is built to run. */
const voltageTolerance = 0.1;
const toleranceSource = 'NEMA MG 1 and EN 50160 (from memory): within 10 % of nominal';
/** Down to here line-to-line equipment runs at reduced output; 208 V on 240 V is 0.867. */
const reducedShare = 0.85;

/** What lower volts do to a load: a resistor's share of its watts, and a motor's of its amperes at constant power. */
export function reducedVoltage(actualV: number, ratedV: number) {
  const shareOfVolts = actualV / ratedV;
  return { shareOfVolts, shareOfWatts: shareOfVolts ** 2, motorShareOfAmperes: 1 / shareOfVolts };
}

/** Two lines of the inlet with the volts between them; null where a line or the system is unknown. */
export interface LinePair {
  readonly between: readonly [LineName, LineName];
  readonly voltageV: number | null;
}

export function linePairs(traced: TracedInlet): LinePair[] {
  const { live } = traced;
  const pairs: LinePair[] = [];
  live.forEach((a, i) => {
    for (const b of live.slice(i + 1)) {
      const onePole = a.path.outlet === b.path.outlet && a.path.terminal === b.path.terminal;
      const va = phasorOf(a.path);
      const vb = phasorOf(b.path);
      // The same contact on both legs is the same line, whatever line it is.
      const voltageV = onePole ? 0 : va === null || vb === null ? null : rounded(magnitude(subtractComplex(va, vb)));
      pairs.push({ between: [a.terminal, b.terminal], voltageV });
    }
  });
  return pairs;
}

/** Volts line to neutral and line to line at one inlet against what its pattern is meant for. */
export function judgeVoltage(traced: TracedInlet): Finding[] {
  return [...lineToNeutral(traced), ...lineToLine(traced), ...rotation(traced)];
}

function lineToNeutral(traced: TracedInlet): Finding[] {
  const ratedV = traced.configuration.lineToNeutralV;
  if (ratedV === null) return [];
  const findings: Finding[] = [];
  for (const { terminal, path } of traced.live) {
    const phasor = phasorOf(path);
    const actualV = phasor === null ? null : rounded(magnitude(phasor));
    if (actualV === null || Math.abs(actualV / ratedV - 1) <= voltageTolerance) continue;
    findings.push(wrongVolts(traced, `${terminal} to neutral`, actualV, ratedV));
  }
  return findings;
}

function lineToLine(traced: TracedInlet): Finding[] {
  const ratedV = traced.configuration.lineToLineV;
  if (ratedV === null) return [];
  const findings: Finding[] = [];
  for (const { between, voltageV } of linePairs(traced)) {
    if (voltageV === null) continue;
    const share = voltageV / ratedV;
    const where = `${between[0]} to ${between[1]}`;
    if (voltageV === 0) findings.push(sameLine(traced, where, ratedV));
    else if (share > 1 + voltageTolerance || share < reducedShare)
      findings.push(wrongVolts(traced, where, voltageV, ratedV));
    else if (share < 1 - voltageTolerance) findings.push(reduced(traced, where, voltageV, ratedV));
  }
  return findings;
}

function wrongVolts(traced: TracedInlet, where: string, actualV: number, ratedV: number): Finding {
  return {
    rule: 'hookup.voltage',
    level: 'refuse',
    subject: traced.subject,
    actual: actualV,
    limit: ratedV,
    unit: 'V',
    source: `${toleranceSource}; mating does not prove volts`,
    message: `Inlet ${traced.inlet.id} would have ${actualV} V from ${where} and is meant for ${ratedV} V. Use another supply; no adapter changes volts.`,
    mend: `a supply of ${ratedV} V`,
  };
}

function sameLine(traced: TracedInlet, where: string, ratedV: number): Finding {
  const need = lineToLineNeed(traced);
  const base = {
    rule: 'hookup.sameLine' as const,
    subject: traced.subject,
    actual: 0,
    limit: ratedV,
    unit: 'V',
    source: 'Kirchhoff: one line on both legs leaves nothing between them, and its neutral carries the sum',
  };
  const what = `Both legs of inlet ${traced.inlet.id} (${where}) are one line: 0 V between them where the pattern has ${ratedV} V.`;
  if (need === 'needed')
    return {
      ...base,
      level: 'refuse',
      message: `${what} The boat needs line to line. Use two different lines.`,
      mend: 'outlets on two different lines',
    };
  if (need === 'unknown')
    return {
      ...base,
      level: 'confirm',
      message: `${what} Ask whether the boat needs it.`,
      missingFact: needFact(traced),
    };
  return { ...base, level: 'caution', message: `${what} What needs ${ratedV} V aboard will not run.` };
}

function reduced(traced: TracedInlet, where: string, actualV: number, ratedV: number): Finding {
  const { shareOfWatts, motorShareOfAmperes } = reducedVoltage(actualV, ratedV);
  const base = {
    rule: 'hookup.reducedVoltage' as const,
    subject: traced.subject,
    actual: actualV,
    limit: ratedV,
    unit: 'V',
    source: `Ohm's law; ${toleranceSource}`,
  };
  const what = `Inlet ${traced.inlet.id} would have ${actualV} V from ${where} instead of ${ratedV} V: heaters give ${percent(shareOfWatts)} of their watts, motors draw ${percent(motorShareOfAmperes)} of their amperes.`;
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

/** Three lines in the wrong order turn motors backwards. */
function rotation(traced: TracedInlet): Finding[] {
  const { live } = traced;
  const [a, b, c] = live.map(({ path }) => phasorOf(path));
  if (!a || !b || !c) return [];
  const turn = (b.re - a.re) * (c.im - a.im) - (b.im - a.im) * (c.re - a.re);
  if (turn <= 0) return [];
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

/** The highest nominal volts between contacts of an adapter's connector against the rating of its conductors. */
export function judgeAdapterVolts(connector: TracedConnector): Finding[] {
  const known: Complex[] = [];
  for (const [terminal, paths] of connector.paths) {
    const first = paths[0];
    const phasor = terminal === 'G' || first === undefined ? null : phasorOf(first);
    if (phasor !== null) known.push(phasor);
  }
  known.push(complexZero);
  let highestV = 0;
  for (const a of known)
    for (const b of known) highestV = Math.max(highestV, rounded(magnitude(subtractComplex(a, b))));
  if (highestV <= connector.leastRatedV) return [];
  return [
    {
      rule: 'hookup.adapterVolts',
      level: 'refuse',
      subject: connector.adapter,
      actual: highestV,
      limit: connector.leastRatedV,
      unit: 'V',
      source: 'the rating marked on the adapter',
      message: `${connector.adapter.label} is rated ${connector.leastRatedV} V and would stand at ${highestV} V. Use a piece rated for the supply.`,
      mend: `an adapter rated ${highestV} V or more`,
    },
  ];
}

function percent(share: number): string {
  return `${(share * 100).toFixed(1)} %`;
}

/** Nominal volts to a tenth: 207.8 V of 120 V lines at 120 degrees is spoken of as 208 V. */
function rounded(volts: number): number {
  const nearest = Math.round(volts);
  return Math.abs(volts - nearest) < 0.25 ? nearest : Math.round(volts * 10) / 10;
}

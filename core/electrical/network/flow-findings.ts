import type { Finding, Subject } from '../../findings.ts';
import { citation, type Source } from '../../standards/source.ts';
import type { PairVolts } from './place-volts.ts';

/** Share of nominal volts within which equipment is meant to be supplied, by frequency. */
const ranges = {
  60: {
    least: 0.9,
    most: 1.05,
    source: { title: 'ANSI C84.1, range A, utilization voltage', fromMemory: true } satisfies Source,
  },
  50: {
    least: 0.9,
    most: 1.1,
    source: { title: 'IEC 60038, supply voltage', fromMemory: true } satisfies Source,
  },
} as const;

/** The range of volts within which equipment is meant to be supplied, as shares of nominal volts. */
export function voltRange(frequencyHz: 50 | 60): { readonly least: number; readonly most: number } {
  return ranges[frequencyHz];
}

/** What of an outlet's volts lies outside the range: its lowest and its highest pair. */
export function rangeFindings(outlet: Subject, volts: readonly PairVolts[], frequencyHz: 50 | 60): Finding[] {
  const shares = volts.map(({ voltageV, nominalV }) => voltageV / nominalV);
  return [...new Set([Math.min(...shares), Math.max(...shares)])].flatMap((share) => {
    const pair = volts[shares.indexOf(share)];
    const finding = pair === undefined ? null : rangeFinding(outlet, pair, frequencyHz);
    return finding === null ? [] : [finding];
  });
}

/** Volts outside the range at an outlet, or null within it. */
function rangeFinding(
  outlet: Subject,
  { between, voltageV, nominalV }: PairVolts,
  frequencyHz: 50 | 60,
): Finding | null {
  const { least, most, source } = ranges[frequencyHz];
  const isLow = voltageV < least * nominalV;
  if (!isLow && voltageV <= most * nominalV) return null;
  const limitV = (isLow ? least : most) * nominalV;
  return {
    rule: isLow ? 'power.lowVolts' : 'power.highVolts',
    level: 'caution',
    subject: outlet,
    actual: rounded(voltageV),
    limit: rounded(limitV),
    unit: 'V',
    source: citation(source),
    message: `Outlet ${outlet.label} has ${rounded(voltageV)} V from ${between}, ${isLow ? 'below' : 'above'} ${rounded(limitV)} V. ${
      isLow
        ? 'Motors run hot and may not start there: put less load on its feeder, or have a thicker one sized.'
        : 'Have its neutral and the taps of its transformer checked before anything is plugged in.'
    }`,
  };
}

/** A load of just what is rated is no overload. */
const rounding = 1e-9;

/** Amperes beyond what a conductor, breaker or winding may carry, or null within it. */
export function overloadFinding(
  subject: Subject,
  flow: { readonly name: string; readonly currentA: number; readonly loading: number | null } | null,
): Finding | null {
  if (flow === null || flow.loading === null || flow.loading <= 1 + rounding) return null;
  const { name, currentA, loading } = flow;
  const limitA = currentA / loading;
  return {
    rule: 'power.overload',
    level: 'caution',
    subject,
    actual: rounded(currentA),
    limit: rounded(limitA),
    unit: 'A',
    source: 'the ratings entered for it',
    message: `${subject.label} carries ${rounded(currentA)} A in ${name} and is rated for ${rounded(limitA)} A. Take load off it.`,
  };
}

function rounded(value: number): number {
  return Math.round(value * 10) / 10;
}

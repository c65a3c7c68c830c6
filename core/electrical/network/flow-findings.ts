import type { Finding, Subject } from '../../findings.ts';
import { citation, type Source } from '../../standards/source.ts';

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

/** Volts outside the range at an outlet, or null within it. */
export function rangeFinding(
  outlet: Subject,
  { between, voltageV, nominalV }: { between: string; voltageV: number; nominalV: number },
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

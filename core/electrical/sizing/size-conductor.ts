import { gravestFirst } from '../../findings.ts';
import { nextStandardBreakerA } from '../../standards/breaker-sizes.ts';
import { type ConductorRow, conductorRow, conductorRows } from '../../standards/conductors.ts';
import {
  conductorFindings,
  groundingFinding,
  neutralFinding,
  noConductorFinding,
  noDeviceFinding,
  unknownSizeFinding,
} from './conductor-findings.ts';
import { continuousShare } from './continuous.ts';
import { groundingOf } from './grounding.ts';
import { assumptionFindings, inputFindings } from './input-findings.ts';
import { carries, judgeConductor, mayBeParallel } from './judge-conductor.ts';
import { isPositive } from './say.ts';
import type { ConductorSize, JudgedConductor, Sizing, SizingInput } from './sizing.ts';

/**
 * Conductor and breaker for one circuit: the fewest parallel sets, then the smallest size, that carries the load after
 * corrections, that its terminals allow, that may have the breaker, and that loses no more volts than wanted. With a
 * conductor given, that one is judged instead. More load or more length never gives fewer sets, nor a smaller size of
 * as many sets. Never throws.
 */
export function sizeConductor(input: SizingInput): Sizing {
  const faults = inputFindings(input);
  if (faults.length > 0) return { ...nothing, findings: faults };
  const requiredA = input.loadA + continuousShare * input.continuousA;
  const deviceA = input.given?.deviceA ?? nextStandardBreakerA(requiredA);
  if (deviceA === null) {
    return { ...nothing, status: 'doesNotFit', requiredA, findings: [noDeviceFinding(input, requiredA)] };
  }
  return input.given === null ? chosen(input, requiredA, deviceA) : judged(input, input.given, requiredA, deviceA);
}

const nothing: Omit<Sizing, 'findings'> = {
  status: 'notAssessed',
  requiredA: null,
  deviceA: null,
  conductor: null,
  byAmpacityAlone: null,
  neutral: null,
  grounding: null,
};

function chosen(input: SizingInput, requiredA: number, deviceA: number): Sizing {
  const mostPercent = input.maxDropPercent ?? Number.POSITIVE_INFINITY;
  const isCarrying = (each: JudgedConductor) => carries(each, input.loadA, requiredA, deviceA);
  const byAmpacity = smallest(input, isCarrying);
  // A few sizes have no impedance in the tables: over a known length they are left out, so that volts can be judged.
  const conductor =
    input.lengthM !== null && isPositive(input.lengthM)
      ? smallest(input, (each) => isCarrying(each) && each.drop !== null && each.drop.exactPercent <= mostPercent)
      : byAmpacity;
  if (conductor === null) {
    const findings = [...assumptionFindings(input), noConductorFinding(input, deviceA, byAmpacity !== null)];
    return sized({ ...nothing, requiredA, deviceA, byAmpacityAlone: sizeOf(byAmpacity), findings });
  }
  return completed(input, { requiredA, deviceA, conductor, byAmpacity });
}

function judged(input: SizingInput, given: ConductorSize, requiredA: number, deviceA: number): Sizing {
  const byAmpacity = smallest(input, (each) => carries(each, input.loadA, requiredA, deviceA));
  const row = conductorRow(given.size, given.sizeUnit);
  const conductor = row === null ? null : judgeConductor(input, row, given.parallelSets);
  if (conductor === null) {
    const findings = [...assumptionFindings(input), unknownSizeFinding(input, given)];
    return sized({ ...nothing, requiredA, deviceA, byAmpacityAlone: sizeOf(byAmpacity), findings });
  }
  return completed(input, { requiredA, deviceA, conductor, byAmpacity });
}

interface Found {
  readonly requiredA: number;
  readonly deviceA: number;
  readonly conductor: JudgedConductor;
  readonly byAmpacity: JudgedConductor | null;
}

function completed(input: SizingInput, { requiredA, deviceA, conductor, byAmpacity }: Found): Sizing {
  const neutral = neutralOf(input, conductor);
  const findings = [
    ...assumptionFindings(input),
    ...conductorFindings(input, conductor, requiredA, deviceA),
    ...(neutral === null && input.neutralA !== 0 ? [neutralFinding(input)] : []),
  ];
  const byAmpacityAlone = sizeOf(byAmpacity);
  const grounding = groundingOf(input, conductor, byAmpacityAlone, deviceA);
  if (grounding !== null) findings.push(groundingFinding(input, grounding, deviceA));
  return sized({ ...nothing, requiredA, deviceA, conductor, byAmpacityAlone, neutral, grounding, findings });
}

function sized(sizing: Sizing): Sizing {
  const has = (level: string) => sizing.findings.some((finding) => finding.level === level);
  const status = has('refuse') ? 'doesNotFit' : has('confirm') ? 'notAssessed' : 'fits';
  return { ...sizing, status, findings: gravestFirst(sizing.findings) };
}

function smallest(input: SizingInput, serves: (conductor: JudgedConductor) => boolean): JudgedConductor | null {
  for (let sets = 1; sets <= input.mostParallelSets; sets++) {
    for (const row of rowsFor(sets)) {
      const conductor = judgeConductor(input, row, sets);
      if (conductor !== null && serves(conductor)) return conductor;
    }
  }
  return null;
}

const parallelRows = conductorRows.filter(mayBeParallel);
const rowsFor = (sets: number): readonly ConductorRow[] => (sets === 1 ? conductorRows : parallelRows);

function sizeOf(conductor: JudgedConductor | null): ConductorSize | null {
  if (conductor === null) return null;
  const { size, sizeUnit, parallelSets } = conductor;
  return { size, sizeUnit, parallelSets };
}

/** In as many sets as the lines, the smallest that carries what the neutral can. */
function neutralOf(input: SizingInput, line: JudgedConductor): Sizing['neutral'] {
  const { neutralA } = input;
  if (neutralA === 0) return null;
  if (neutralA === null)
    return { size: line.size, sizeUnit: line.sizeUnit, parallelSets: line.parallelSets, usableA: line.usableA };
  for (const row of rowsFor(line.parallelSets)) {
    const conductor = judgeConductor(input, row, line.parallelSets);
    if (conductor === null || conductor.usableA < neutralA) continue;
    const { size, sizeUnit, parallelSets, usableA } = conductor;
    return { size, sizeUnit, parallelSets, usableA };
  }
  return null;
}

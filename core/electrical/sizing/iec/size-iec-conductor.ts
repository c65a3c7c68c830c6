import { gravestFirst } from '../../../findings.ts';
import {
  type IecConductorRow,
  iecConductorRows,
  iecDevicesA,
  iecGroupingFactor,
  iecProtectiveMm2,
  iecReactanceOhmPerKm,
  iecTemperatureFactor,
} from '../../../standards/iec-conductors.ts';
import { isPositive } from '../say.ts';
import { exactDropV } from '../voltage-drop.ts';
import { conductorFindings, inputFindings, noConductor, unknownFacts, unknownSize } from './iec-findings.ts';
import type { IecConductor, IecSizing, IecSizingInput } from './iec-sizing.ts';

/**
 * Conductor, device and protective conductor for one circuit by the IEC practice: the smallest cross-section whose
 * corrected amperes are not below the device, whose device is not below the load, and that loses no more volts than
 * wanted. With a conductor given, that one is judged instead. Never throws.
 */
export function sizeIecConductor(input: IecSizingInput): IecSizing {
  const faults = inputFindings(input);
  if (faults.length > 0) return { ...nothing, findings: faults };
  const deviceA = input.given?.deviceA ?? iecDevicesA.find((ratedA) => ratedA >= input.loadA) ?? null;
  const rows = deviceA === null ? [] : iecConductorRows.map((row) => judged(input, row));
  const enough = rows.filter(({ correctedA }) => correctedA >= (deviceA ?? 0));
  const byAmpacityAloneMm2 = enough[0]?.areaMm2 ?? null;
  const mostPercent = input.maxDropPercent ?? Number.POSITIVE_INFINITY;
  const hasLength = input.lengthM !== null;
  const conductor =
    input.given === null
      ? enough.find(({ dropPercent }) => !hasLength || (dropPercent !== null && dropPercent <= mostPercent))
      : rows.find(({ areaMm2 }) => areaMm2 === input.given?.areaMm2);
  const base = { ...nothing, deviceA, byAmpacityAloneMm2 };
  if (conductor === undefined || deviceA === null) {
    const why =
      input.given === null || deviceA === null ? noConductor(input, deviceA) : unknownSize(input, input.given);
    return sized({ ...base, findings: [...unknownFacts(input), why] });
  }
  return sized({
    ...base,
    conductor,
    protectiveMm2: iecProtectiveMm2(conductor.areaMm2),
    findings: [...unknownFacts(input), ...conductorFindings(input, conductor, deviceA)],
  });
}

const nothing: Omit<IecSizing, 'findings'> = {
  status: 'notAssessed',
  deviceA: null,
  conductor: null,
  byAmpacityAloneMm2: null,
  protectiveMm2: null,
};

function sized(sizing: IecSizing): IecSizing {
  const has = (level: string) => sizing.findings.some((finding) => finding.level === level);
  const status = has('refuse') ? 'doesNotFit' : has('confirm') ? 'notAssessed' : 'fits';
  return { ...sizing, status, findings: gravestFirst(sizing.findings) };
}

/** IEC 60228: resistance at another temperature, for copper. */
const perDegree = 0.00393;
const loadedC = 70;

function judged(input: IecSizingInput, row: IecConductorRow): IecConductor {
  const { phases, ambientC, circuits, lengthM, voltageV, loadA, powerFactor } = input;
  const tableA = phases === 1 ? row.twoLoadedA : row.threeLoadedA;
  const temperatureFactor = ambientC === null ? 1 : (iecTemperatureFactor(ambientC) ?? 0);
  const groupingFactor = circuits === null ? 1 : (iecGroupingFactor(circuits) ?? 0);
  const impedance = {
    resistanceOhmPerKm: row.ohmPerKmAt20C * (1 + perDegree * (loadedC - 20)),
    reactanceOhmPerKm: iecReactanceOhmPerKm,
  };
  const dropV =
    lengthM !== null && isPositive(lengthM)
      ? exactDropV({ voltageV, phases, loadA, powerFactor, lengthM, parallelSets: 1 }, impedance)
      : null;
  return {
    areaMm2: row.areaMm2,
    tableA,
    temperatureFactor,
    groupingFactor,
    correctedA: tableA * temperatureFactor * groupingFactor,
    dropV,
    dropPercent: dropV === null ? null : (100 * dropV) / voltageV,
  };
}

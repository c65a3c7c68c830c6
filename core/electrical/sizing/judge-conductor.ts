import { largestBreakerA } from '../../standards/breaker-sizes.ts';
import type { ConductorRow } from '../../standards/conductors.ts';
import { ohmPerKm } from '../../standards/conductors.ts';
import { cordAmpacityA } from '../../standards/cords.ts';
import { countFactor, temperatureFactor } from './corrections.ts';
import type { JudgedConductor, SizingInput, VoltageDrop } from './sizing.ts';
import { acImpedance, exactDropV, type Material, resistanceAt, resistiveDropV } from './voltage-drop.ts';

/** 1/0 AWG, NEC 310.10(G), from memory. */
const smallestParallelCmil = 105_600;

export function mayBeParallel(row: ConductorRow): boolean {
  return row.areaCmil >= smallestParallelCmil;
}

/** NEC 240.4(D), from memory. */
const smallConductorA: Readonly<Record<Material, Readonly<Record<string, number>>>> = {
  copper: { '14 AWG': 15, '12 AWG': 20, '10 AWG': 30 },
  aluminium: { '12 AWG': 15, '10 AWG': 25 },
};

/** All figures of one size for this circuit; null where its material has no ampacity, or its insulation no factor here. */
export function judgeConductor(input: SizingInput, row: ConductorRow, parallelSets: number): JudgedConductor | null {
  if (input.wiring === 'cord') return parallelSets === 1 ? judgeCord(input, row) : null;
  const { material, insulationC, terminalsC, ambientC, currentCarrying } = input;
  const ampacities = row.ampacityA[material];
  const byTemperature = ambientC === null ? 1 : temperatureFactor(ambientC, insulationC);
  if (ampacities === null || byTemperature === null) return null;
  const byCount = currentCarrying === null ? 1 : countFactor(currentCarrying);
  const terminalColumn = terminalsC === 75 && insulationC !== 60 ? 75 : 60;
  const tableA = ampacities[insulationC] * parallelSets;
  const correctedA = tableA * byTemperature * byCount;
  const terminalsA = ampacities[terminalColumn] * parallelSets;
  const usableA = Math.min(correctedA, terminalsA);
  const smallA = smallConductorA[material][`${row.size} ${row.sizeUnit}`] ?? Number.POSITIVE_INFINITY;
  return {
    size: row.size,
    sizeUnit: row.sizeUnit,
    parallelSets,
    tableA,
    temperatureFactor: byTemperature,
    countFactor: byCount,
    correctedA,
    terminalsA,
    usableA,
    largestDeviceA: Math.min(largestBreakerA(usableA), smallA),
    drop: dropOf(input, row, parallelSets),
  };
}

/** More than three that carry: 80 % of column A and on, as in a raceway (NEC 400.5(A)(3), from memory). */
function judgeCord(input: SizingInput, row: ConductorRow): JudgedConductor | null {
  const { material, ambientC, currentCarrying } = input;
  const tableA = cordAmpacityA(row.size, currentCarrying !== null && currentCarrying <= 2 ? 2 : 3);
  const byTemperature = ambientC === null ? 1 : temperatureFactor(ambientC, 60);
  if (tableA === null || row.sizeUnit !== 'AWG' || material !== 'copper' || byTemperature === null) return null;
  const byCount = currentCarrying === null ? 1 : countFactor(currentCarrying);
  const correctedA = tableA * byTemperature * byCount;
  const usableA = Math.min(correctedA, tableA);
  return {
    size: row.size,
    sizeUnit: row.sizeUnit,
    parallelSets: 1,
    tableA,
    temperatureFactor: byTemperature,
    countFactor: byCount,
    correctedA,
    terminalsA: tableA,
    usableA,
    largestDeviceA: usableA,
    drop: dropOf(input, row, 1),
  };
}

function dropOf(input: SizingInput, row: ConductorRow, parallelSets: number): VoltageDrop | null {
  const { lengthM, material, conduit, voltageV, phases, loadA, powerFactor, conductorC } = input;
  const impedance = acImpedance(row, material, conduit, conductorC);
  const dcOhmPerKft = row.dcResistanceOhmPerKft[material === 'copper' ? 'copperUncoated' : 'aluminium'];
  if (lengthM === null || !(lengthM > 0) || impedance === null || dcOhmPerKft === null) return null;
  const circuit = { voltageV, phases, loadA, powerFactor, lengthM, parallelSets };
  const exactV = exactDropV(circuit, impedance);
  if (exactV === null) return null;
  return {
    exactV,
    exactPercent: (100 * exactV) / voltageV,
    resistiveV: resistiveDropV(circuit, resistanceAt(ohmPerKm(dcOhmPerKft), material, conductorC)),
  };
}

/** Whether it carries the load and may have the breaker, volts aside. */
export function carries(conductor: JudgedConductor, loadA: number, requiredA: number, deviceA: number): boolean {
  return conductor.usableA >= loadA && conductor.terminalsA >= requiredA && conductor.largestDeviceA >= deviceA;
}

import type { ConductorRow } from '../../standards/conductors.ts';
import { ohmPerKm } from '../../standards/conductors.ts';

export type Material = 'copper' | 'aluminium';
export type Conduit = 'pvc' | 'aluminium' | 'steel';

/** Line conductors from the source to the load. */
export interface DropCircuit {
  /** Single-phase: volts between the two conductors. Three-phase: line to line. */
  readonly voltageV: number;
  readonly phases: 1 | 3;
  readonly loadA: number;
  /** Lagging, 0 to 1, against the volts at the source. */
  readonly powerFactor: number;
  readonly lengthM: number;
  readonly parallelSets: number;
}

export interface Impedance {
  readonly resistanceOhmPerKm: number;
  readonly reactanceOhmPerKm: number;
}

/** Ohms at 60 Hz by Chapter 9 Table 9, which is at 75 C; null where it has no such size. */
export function acImpedance(
  row: ConductorRow,
  material: Material,
  conduit: Conduit,
  temperatureC: number,
): Impedance | null {
  const resistance = row.acResistanceOhmPerKft[material];
  const reactance = row.reactanceOhmPerKft;
  if (resistance === null || reactance === null) return null;
  return {
    resistanceOhmPerKm: resistanceAt(ohmPerKm(resistance[conduit]), material, temperatureC),
    reactanceOhmPerKm: ohmPerKm(conduit === 'steel' ? reactance.steel : reactance.pvcOrAluminium),
  };
}

const perDegree: Readonly<Record<Material, number>> = { copper: 0.00323, aluminium: 0.0033 };

/** R2 = R1 (1 + a (T2 - 75)): the tables are at 75 degrees Celsius, and are as printed there. */
export function resistanceAt(resistanceAt75C: number, material: Material, temperatureC: number): number {
  return resistanceAt75C * (1 + perDegree[material] * (temperatureC - 75));
}

/**
 * Volts lost by phasors: source volts less the magnitude of source volts minus current times impedance, there and back.
 * Null where the conductor cannot carry the current at all: beyond the point where more length would give less drop.
 * Three-phase: line to line, balanced.
 */
export function exactDropV(circuit: DropCircuit, { resistanceOhmPerKm, reactanceOhmPerKm }: Impedance): number | null {
  const { voltageV, phases, loadA, powerFactor, lengthM, parallelSets } = circuit;
  const lengthKm = ((phases === 1 ? 2 : 1) * lengthM) / 1000 / parallelSets;
  const sourceV = phases === 1 ? voltageV : voltageV / Math.sqrt(3);
  const sine = Math.sqrt(1 - powerFactor * powerFactor);
  const alongV = loadA * lengthKm * (resistanceOhmPerKm * powerFactor + reactanceOhmPerKm * sine);
  const acrossV = loadA * lengthKm * (reactanceOhmPerKm * powerFactor - resistanceOhmPerKm * sine);
  if (alongV * alongV + acrossV * acrossV > sourceV * alongV) return null;
  const dropV = Math.max(0, sourceV - Math.hypot(sourceV - alongV, acrossV));
  return phases === 1 ? dropV : Math.sqrt(3) * dropV;
}

/** The short form: 2 I R L, or root 3 times I R L between three lines, at any power factor. */
export function resistiveDropV(circuit: DropCircuit, resistanceOhmPerKm: number): number {
  const { phases, loadA, lengthM, parallelSets } = circuit;
  return ((phases === 1 ? 2 : Math.sqrt(3)) * loadA * resistanceOhmPerKm * lengthM) / 1000 / parallelSets;
}

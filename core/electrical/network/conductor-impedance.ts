import { conductorRow, conductorRows, conductorSource, ohmPerKm } from '../../standards/conductors.ts';
import type { Source } from '../../standards/source.ts';
import type { LineConductor, LineElement } from '../power-flow/network.ts';
import { acImpedance, type Conduit, type Impedance, type Material, resistanceAt } from '../sizing/voltage-drop.ts';

/** One conductor by its nameplate, with the way it is laid. */
export interface ConductorRun {
  readonly material: Material;
  readonly size: string;
  readonly sizeUnit: 'AWG' | 'kcmil' | 'mm2';
  /** Equal conductors in parallel for each line. */
  readonly parallelSets: number;
  /** One way, m; null unknown. */
  readonly lengthM: number | null;
  readonly conduit: Conduit;
  /** Of the conductor itself, degrees Celsius. */
  readonly temperatureC: number;
}

/** Of one conductor for its whole length, all its parallel sets together. */
export interface SeriesImpedance {
  readonly resistanceOhm: number;
  readonly reactanceOhm: number;
  readonly source: Source;
}

/** The datum that keeps a part from being computed, as a path in its document, and why. */
export interface MissingDatum {
  readonly datum: string;
  readonly why: string;
}

// IEC 60364-5-52 annex G, at the temperature of normal service: ohm mm2 per metre, and ohms per kilometre.
const metricResistivity = { copper: 0.0225, aluminium: 0.036 };
const metricReactanceOhmPerKm = 0.08;
const metricSource: Source = { title: 'IEC 60364-5-52 annex G, voltage drop', fromMemory: true };

/**
 * Resistance and reactance of a conductor: AWG and kcmil sizes from the tables at 75 C, mm2 sizes by the resistivity
 * that the IEC gives for voltage drop, both corrected to the conductor's temperature. A size that Table 9 leaves out
 * takes the figures of the next thinner one that it prints, which never understates the drop; the thinnest aluminium
 * takes its own direct-current resistance.
 */
export function conductorImpedance(run: ConductorRun): SeriesImpedance | MissingDatum {
  const { material, size, sizeUnit, parallelSets, lengthM, temperatureC } = run;
  if (lengthM === null) return { datum: 'conductor.lengthM', why: 'its length is unknown' };
  if (!(lengthM > 0)) return { datum: 'conductor.lengthM', why: `its length is given as ${lengthM} m` };
  if (!(parallelSets >= 1)) return { datum: 'conductor.parallelSets', why: `it has ${parallelSets} parallel sets` };
  const perKm = ohmsPerKm(run);
  if (perKm === null) {
    return { datum: 'conductor.size', why: `${size} ${sizeUnit} ${material} is in no conductor table here` };
  }
  if (!(perKm.resistanceOhmPerKm > 0)) {
    return { datum: 'conductor.temperatureC', why: `${temperatureC} C is no temperature of a conductor` };
  }
  const km = lengthM / 1000 / parallelSets;
  return {
    resistanceOhm: perKm.resistanceOhmPerKm * km,
    reactanceOhm: perKm.reactanceOhmPerKm * km,
    source: sizeUnit === 'mm2' ? metricSource : conductorSource,
  };
}

function ohmsPerKm({ material, size, sizeUnit, conduit, temperatureC }: ConductorRun): Impedance | null {
  if (sizeUnit === 'mm2') {
    const areaMm2 = Number(size);
    if (!(areaMm2 > 0)) return null;
    return {
      resistanceOhmPerKm: resistanceAt((1000 * metricResistivity[material]) / areaMm2, material, temperatureC),
      reactanceOhmPerKm: metricReactanceOhmPerKm,
    };
  }
  const row = conductorRow(size, sizeUnit);
  if (row === null) return null;
  for (let at = conductorRows.indexOf(row); at >= 0; at--) {
    const printed = acImpedance(conductorRows[at] ?? row, material, conduit, temperatureC);
    if (printed !== null) return printed;
  }
  const { copperUncoated, aluminium } = row.dcResistanceOhmPerKft;
  const direct = material === 'copper' ? copperUncoated : aluminium;
  if (direct === null || row.reactanceOhmPerKft === null) return null;
  const { pvcOrAluminium, steel } = row.reactanceOhmPerKft;
  return {
    resistanceOhmPerKm: resistanceAt(ohmPerKm(direct), material, temperatureC),
    reactanceOhmPerKm: ohmPerKm(conduit === 'steel' ? steel : pvcOrAluminium),
  };
}

/**
 * Conductors side by side as one line of a network, each with its own size. The tables' reactance is that of a line
 * to neutral, so that out and back is twice the conductor's own and nothing is left between them.
 */
export function conductorLine(
  id: string,
  conductors: readonly (LineConductor & { readonly impedance: SeriesImpedance })[],
): LineElement {
  const diagonal = (ohms: (impedance: SeriesImpedance) => number): number[][] =>
    conductors.map(({ impedance }, i) => conductors.map((_, j) => (i === j ? ohms(impedance) : 0)));
  return {
    kind: 'line',
    id,
    conductors: conductors.map(({ impedance: _, ...conductor }) => conductor),
    resistanceOhm: diagonal(({ resistanceOhm }) => resistanceOhm),
    reactanceOhm: diagonal(({ reactanceOhm }) => reactanceOhm),
  };
}

/**
 * The size of a neutral of which only its ampacity beside that of its lines is known: the thickest of the table whose
 * 75 C ampacity is no larger a part of the line's. Never thicker than the line; the line's own size where nothing says
 * that the neutral is less.
 */
export function neutralSize(
  line: Pick<ConductorRun, 'material' | 'size' | 'sizeUnit'>,
  lineAmpacityA: number | null,
  neutralAmpacityA: number | null,
): { readonly size: string; readonly sizeUnit: ConductorRun['sizeUnit'] } {
  const { material, size, sizeUnit } = line;
  const row = conductorRow(size, sizeUnit);
  const tableA = row?.ampacityA[material]?.[75];
  const isLess = lineAmpacityA !== null && neutralAmpacityA !== null && neutralAmpacityA < lineAmpacityA;
  if (!isLess || row === null || tableA === undefined) return { size, sizeUnit };
  const mostA = (tableA * neutralAmpacityA) / lineAmpacityA;
  const fitting = conductorRows.filter(
    ({ ampacityA }) => (ampacityA[material]?.[75] ?? Number.POSITIVE_INFINITY) <= mostA,
  );
  const thinnest = conductorRows.find(({ ampacityA }) => ampacityA[material] !== null);
  return fitting.at(-1) ?? thinnest ?? row;
}

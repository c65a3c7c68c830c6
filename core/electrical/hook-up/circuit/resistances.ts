import { conductorRow, conductorRows, ohmPerKm } from '../../../standards/conductors.ts';
import { cordRows } from '../../../standards/cords.ts';
import type { Source } from '../../../standards/source.ts';

export const resistanceSource: Source = {
  title: 'NEC Chapter 9 Table 8 (copper, uncoated, 75 C), sizes by NEC Table 400.5(A)(1)',
  fromMemory: false,
};

/** One pair of mated contacts in sound state, ohm (common practice, from memory: a few milliohms). */
export const contactOhm = 0.002;
/** From plug to connector of an adapter, m (common practice). */
export const adapterLengthM = 0.6;

const known = new Map<number, number>();

/** Ohms a metre of the copper that a cord or adapter conductor of this rating is made of. */
export function ohmPerMetre(ratedA: number): number {
  const found = known.get(ratedA);
  if (found !== undefined) return found;
  const ohm = ohmPerKm(ohmPerKft(ratedA)) / 1000;
  known.set(ratedA, ohm);
  return ohm;
}

/** The thinnest flexible cord with two carrying conductors that suffices, or building wire where cords end. */
function ohmPerKft(ratedA: number): number {
  const cord = cordRows.find((row) => row.twoCarryingA >= ratedA && conductorRow(row.sizeAwg, 'AWG') !== null);
  const row =
    (cord === undefined ? undefined : conductorRow(cord.sizeAwg, 'AWG')) ??
    conductorRows.find(({ ampacityA }) => (ampacityA.copper?.[75] ?? 0) >= ratedA) ??
    conductorRows.at(-1);
  return row?.dcResistanceOhmPerKft.copperUncoated ?? 0;
}

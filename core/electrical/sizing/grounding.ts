import { type ConductorRow, conductorRow, conductorRows } from '../../standards/conductors.ts';
import { groundingSize } from '../../standards/grounding-conductors.ts';
import type { ConductorSize, JudgedConductor, SizingInput } from './sizing.ts';

/** On a dock no equipment grounding conductor is thinner. */
const thinnest = '12';

/**
 * The equipment grounding conductor beside a line conductor: by the breaker, larger in proportion where the lines are
 * larger than their amperes need (for volts), never larger than a line. Of parallel sets each has one of the full size.
 * Null beyond the table. A flexible cord has its own.
 */
export function groundingOf(
  { material, wiring }: SizingInput,
  line: JudgedConductor,
  needed: ConductorSize | null,
  deviceA: number,
): ConductorSize | null {
  const printed = groundingSize(deviceA, material);
  const lineRow = conductorRow(line.size, line.sizeUnit);
  const base = printed === null ? null : rowOf(printed);
  const least = rowOf(thinnest);
  if (wiring === 'cord' || base === null || lineRow === null || least === null) return null;
  const neededRow = needed === null ? null : conductorRow(needed.size, needed.sizeUnit);
  const neededCmil = neededRow === null || needed === null ? null : neededRow.areaCmil * needed.parallelSets;
  const share = neededCmil === null ? 1 : Math.max(1, (lineRow.areaCmil * line.parallelSets) / neededCmil);
  // Beyond the thinnest of a dock, the line itself is always enough.
  const wantedCmil = Math.max(least.areaCmil, Math.min(lineRow.areaCmil, base.areaCmil * share));
  const row = conductorRows.find(({ areaCmil }) => areaCmil >= wantedCmil * (1 - 1e-9));
  return row === undefined ? null : { size: row.size, sizeUnit: row.sizeUnit, parallelSets: line.parallelSets };
}

function rowOf(size: string): ConductorRow | null {
  return conductorRow(size, 'AWG') ?? conductorRow(size, 'kcmil');
}

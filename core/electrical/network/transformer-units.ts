import type { Transformer } from '../../inventory/inventory.ts';
import type { LineName } from '../../standards/configuration.ts';
import type { SupplySystem } from '../../standards/supply-system.ts';
import type { TransformerElement } from '../power-flow/network.ts';
import type { MissingDatum } from './conductor-impedance.ts';
import { nominalBetweenV, type Pole } from './terminals.ts';

/** One side of a transformer: its supply, and the terminal of each pole that is wired. */
export interface TransformerSide {
  readonly system: SupplySystem;
  readonly terminals: ReadonlyMap<Pole, string>;
}

/** Percent R and X on the rated VA of one unit. */
interface UnitRating {
  readonly ratedVa: number;
  readonly percentR: number;
  readonly percentX: number;
}

interface Winding {
  readonly plus: string;
  readonly minus: string;
  readonly ratedV: number;
}

/** Two windings, half of the leakage on each side. */
export function twoWindingUnit(
  id: string,
  rating: UnitRating,
  primary: Winding,
  secondary: Winding,
): TransformerElement {
  const winding = (name: string, at: Winding) => ({
    name,
    ...at,
    ...leakage(rating, at.ratedV, 0.5, 0.5),
    ratedVa: rating.ratedVa,
  });
  return { kind: 'transformer', id, windings: [winding('h', primary), winding('x', secondary)] };
}

/**
 * A centre-tapped unit with interlaced halves: 0.5 R + j 0.8 X in the primary, R + j 0.4 X in each half on the base of
 * the half's volts and the whole unit's VA (Kersting, Distribution System Modeling and Analysis, chapter 11).
 */
export function centreTappedUnit(
  id: string,
  rating: UnitRating,
  primary: Winding,
  { line1, neutral, line2, legV }: { line1: string; neutral: string; line2: string; legV: number },
): TransformerElement {
  const half = (name: string, plus: string, minus: string) => ({
    name,
    plus,
    minus,
    ratedV: legV,
    ...leakage(rating, legV, 1, 0.4),
    ratedVa: rating.ratedVa / 2,
  });
  return {
    kind: 'transformer',
    id,
    windings: [
      { name: 'h', ...primary, ...leakage(rating, primary.ratedV, 0.5, 0.8), ratedVa: rating.ratedVa },
      half('x1', line1, neutral),
      half('x2', neutral, line2),
    ],
  };
}

function leakage({ ratedVa, percentR, percentX }: UnitRating, ratedV: number, shareR: number, shareX: number) {
  const baseOhm = (ratedV * ratedV) / ratedVa;
  return {
    resistanceOhm: ((shareR * percentR) / 100) * baseOhm,
    reactanceOhm: ((shareX * percentX) / 100) * baseOhm,
  };
}

/** The nameplate figures that nobody has stated, or that no transformer has; null where all are there. */
export function missingNameplate({ ratedKva, percentR, percentX }: Transformer): MissingDatum | null {
  if (ratedKva === null) return { datum: 'transformer.ratedKva', why: 'its kVA are unknown' };
  if (!(ratedKva > 0)) return { datum: 'transformer.ratedKva', why: `its rating is given as ${ratedKva} kVA` };
  if (percentR === null) return { datum: 'transformer.percentR', why: 'its percent R is unknown' };
  if (percentX === null) return { datum: 'transformer.percentX', why: 'its percent X is unknown' };
  if (percentR + percentX <= 0) return { datum: 'transformer.percentX', why: 'its impedance is given as 0 %' };
  return null;
}

/**
 * A transformer from its nameplate, at nominal taps.
 *
 * - `centreTapped`: one unit on a pair of primary lines or on a line and neutral; with one secondary line, one winding.
 * - `wyeWye`: three units, line to neutral on both sides.
 * - `deltaWye`: three units; the secondary lags the primary by 30 degrees (IEEE C57.12.00 for delta-wye units, vector
 *   group Dyn1 of IEC 60076-1): L1 on L1-L3, L2 on L2-L1, L3 on L3-L2, as in the feeder demand.
 * - `highLegBank`: a closed delta of three units of a third of the rating each, on a delta primary; the tapped unit between
 *   L1 and L3, the high leg on L2.
 */
export function transformerUnits(
  id: string,
  { connection, ...nameplate }: Transformer,
  primary: TransformerSide,
  secondary: TransformerSide,
): TransformerElement[] | MissingDatum {
  const { ratedKva, percentR, percentX } = nameplate;
  const missing = missingNameplate({ connection, ...nameplate });
  if (missing !== null || ratedKva === null || percentR === null || percentX === null) {
    return missing ?? { datum: 'transformer', why: 'its nameplate is incomplete' };
  }
  const rating = (units: number): UnitRating => ({ ratedVa: (1000 * ratedKva) / units, percentR, percentX });
  const winding = (side: TransformerSide, plus: Pole, minus: Pole): Winding | null => {
    const [a, b] = [side.terminals.get(plus), side.terminals.get(minus)];
    const ratedV = nominalBetweenV(side.system, plus, minus);
    return a === undefined || b === undefined || ratedV === 0 ? null : { plus: a, minus: b, ratedV };
  };
  const bank = (pairs: readonly (readonly [Winding | null, Winding | null])[]): TransformerElement[] | MissingDatum => {
    const units: TransformerElement[] = [];
    for (const [high, low] of pairs) {
      if (high === null || low === null) return unfit;
      units.push(twoWindingUnit(`${id}/${units.length + 1}`, rating(pairs.length), high, low));
    }
    return units;
  };
  const unfit: MissingDatum = {
    datum: 'transformer.connection',
    why: `a ${connection} connection does not join ${primary.system.name} to ${secondary.system.name} by these lines`,
  };
  const lines: readonly LineName[] = ['L1', 'L2', 'L3'];
  switch (connection) {
    case 'wyeWye':
      return bank(lines.map((line) => [winding(primary, line, 'N'), winding(secondary, line, 'N')]));
    case 'deltaWye':
      return bank(
        lines.map((line, at) => [winding(primary, line, lines[(at + 2) % 3] ?? line), winding(secondary, line, 'N')]),
      );
    case 'centreTapped': {
      const wired = lines.filter((line) => primary.terminals.has(line));
      const [a, b] = wired;
      if (a === undefined) return unfit;
      if (wired.length > 2) return { datum: 'lines', why: `nobody has said which of ${wired.join(', ')} feed it` };
      const high = winding(primary, a, b ?? 'N');
      if (secondary.system.lines.length === 1) return bank([[high, winding(secondary, 'L1', 'N')]]);
      return tapped(`${id}/1`, rating(1), high, secondary, 'L1', 'L2') ?? unfit;
    }
    case 'highLegBank': {
      const unit = tapped(`${id}/1`, rating(3), winding(primary, 'L1', 'L2'), secondary, 'L1', 'L3');
      const rest = [
        [winding(primary, 'L3', 'L1'), winding(secondary, 'L2', 'L1')],
        [winding(primary, 'L2', 'L3'), winding(secondary, 'L3', 'L2')],
      ] as const;
      if (unit === null) return unfit;
      const power: TransformerElement[] = [];
      for (const [high, low] of rest) {
        if (high === null || low === null) return unfit;
        power.push(twoWindingUnit(`${id}/${power.length + 2}`, rating(3), high, low));
      }
      return [...unit, ...power];
    }
  }
}

function tapped(
  id: string,
  rating: UnitRating,
  high: Winding | null,
  { system, terminals }: TransformerSide,
  first: LineName,
  last: LineName,
): TransformerElement[] | null {
  const [line1, neutral, line2] = [terminals.get(first), terminals.get('N'), terminals.get(last)];
  const legV = nominalBetweenV(system, first, 'N');
  const acrossV = nominalBetweenV(system, first, last);
  if (high === null || line1 === undefined || neutral === undefined || line2 === undefined) return null;
  // Halves of one winding are opposed: twice the volts of one across both.
  if (Math.abs(acrossV - 2 * legV) > 1e-6 * acrossV) return null;
  return [centreTappedUnit(id, rating, high, { line1, neutral, line2, legV })];
}

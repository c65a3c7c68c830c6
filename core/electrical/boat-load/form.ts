import { continuousShare } from '../sizing/continuous.ts';
import type { LoadAppliance, Season } from './boat-load.ts';
import type { LoadMethod } from './load-method.ts';

/** A load on one leg in A, or in the whole boat in VA: the form's steps are the same in both. */
export interface Item {
  readonly value: number;
  readonly motor: boolean;
  readonly continuous: boolean;
  readonly fixed: boolean;
  readonly use: LoadAppliance['use'];
}

export interface FormSums {
  readonly running: number;
  readonly demand: number;
  readonly sizing: number;
}

/** The sums of one season, or in each sum the larger of both. */
export function sumsOf(method: LoadMethod, items: readonly Item[], season: Season): FormSums {
  if (season !== 'either') return ofSeason(method, items, season);
  const summer = ofSeason(method, items, 'summer');
  const winter = ofSeason(method, items, 'winter');
  return {
    running: Math.max(summer.running, winter.running),
    demand: Math.max(summer.demand, winter.demand),
    sizing: Math.max(summer.sizing, winter.sizing),
  };
}

function ofSeason(method: LoadMethod, items: readonly Item[], season: 'summer' | 'winter'): FormSums {
  const off = season === 'summer' ? 'heating' : 'cooling';
  const on = items.filter(({ use }) => use !== off);
  const sum = (of: readonly Item[]) => of.reduce((total, { value }) => total + value, 0);
  const largest = (of: readonly Item[]) => of.reduce((most, { value }) => Math.max(most, value), 0);
  const motors = on.filter(({ motor }) => motor);
  const base =
    sum(on.filter(({ fixed }) => !fixed)) +
    fixedDemand(
      method,
      on.filter(({ fixed }) => fixed),
    );
  // A motor that is continuous and the largest is raised once, not twice.
  const raised =
    continuousShare * sum(on.filter(({ continuous }) => continuous)) +
    method.largestMotorShare * largest(motors.filter(({ continuous }) => !continuous));
  return {
    running: sum(on),
    demand: base + method.largestMotorShare * largest(motors),
    sizing: base + raised,
  };
}

/** The factor as printed, but never less than without the smallest: one appliance more never lowers the load. */
function fixedDemand({ fixedAppliances }: LoadMethod, fixed: readonly Item[]): number {
  const values = fixed.map(({ value }) => value).sort((a, b) => b - a);
  const sum = (of: readonly number[]) => of.reduce((total, value) => total + value, 0);
  const { moreThan, factor } = fixedAppliances;
  if (values.length <= moreThan) return sum(values);
  return Math.max(factor * sum(values), sum(values.slice(0, moreThan)));
}

const squareMetresPerSquareFoot = 0.09290304;

export function lightingVa(method: LoadMethod, livingAreaM2: number): number {
  return (livingAreaM2 / squareMetresPerSquareFoot) * method.lightingVaPerSquareFoot;
}

export function generalDemandVa({ firstVa, restFactor }: LoadMethod, generalVa: number): number {
  return Math.min(generalVa, firstVa) + restFactor * Math.max(0, generalVa - firstVa);
}

/** What a range counts as; null where it is larger than the form knows. */
export function rangeDemandVa({ ranges }: LoadMethod, rangeW: number): number | null {
  const row = ranges.rows.find(({ toW }) => rangeW <= toW);
  if (row === undefined) return null;
  return row.demandVa ?? rangeW * (row.shareOfRating ?? 1);
}

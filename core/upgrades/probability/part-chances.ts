import type { OutletUse } from '../../berths/occupancy.ts';
import type { Season } from '../../electrical/boat-load/boat-load.ts';
import type { PeakOfPart } from '../../electrical/demand/demand-of-part.ts';
import { peakDemand } from '../../electrical/demand/peak-demand.ts';
import type { InventoryIndex } from '../../inventory/index-inventory.ts';
import { configuration } from '../../standards/configurations.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { seededChance } from '../random.ts';
import type { PartOfDay } from './duty-cycles.ts';
import { exactChances, feasibleStepA, type LineChances } from './exact.ts';
import { type BoatOnOutlets, type LoadsOnPart, loadsOnPart } from './loads-on-part.ts';
import { type Simulated, simulateChances } from './simulate.ts';

export interface ChosenHour {
  readonly season: Season;
  readonly partOfDay: PartOfDay;
}

export interface HowToCount {
  /** Grain of the convolution, A; null: as fine as can be. */
  readonly stepA: number | null;
  /** Moments drawn; 0: no simulation. */
  readonly draws: number;
  readonly seed: number;
}

export interface PartChances extends LoadsOnPart {
  readonly exact: readonly LineChances[];
  /** Null where none was asked for. */
  readonly simulated: Simulated | null;
  /** The same boats by ratings and the practice's factor. */
  readonly demandFactor: PeakOfPart;
}

/**
 * Demand of one part in a chosen hour as the sum of the boats' appliances, each on or off by chance, beside what the demand
 * factor gives for the same outlets.
 * @throws Error when the equipment or an outlet is not in the inventory; RangeError for a step that is too fine.
 */
export function chancesOfPart(
  index: InventoryIndex,
  practice: DemandPractice,
  equipmentId: string,
  boats: readonly BoatOnOutlets[],
  { season, partOfDay }: ChosenHour,
  { stepA, draws, seed }: HowToCount,
): PartChances {
  const onPart = loadsOnPart(index, equipmentId, boats, season, partOfDay);
  const { loads, lines, limits } = onPart;
  const hour = { from: 0, until: 1 };
  const uses = boats.flatMap(({ outletIds, boatLabel }) =>
    outletIds.map((outletId): OutletUse => {
      return { ...hour, outletId, statedVa: null, by: { kind: 'assignment', id: outletId, label: boatLabel } };
    }),
  );
  const [demand] = peakDemand(index, practice, uses, hour, equipmentId);
  if (demand === undefined) throw new Error(`no equipment "${equipmentId}" in the inventory`);
  return {
    ...onPart,
    exact: exactChances(loads, lines, limits, stepA ?? feasibleStepA(loads, lines)),
    simulated: draws === 0 ? null : simulateChances(loads, lines, limits, draws, seededChance(seed)),
    demandFactor: demand.rated,
  };
}

/** Longest boat that an outlet of this rating is taken to serve: assumption of this project. */
const assumedLengths: readonly { readonly upToA: number; readonly lengthM: number }[] = [
  { upToA: 20, lengthM: 8 },
  { upToA: 32, lengthM: 11 },
  { upToA: 63, lengthM: 18 },
  { upToA: Number.POSITIVE_INFINITY, lengthM: 24 },
];

export const fullMarinaAssumption =
  'Every shore-power outlet has a boat of its own: up to 11 m on 30 A, up to 18 m on 50 A, longer on more (assumption of this project).';

/** A full marina: those that are known, and on every other shore-power outlet a boat of which only the outlet is known. */
export function withBoatOnEveryOutlet(index: InventoryIndex, known: readonly BoatOnOutlets[]): BoatOnOutlets[] {
  const taken = new Set(known.flatMap(({ outletIds }) => outletIds));
  return [
    ...known,
    ...index.inventory.outlets.flatMap(({ id, label, configurationId }): BoatOnOutlets[] => {
      const pattern = configuration(configurationId);
      if (taken.has(id) || pattern === null || !pattern.shorePower) return [];
      const lengthM = assumedLengths.find(({ upToA }) => pattern.ratedA <= upToA)?.lengthM ?? null;
      return [{ outletIds: [id], boatLabel: label, lengthM, airConditioning: null, appliances: null }];
    }),
  ];
}

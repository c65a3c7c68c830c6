import type { Berth, Outlet } from '../../inventory/inventory.ts';
import type { CordRule } from '../cord-lengths.ts';
import type { SpaceUse, UsedBy } from '../occupancy.ts';
import type { LowTide } from '../tide.ts';
import type { BoatDemand } from './demand-figures.ts';
import type { HookUpSearch, HookUpsFound } from './hook-ups.ts';
import type { OptionsQuestion } from './options.ts';
import type { PowerWay, PowerWays } from './power-way.ts';
import type { BerthFacts, ReachedOutlet } from './reached-outlets.ts';
import type { RoomFit } from './room-fit.ts';
import type { Said } from './said.ts';

/** A question with everything that is the same for all berths, worked out once. */
export interface Prepared {
  readonly question: OptionsQuestion;
  readonly lowTide: LowTide;
  readonly factsOf: (berth: Berth) => BerthFacts;
  readonly fitOf: (facts: BerthFacts) => RoomFit;
  readonly usesOfUnit: ReadonlyMap<string, readonly SpaceUse[]>;
  /** Who has an outlet at some moment of the stay, by outlet. */
  readonly userOfOutlet: ReadonlyMap<string, UsedBy>;
  /** The same by the outlet's ordinal: 1 where somebody has it. */
  readonly isTaken: Uint8Array;
  /** What is asked before some outlets are taken: whether boats that should have left are unplugged. */
  readonly overdueAt: (outlets: readonly ReachedOutlet[]) => Said;
  /** With what the boat says it draws, where it says so. */
  readonly demand: BoatDemand;
  readonly hookUps: HookUpSearch;
  /** The least leakage budget left on any of some outlets, mA; 0 where it is unknown, and without outlets. */
  readonly leakageLeftMa: (outlets: readonly ReachedOutlet[]) => number;
  /** Ways of a class of outlets, made once for each. */
  readonly waysOf: (found: HookUpsFound) => Pick<PowerWays, 'first' | 'more'>;
  readonly withoutPower: () => readonly PowerWay[];
  readonly cordRuleOf: (outlet: Outlet) => CordRule;
}

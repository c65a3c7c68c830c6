import type { LineName } from '../standards/configuration.ts';
import type { Berth, Conductor, GroundFault, Inventory, Mooring, Orientation } from './inventory.ts';

/** An inventory as people write it: plain items, and patterns that stand for many of them. */
export interface InventoryDocument extends Inventory {
  readonly patterns?: readonly PedestalPattern[] | undefined;
}

/**
 * A row of like pedestals along one dock, each with the same outlets and slips. "40 pedestals on dock B, every 6 m from
 * 3 m on, two 30 A and one 50 A each, lines in turn."
 *
 * Ids and labels are templates. `{p}` is the pedestal's number; `{n}` the running number of the thing itself over the
 * whole pattern (for a pedestal the same as `{p}`); `{k}` its place at the pedestal from 1 on and `{a}` the same as a
 * letter (`A`, `B`, ...).
 */
export interface PedestalPattern {
  readonly dockId: string;
  /** Pedestals to make, 1 to 500. */
  readonly count: number;
  /** Number of the first pedestal; the next follow by one. */
  readonly firstNumber: number;
  /** Distance of the first pedestal from the dock's shore end, and from each to the next, m. */
  readonly firstAlongM: number;
  readonly spacingM: number;
  /** The equipment that feeds the pedestals, or their branch circuits where the pattern makes these. */
  readonly fedById: string;
  readonly pedestal: Naming;
  /** One branch circuit for each pedestal; null where they hang on `fedById` directly. */
  readonly branchCircuit: PatternBranchCircuit | null;
  readonly outlets: readonly PatternOutlet[];
  readonly berths: readonly PatternBerth[];
  /** Number of the first berth, for `{n}`. */
  readonly firstBerthNumber: number;
}

/** Templates such as `B{n}`. */
export interface Naming {
  readonly id: string;
  readonly label: string;
}

export interface PatternBranchCircuit extends Naming {
  readonly breakerA: number | null;
  readonly conductorAmpacityA: number | null;
  readonly neutralAmpacityA: number | null;
  /** Its length is that to the first pedestal; each next one is longer by the spacing. */
  readonly conductor: Conductor | null;
  readonly groundFault: GroundFault;
}

/** `count` like outlets on every pedestal. */
interface PatternOutlet extends Naming {
  readonly count: number;
  readonly configurationId: string;
  /** Lines taken in turn by these outlets along the dock: `[["L1"], ["L2"]]`; null where nobody knows them. */
  readonly lineTurns: readonly (readonly LineName[])[] | null;
  readonly breakerA: number | null;
  readonly groundFault: GroundFault;
  readonly subMetered: boolean;
  readonly heightM: number | null;
}

/** One slip at every pedestal, a unit of space and a berth of the same id and label. */
interface PatternBerth extends Naming {
  readonly lengthM: number | null;
  readonly beamM: number | null;
  readonly depthM: number | null;
  readonly mooring: Mooring;
  readonly fingerOn: Berth['fingerOn'];
  readonly orientations: readonly Orientation[];
  /** Where the pedestal's shore-power outlets stand, as seen from this slip; null where it reaches none. */
  readonly reach: PatternReach | null;
}

type PatternReach = Omit<Berth['reaches'][number], 'outletId'>;

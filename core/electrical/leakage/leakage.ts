import type { Finding, Subject } from '../../findings.ts';
import type { GroundFault } from '../../inventory/inventory.ts';

/**
 * One place of the supply where current that leaves its conductors is noticed, or would be: an outlet with its own
 * device, or equipment above it. A place without a device still carries the boats below it.
 */
export interface LeakagePlace {
  /** Unique among the places. */
  readonly id: string;
  readonly subject: Subject;
  /** The place above; null at the source of the supply. A transformer's windings pass no residual current on. */
  readonly aboveId: string | null;
  readonly device: GroundFault['device'];
  readonly settingMa: number | null;
}

/** A boat on one outlet, read by clamping lines and neutral together without the protective conductor. */
export interface LeakageReading {
  readonly placeId: string;
  readonly boat: Subject;
  /** mA; null where nobody has read it. */
  readonly leakageMa: number | null;
  /** Epoch milliseconds; null unknown. */
  readonly takenAt: number | null;
  /** Whether the boat's loads were on; null unknown. */
  readonly loadsOn: boolean | null;
}

/** A device that tripped, as entered by hand. */
export interface LeakageTrip {
  readonly placeId: string;
  /** The boat that it is put down to; null where nobody knows. */
  readonly boat: Subject | null;
}

export interface LeakageInput {
  readonly places: readonly LeakagePlace[];
  readonly readings: readonly LeakageReading[];
  readonly trips: readonly LeakageTrip[];
}

/** What keeps a sum of readings from being an upper bound of what the device sees. */
type NoBound = 'notRead' | 'loadsOff' | 'notTogether';

/** The sum under one device. */
export interface DeviceLeakage {
  readonly placeId: string;
  readonly subject: Subject;
  readonly settingMa: number | null;
  /** All readings below it. Leakage on different lines partly cancels, so the device sees at most this. */
  readonly sumMa: number;
  readonly boats: number;
  /** Boats below it that nobody has read: the sum is then what is known, and no bound. */
  readonly unreadBoats: number;
  /** Empty where the sum is an upper bound: every boat read, all together, loads on. */
  readonly noBound: readonly NoBound[];
  /** `mayTrip`: above half of the setting. Without a setting or a bound it is never `within`. */
  readonly assessment: 'within' | 'mayTrip' | 'over' | 'notAssessed';
  /** Setting less the sum, less 20 mA for each unread boat; null where the setting is unknown. */
  readonly budgetLeftMa: number | null;
  /** Boats below it that leak or are put down for a trip: who leaks most first, then who tripped most. */
  readonly contributors: readonly {
    readonly boat: Subject;
    /** What was read, mA; an unread outlet adds nothing. */
    readonly leakageMa: number;
    readonly share: number;
    /** Trips put down to it, of this device and of those below it. */
    readonly trips: number;
  }[];
  /** Trips of this very device. */
  readonly trips: number;
}

export interface BoatLeakage {
  readonly boat: Subject;
  /** Over all its outlets that were read. */
  readonly leakageMa: number;
  /** Outlets of it that nobody has read. */
  readonly unreadOutlets: number;
  readonly trips: number;
}

export interface Leakage {
  readonly devices: readonly DeviceLeakage[];
  readonly boats: readonly BoatLeakage[];
  readonly findings: readonly Finding[];
}

/** What is left for one more boat on an outlet, by the tightest device above it: for ranking, not for judging. */
export interface LeakageBudget {
  /** Null where no device on the way up has a known setting. */
  readonly leftMa: number | null;
  readonly tightestPlaceId: string | null;
  /** Places on the way up whose device or setting is unknown: whatever is left, it is not known to be enough. */
  readonly unknownPlaceIds: readonly string[];
}

import type { AdmissionJudgement } from '../../electrical/demand/admission.ts';
import type { JudgedHookUp } from '../../electrical/hook-up/hook-up.ts';
import type { Finding } from '../../findings.ts';
import type { BoatDemand } from './demand-figures.ts';
import type { Doubt } from './doubt.ts';
import type { ReachedOutlet } from './reached-outlets.ts';
import type { Taken } from './score.ts';

/** What feeds one inlet: places in the list of outlets taken. */
export interface Feed {
  readonly inletId: string;
  readonly places: readonly number[];
  /** Those aboard that fit the inlet; null where nobody has said which are aboard. */
  readonly cordSetIds: readonly string[] | null;
}

/**
 * One way to power a boat from outlets of a kind, the same at all berths that have the like free: which of them it
 * takes is a choice of its own, and demand and cords are judged afterwards.
 */
export interface PowerWay extends Taken {
  /** The least that the hook-up can bring. */
  readonly least: Doubt;
  /** The outlets to take from those that are free, in the order to try. */
  readonly choices: (free: readonly ReachedOutlet[]) => readonly (readonly ReachedOutlet[])[];
  /** What the hook-up brings, and which of the outlets feed which inlet. */
  readonly hookUp: () => { readonly doubt: Doubt; readonly feeds: readonly Feed[] };
  /** By which the outlets load their feeders. */
  readonly demand: BoatDemand;
  /** Null where no hook-up can be told. */
  readonly words: (outlets: readonly ReachedOutlet[]) => PowerWords;
}

export interface PowerWords {
  readonly hookUp: JudgedHookUp | null;
  readonly demand: AdmissionJudgement | null;
  readonly findings: readonly Finding[];
}

export interface PowerWays {
  readonly free: readonly ReachedOutlet[];
  /** Never empty: where nothing is found, the one way says why. */
  readonly first: readonly PowerWay[];
  /** To be tried where all of these are refused. */
  readonly more: () => readonly PowerWay[];
}

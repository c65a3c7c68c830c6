/** Why a network has no answer: which part, and what is wrong with it. */
export interface PowerFlowProblem {
  readonly reason: PowerFlowReason;
  readonly elementId: string | null;
  readonly terminal: string | null;
  /** Names the thing, its value and what to do. */
  readonly message: string;
}

export type PowerFlowReason =
  /** A figure or name in the document is missing, not finite or out of range. */
  | 'badValue'
  | 'duplicateId'
  | 'noSource'
  /** A load whose terminals no source reaches. */
  | 'deadLoad'
  /** Ideal links or sources in a ring: how the current divides, or which voltage holds, is not defined. */
  | 'idealLoop'
  /** So many rings that the work would know no bounds. */
  | 'tooMeshed'
  /** The equations do not settle the volts or amperes of this part. */
  | 'undetermined'
  /** A load whose two ends are joined through itself alone. */
  | 'noReturnPath'
  /** The network cannot deliver what this load demands. */
  | 'collapse';

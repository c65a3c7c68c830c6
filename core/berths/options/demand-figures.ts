import type { Admission, AdmissionJudgement } from '../../electrical/demand/admission.ts';
import type { BoatVolts, StayVolts } from '../../electrical/network/boat-volts.ts';
import { type Doubt, doubtOf, doubtOfLevel, noDoubt } from './doubt.ts';
import type { ReachedOutlet } from './reached-outlets.ts';

/** What one more boat on some outlets means for the equipment above them, in figures. */
export interface DemandFigures {
  readonly doubt: Doubt;
  /** Caution where volts may leave their range, by a bound that never says too little; a solve decides. */
  readonly doubtOfVolts: Doubt;
  /** Share of the tightest limit that is left; null where none is assessed. */
  readonly marginShare: number | null;
  /** Spread of line loads on the outlets' feeders with the boat on them, A. */
  readonly unbalanceA: number;
}

export interface BoatDemand {
  /** The same for outlets that load the same equipment alike, so each class is judged once. */
  readonly figures: (outlets: readonly ReachedOutlet[]) => DemandFigures;
  readonly judge: (outlets: readonly ReachedOutlet[]) => AdmissionJudgement;
  /** The volts that the boat finds there, solved. */
  readonly solveVolts: (outlets: readonly ReachedOutlet[]) => BoatVolts;
}

export const noDemand: DemandFigures = { doubt: noDoubt, doubtOfVolts: noDoubt, marginShare: null, unbalanceA: 0 };

/** @param statedVa what the boat draws; null: the outlets' ratings */
export function prepareBoatDemand(
  admission: Admission,
  unbalanceA: (outlets: readonly ReachedOutlet[]) => number,
  volts: () => StayVolts,
  statedVa: number | null,
): BoatDemand {
  const known = new Map<number | string, DemandFigures>();
  const judge = (outlets: readonly ReachedOutlet[]) =>
    admission.judge(
      outlets.map(({ outlet }) => outlet.id),
      statedVa,
    );
  const measure = (outlets: readonly ReachedOutlet[]): DemandFigures => {
    const { findings, tightest } = judge(outlets);
    const mayLeaveRange = volts().mayLeaveRange(
      outlets.map(({ outlet }) => outlet),
      statedVa,
    );
    return {
      doubt: doubtOf(findings),
      doubtOfVolts: mayLeaveRange ? cautionOfVolts : noDoubt,
      marginShare: tightest?.marginShare ?? null,
      unbalanceA: unbalanceA(outlets),
    };
  };
  return {
    judge,
    solveVolts: (outlets) =>
      volts().solve(
        outlets.map(({ outlet }) => outlet),
        statedVa,
      ),
    figures: (outlets) => {
      const key = keyOf(outlets);
      const figures = known.get(key) ?? measure(outlets);
      known.set(key, figures);
      return figures;
    },
  };
}

const cautionOfVolts = doubtOfLevel('caution');
const pairBase = 2 ** 26;

/** The load classes in any order. One and two outlets, as nearly all hook-ups take, have keys that cost nothing. */
function keyOf(outlets: readonly ReachedOutlet[]): number | string {
  const [first, second] = outlets;
  if (first === undefined || outlets.length > 2) {
    const classes = outlets.map(({ loadClass }) => loadClass);
    return classes.sort((a, b) => a - b).join();
  }
  if (second === undefined) return first.loadClass;
  const [low, high] = [Math.min(first.loadClass, second.loadClass), Math.max(first.loadClass, second.loadClass)];
  return (low + 1) * pairBase + high;
}

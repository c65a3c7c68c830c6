import type { Admission, AdmissionJudgement } from '../../electrical/demand/admission.ts';
import { type Doubt, doubtOf, noDoubt } from './doubt.ts';
import type { ReachedOutlet } from './reached-outlets.ts';

/** What one more boat on some outlets means for the equipment above them, in figures. */
export interface DemandFigures {
  readonly doubt: Doubt;
  /** Share of the tightest limit that is left; null where none is assessed. */
  readonly marginShare: number | null;
  /** Spread of line loads on the outlets' feeders with the boat on them, A. */
  readonly unbalanceA: number;
}

export interface BoatDemand {
  /** The same for outlets that load the same equipment alike, so each class is judged once. */
  readonly figures: (outlets: readonly ReachedOutlet[]) => DemandFigures;
  readonly judge: (outlets: readonly ReachedOutlet[]) => AdmissionJudgement;
}

export const noDemand: DemandFigures = { doubt: noDoubt, marginShare: null, unbalanceA: 0 };

/** @param statedVa what the boat draws; null: the outlets' ratings */
export function prepareBoatDemand(
  admission: Admission,
  unbalanceA: (outlets: readonly ReachedOutlet[]) => number,
  statedVa: number | null,
): BoatDemand {
  const ofOne = new Map<number, DemandFigures>();
  const ofSeveral = new Map<string, DemandFigures>();
  const judge = (outlets: readonly ReachedOutlet[]) =>
    admission.judge(
      outlets.map(({ outlet }) => outlet.id),
      statedVa,
    );
  const measure = (outlets: readonly ReachedOutlet[]): DemandFigures => {
    const { findings, tightest } = judge(outlets);
    return {
      doubt: doubtOf(findings),
      marginShare: tightest?.marginShare ?? null,
      unbalanceA: unbalanceA(outlets),
    };
  };
  return {
    judge,
    figures: (outlets) => {
      const [only] = outlets;
      if (only !== undefined && outlets.length === 1) {
        const figures = ofOne.get(only.loadClass) ?? measure(outlets);
        ofOne.set(only.loadClass, figures);
        return figures;
      }
      const key = outlets
        .map(({ loadClass }) => loadClass)
        .sort((a, b) => a - b)
        .join();
      const figures = ofSeveral.get(key) ?? measure(outlets);
      ofSeveral.set(key, figures);
      return figures;
    },
  };
}

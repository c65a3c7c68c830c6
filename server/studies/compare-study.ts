import type { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { compareStanding, type Standing } from '../../core/upgrades/studies/compare.ts';
import { dueObligations } from '../../core/upgrades/studies/obligations.ts';
import { practiceOf } from '../berth-options/question.ts';
import type { comparisonSchema } from './schema.ts';
import { bothInventories, moneyOf, type StoredStudy } from './stored-study.ts';

/** Before and after the chosen changes (null: all of them). */
export function compareStudy(
  study: StoredStudy,
  chosenIds: readonly string[] | null,
): z.output<typeof comparisonSchema> {
  const { before, after, made, touched } = bothInventories(study, chosenIds);
  const { currency, edition, obligations } = study.settings;
  const due = dueObligations(obligations, new Set(made.map(({ id }) => id)));
  const isDue = new Set(due.map(({ id }) => id));
  const priced = new Set(due.map(({ rule }) => rule));
  const compared = compareStanding(before, after, { practice: practiceOf(before), edition }, touched);
  return {
    chosen: made.map(({ id }) => id),
    currency,
    ...moneyOf(study.settings, made),
    before: standing(compared.before),
    after: standing(compared.after),
    mended: [...compared.mended],
    remaining: [...compared.remaining],
    added: [...compared.added],
    obliged: [...compared.obliged],
    obligations: obligations.map((each) => ({
      ...each,
      due: isDue.has(each.id),
      toBeConfirmed: each.confirmedBy === null,
    })),
    rulesNotPriced: [...new Set(compared.obliged.map(({ rule }) => rule))].filter((rule) => !priced.has(rule)).sort(),
    assumptions: [...compared.after.assumptions],
    cautions: [...electricalCautions],
  };
}

function standing({ parts, worstVolts, volts, leakage }: Standing) {
  return {
    parts: parts.map(({ demand, sizing }) => ({
      equipmentId: demand.equipmentId,
      label: demand.label,
      demandVa: demand.demandVa,
      assessment: demand.assessment,
      limits: demand.limits.map(({ kind, winding, actual, limit, unit }) => ({ kind, winding, actual, limit, unit })),
      deviceNeededA: sizing?.deviceA ?? null,
      conductorNeeded:
        sizing?.conductor == null
          ? null
          : {
              size: sizing.conductor.size,
              sizeUnit: sizing.conductor.sizeUnit,
              parallelSets: sizing.conductor.parallelSets,
            },
    })),
    worstVolts,
    volts: [...volts],
    leakage: [...leakage],
  };
}

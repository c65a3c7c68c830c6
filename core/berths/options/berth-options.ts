import { nearMisses } from './near-misses.ts';
import { openQuestion } from './open-question.ts';
import type { BerthOptions, OptionsQuestion } from './options.ts';
import { prepare } from './prepare.ts';
import { rankBerths } from './rank-berths.ts';

/** How many berths an answer puts into words; every berth is judged and named all the same. */
export interface AnswerLength {
  readonly options: number;
  readonly refused: number;
}

/**
 * Judges every berth of a marina for one stay. Best first; refused berths come with the rules that refused them, and
 * those that little would mend with what would.
 */
export function berthOptions(question: OptionsQuestion, length: AnswerLength): BerthOptions {
  const ranked = rankBerths(prepare(question));
  const open = ranked.filter(({ verdict }) => verdict !== 'refused');
  const refused = ranked.filter(({ verdict }) => verdict === 'refused');
  const options = open.slice(0, length.options).map((berth) => berth.describe());
  const worded = refused.slice(0, length.refused).map((berth) => berth.describe());
  return {
    options,
    refused: worded,
    nearMisses: nearMisses(worded),
    question: openQuestion(options),
    all: ranked.map(({ berth, verdict }) => ({ berthId: berth.id, label: berth.label, verdict })),
  };
}

import { mayBeNear, nearMisses } from './near-misses.ts';
import { openQuestion } from './open-question.ts';
import type { BerthOption, BerthOptions, OptionsQuestion } from './options.ts';
import { prepare } from './prepare.ts';
import { type RankedBerth, rankBerths } from './rank-berths.ts';

/** How many berths an answer puts into words; every berth is judged and named all the same. */
export interface AnswerLength {
  readonly options: number;
  readonly refused: number;
}

// What to ask and what to mend is read from so many berths, however few the answer shows.
const mostWeighed = 20;

/**
 * Judges every berth of a marina for one stay. Best first; refused berths come with the rules that refused them, and
 * those that little would mend with what would.
 */
export function berthOptions(question: OptionsQuestion, length: AnswerLength): BerthOptions {
  const ranked = rankBerths(prepare(question));
  const open = ranked.filter(({ verdict }) => verdict !== 'refused');
  const refused = ranked.filter(({ verdict }) => verdict === 'refused');
  const words = new Map<RankedBerth, BerthOption>();
  const describe = (berth: RankedBerth): BerthOption => {
    const option = words.get(berth) ?? berth.describe();
    words.set(berth, option);
    return option;
  };
  const options = open.slice(0, Math.max(length.options, mostWeighed)).map(describe);
  const near = mayBeNear(refused).slice(0, mostWeighed).map(describe);
  return {
    options: options.slice(0, length.options),
    refused: refused.slice(0, length.refused).map(describe),
    counts: { options: open.length, refused: refused.length },
    nearMisses: nearMisses(near),
    question: openQuestion(options.length > 0 ? options : near),
    all: ranked.map(({ berth, verdict }) => ({ berthId: berth.id, label: berth.label, verdict })),
  };
}

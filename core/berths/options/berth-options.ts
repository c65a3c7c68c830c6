import { mayBeNear, nearMisses } from './near-misses.ts';
import { openQuestion } from './open-question.ts';
import type { BerthOption, BerthOptions, OptionsQuestion } from './options.ts';
import { prepare } from './prepare.ts';
import { type RankedBerth, rankBerths } from './rank-berths.ts';
import { compareScores } from './score.ts';

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
  const bounded = ranked.filter(({ verdict }) => verdict !== 'refused');
  const refused = ranked.filter(({ verdict }) => verdict === 'refused');
  const words = new Map<RankedBerth, BerthOption>();
  const describe = (berth: RankedBerth): BerthOption => {
    const option = words.get(berth) ?? berth.describe();
    words.set(berth, option);
    return option;
  };
  // A bound ranks them all; those offered are solved, which can only move them forward among themselves.
  const offered = Math.max(length.options, mostWeighed);
  const solved = bounded.slice(0, offered).map((berth) => berth.solved());
  const open = [...solved.sort((a, b) => compareScores(a.score, b.score)), ...bounded.slice(offered)];
  const options = open.slice(0, offered).map(describe);
  const near = mayBeNear(refused).slice(0, mostWeighed).map(describe);
  return {
    options: options.slice(0, length.options),
    refused: refused.slice(0, length.refused).map(describe),
    counts: { options: open.length, refused: refused.length },
    nearMisses: nearMisses(near),
    question: openQuestion(options.length > 0 ? options : near),
    all: [...open, ...refused].map(({ berth, verdict }) => ({ berthId: berth.id, label: berth.label, verdict })),
  };
}

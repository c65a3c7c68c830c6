import type { z } from 'zod';
import { amountText } from '../../core/upgrades/money/money.ts';
import { compareReplays } from '../../core/upgrades/replay/compare-replays.ts';
import { replaySteps } from '../../core/upgrades/replay/replay.ts';
import { Problem } from '../errors.ts';
import type { Services } from '../services.ts';
import { inTurns } from './in-turns.ts';
import type { OnProgress } from './replay-study.ts';
import type { chosenSchema } from './schema.ts';
import { loadSeason } from './season-of-study.ts';
import { bothInventories, type StoredStudy } from './stored-study.ts';

type Chosen = z.output<typeof chosenSchema>;
type Verification = Chosen['verification'];
type Finalist = Verification['finalists'][number];

/**
 * Replays a season on the present inventory and on that of each finalist: the best set after each of its stages, a
 * runner-up after the last. The model's benefit is a sum of terms; this is what the rules make of the same changes.
 */
export async function verifyChoice(
  { db }: Pick<Services, 'db'>,
  study: StoredStudy,
  chosen: Chosen,
  { stageIds, from, until }: { readonly stageIds: readonly string[]; readonly from: number; readonly until: number },
  onProgress: OnProgress,
): Promise<Verification> {
  const { before } = bothInventories(study, []);
  const { requests, tariff, on } = await loadSeason(db, study.row.marinaId, before.inventory.timeZone, { from, until });
  const finalists = [
    ...(chosen.best === null
      ? []
      : stageIds.map((stageId) => ({ place: 0, stageId, stageOf: chosen.best?.stageOf ?? {} }))),
    ...chosen.runnersUp.map(({ stageOf }, i) => ({ place: i + 1, stageId: stageIds.at(-1) ?? '', stageOf })),
  ];
  let taken = 0;
  const all = Math.max(1, requests.length * (finalists.length + 1));
  const step = () => onProgress(Math.min(1, ++taken / all));
  const was = await inTurns(replaySteps(on(before, requests)), step);
  const found: Finalist[] = [];
  for (const { place, stageId, stageOf } of finalists) {
    const made = new Set(stageIds.slice(0, stageIds.indexOf(stageId) + 1));
    const chosenIds = Object.keys(stageOf).filter((id) => made.has(stageOf[id] ?? ''));
    const told = { place, stageId, chosen: chosenIds };
    try {
      const { after } = bothInventories(study, chosenIds);
      const is = await inTurns(replaySteps(on(after, requests)), step);
      const { nightsServed, nightsTurnedAway, incomeMinor } = compareReplays(was, is);
      const addedIncome = tariff === null || incomeMinor === null ? null : amountText(incomeMinor, tariff.currency);
      found.push({ ...told, addedNights: nightsServed, nightsTurnedAway, addedIncome, failure: null });
    } catch (error) {
      // A set that leaves no legal inventory is told as such; what else fails ends the work.
      if (!(error instanceof Problem) || error.problem !== 'faulty-document') throw error;
      const nothing = { addedNights: null, nightsTurnedAway: null, addedIncome: null };
      found.push({ ...told, ...nothing, failure: error.message });
    }
  }
  return {
    state: 'verified',
    from: new Date(from).toISOString(),
    until: new Date(until).toISOString(),
    calls: requests.length,
    finalists: found,
    orderHolds: orderHolds(found, stageIds.at(-1) ?? ''),
  };
}

/** Whether no runner-up serves more nights than the best after its last stage; null where one of them is unknown. */
function orderHolds(finalists: readonly Finalist[], lastStage: string): boolean | null {
  const last = finalists.filter(({ stageId }) => stageId === lastStage);
  const best = last.find(({ place }) => place === 0)?.addedNights ?? null;
  if (best === null || last.some(({ addedNights }) => addedNights === null)) return null;
  return last.every(({ addedNights }) => (addedNights ?? 0) <= best);
}

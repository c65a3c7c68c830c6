import { berthOptions } from '../../core/berths/options/berth-options.ts';
import type { Wishes } from '../../core/berths/options/options.ts';
import type { Boat } from '../../core/boats.ts';
import type { Period } from '../../core/periods.ts';
import type { Services } from '../services.ts';
import { loadQuestion } from './question.ts';
import { optionDocument } from './schema.ts';

const most = 3;

/** The best berths for a stay that could not be placed, as an option document each. Call it after the transaction. */
export async function bestAlternatives(
  services: Services,
  marinaId: string,
  asked: {
    readonly boat: Boat;
    readonly period: Period;
    readonly wishes: Wishes;
    readonly groupId: string | null;
    readonly withoutAssignmentIds: ReadonlySet<string>;
    readonly now: number;
  },
) {
  const { question } = await loadQuestion(services.db.prisma, services, marinaId, asked);
  return berthOptions(question, { options: most, refused: 0 }).options.map(optionDocument);
}

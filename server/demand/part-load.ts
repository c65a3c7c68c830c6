import type { z } from 'zod';
import type { demandOfPartSchema, demandSchema } from './schema.ts';

type DemandOfPart = z.output<typeof demandOfPartSchema>;
type OnBasis = DemandOfPart['rated'];

export interface PartLoad {
  readonly part: DemandOfPart;
  /** The limit with the least left, on the basis that refuses; null: none is stated. */
  readonly tightest: (OnBasis['limits'][number] & { readonly limit: number }) | null;
  /** Of that limit, 1 is all of it; null: not assessed. */
  readonly share: number | null;
  readonly onBasis: OnBasis;
}

/** The load of each part against its tightest limit, by id. */
export function partLoads({ parts, refusingBasis }: z.output<typeof demandSchema>): ReadonlyMap<string, PartLoad> {
  return new Map(parts.map((part) => [part.equipmentId, partLoad(part, part[refusingBasis])]));
}

function partLoad(part: DemandOfPart, onBasis: OnBasis): PartLoad {
  let tightest: PartLoad['tightest'] = null;
  for (const { limit, ...rest } of onBasis.limits) {
    if (limit === null) continue;
    if (tightest === null || rest.actual / limit > tightest.actual / tightest.limit) tightest = { ...rest, limit };
  }
  const share = tightest === null ? null : tightest.actual / tightest.limit;
  return { part, tightest, share, onBasis };
}

/** Least left first; those that nothing is known of are left out. */
export function tightestFirst(loads: Iterable<PartLoad>): PartLoad[] {
  return [...loads].filter(({ share }) => share !== null).sort((a, b) => (b.share ?? 0) - (a.share ?? 0));
}

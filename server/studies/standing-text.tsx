import type { View } from '../pages/view.ts';
import type { Comparison } from './study-page.tsx';

export type PartStanding = Comparison['before']['parts'][number];

interface Tightest {
  readonly kind: string;
  readonly winding: string | null;
  readonly actual: number;
  readonly limit: number;
  readonly unit: string;
  readonly share: number;
}

/** The limit with the least left; null where none is on record. */
export function tightestOf({ limits }: PartStanding): Tightest | null {
  let tightest: Tightest | null = null;
  for (const { limit, ...rest } of limits) {
    if (limit === null) continue;
    const share = rest.actual / limit;
    if (tightest === null || share > tightest.share) tightest = { ...rest, limit, share };
  }
  return tightest;
}

/** Demand and limit in words; or that nobody can say. */
export function StandingText({ view, part }: { readonly view: View; readonly part: PartStanding }) {
  const { upgrades, desk } = view.texts;
  const tightest = tightestOf(part);
  if (tightest === null) {
    return <strong>{desk.carriesNotAssessed((part.demandVa / 1000).toFixed(1))}</strong>;
  }
  const words = desk.ofLimit(tightest.actual.toFixed(0), tightest.limit.toFixed(0), tightest.unit);
  const text = `${words}, ${upgrades.limitKind(tightest.kind, tightest.winding)}`;
  return (
    <>
      {tightest.share > 1 ? <strong class="over">{`${text}: ${upgrades.over}`}</strong> : text}
      {part.assessment === 'notAssessed' && <strong> · {desk.partlyAssessed}</strong>}
    </>
  );
}

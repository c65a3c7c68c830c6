import type { View } from '../pages/view.ts';
import type { PartLoad } from './part-load.ts';

/** The load in words: what it carries, of which limit, what is left; or that nobody can say. */
export function LoadText({ view, load }: { readonly view: View; readonly load: PartLoad }) {
  const { desk } = view.texts;
  const { tightest, share, onBasis } = load;
  if (tightest === null || share === null) {
    return <strong>{desk.carriesNotAssessed((onBasis.demandVa.value / 1000).toFixed(1))}</strong>;
  }
  const kind = tightest.winding === null ? desk.limitKinds[tightest.kind] : desk.winding(tightest.winding);
  const amount = desk.ofLimit(tightest.actual.toFixed(0), tightest.limit.toFixed(0), tightest.unit);
  const text = `${amount}, ${kind}, ${desk.left(Math.round((1 - share) * 100))}`;
  const isPartly = onBasis.assessment === 'notAssessed';
  return (
    <>
      {share > 1 ? <strong class="over">{text}</strong> : text}
      {isPartly && <strong> · {desk.partlyAssessed}</strong>}
    </>
  );
}

import { electricalCautions } from '../../../core/cautions.ts';
import type { View } from '../view.ts';

/** What every page with an electrical answer carries. */
export function Cautions({ view }: { readonly view: View }) {
  return (
    <section class="cautions" aria-label={view.texts.common.cautions}>
      <h2>{view.texts.common.cautions}</h2>
      <ul>
        {electricalCautions.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </section>
  );
}

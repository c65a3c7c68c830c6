import type { JudgedCheckIn } from '../../../../core/check-in/check-in.ts';
import { spoken } from '../../view.ts';
import { common, type Dock, texts } from './context.ts';

/** What may be done now, why not, and what would mend it. It stays in sight while readings are typed. */
export function Verdict({ dock, judged }: { readonly dock: Dock; readonly judged: JudgedCheckIn }) {
  const { outcome, mayEnergise, findings, mends } = judged;
  const grave = findings.filter(({ level }) => level !== 'note');
  const kind = outcome === 'refused' ? 'refuse' : mayEnergise ? 'go' : 'confirm';
  return (
    <section class={`check-in-verdict ${kind}`} aria-label={texts.verdict} aria-live="polite">
      <p class="check-in-verdict-words">
        <strong>{outcome === 'callDesk' ? texts.callNow : mayEnergise ? texts.mayEnergise : texts.mayNot}</strong>{' '}
        {outcome !== 'callDesk' && texts.outcomes[outcome]}
      </p>
      {mends.length > 0 && (
        <p>
          {common.toMend}: {mends.map((mend) => spoken(dock, mend)).join('; ')}
        </p>
      )}
      {grave.length > 0 && (
        <details open={outcome === 'refused' || outcome === 'callDesk'}>
          <summary>
            {common.levels[grave[0]?.level ?? 'note']}: {spoken(dock, grave[0]?.message ?? '')}{' '}
            {grave.length > 1 && `(+${grave.length - 1})`}
          </summary>
          <ul class="findings">
            {grave.map(({ rule, level, message, source, subject }) => (
              <li key={`${rule} ${subject.id} ${message}`} class={`finding ${level}`}>
                <p>
                  <strong class="level">{common.levels[level]}</strong> {spoken(dock, message)}
                </p>
                <p class="small">{source}</p>
              </li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}

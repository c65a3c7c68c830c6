import type { z } from 'zod';
import { gravestFirst, type Verdict } from '../../../core/findings.ts';
import type { findingSchema } from '../../http/finding-schema.ts';
import { lengthText, spoken, type View } from '../view.ts';

/** As core judges it, or as the API answers it. */
type Finding = z.output<typeof findingSchema>;

interface FindingListProps {
  readonly view: View;
  readonly findings: readonly Finding[];
}

/** Every finding, gravest first: its level in words, what it says, what it was held against, what would mend it. */
export function FindingList({ view, findings }: FindingListProps) {
  return (
    <ul class="findings">
      {gravestFirst(findings).map((finding, position) => (
        <FindingItem key={position} view={view} finding={finding} />
      ))}
    </ul>
  );
}

function FindingItem({ view, finding }: { readonly view: View; readonly finding: Finding }) {
  const { common } = view.texts;
  const { level, message, mend, missingFact, source, rule } = finding;
  const figures = figuresOf(view, finding);
  return (
    <li class={`finding ${level}`}>
      <p>
        <strong class="level">{common.levels[level]}</strong> {spoken(view, message)}
      </p>
      {mend && (
        <p>
          {common.toMend}: {spoken(view, mend)}
        </p>
      )}
      {missingFact && (
        <p class="ask">
          {common.toAsk}: {spoken(view, missingFact.question)}
        </p>
      )}
      <p class="small">
        {figures && `${figures} · `}
        <code>{rule}</code> · {source}
      </p>
    </li>
  );
}

function figuresOf(view: View, { actual, limit, unit }: Finding): string | null {
  if (actual === null || limit === null || unit === null) return null;
  return view.texts.common.figure(quantity(view, actual, unit), quantity(view, limit, unit));
}

function quantity(view: View, value: number | string, unit: string): string {
  if (typeof value === 'string') return value;
  return unit === 'm' ? lengthText(view, value) : `${Number(value.toFixed(2))} ${unit}`;
}

/** A verdict as word and symbol: the contact closed, closed with a mark, doubtful (dashed), or open. */
export function VerdictMark({ view, verdict }: { readonly view: View; readonly verdict: Verdict }) {
  return (
    <span class={`verdict ${verdict}`}>
      <svg viewBox="0 0 34 14" width="34" height="14" aria-hidden="true" focusable="false">
        <path d="M0 7H10M24 7H34" />
        <path
          d={verdict === 'refused' ? 'M24 7L12 1' : 'M10 7H24'}
          stroke-dasharray={verdict === 'unconfirmed' ? '2 3' : undefined}
        />
        {verdict === 'cautioned' && <path d="M17 1V5M17 9V13" />}
        <circle cx="10" cy="7" r="1.8" />
        <circle cx="24" cy="7" r="1.8" />
      </svg>
      {view.texts.common.verdicts[verdict]}
    </span>
  );
}

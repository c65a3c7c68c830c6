import type { ComponentChild } from 'preact';
import { moneyText } from '../pages/money-text.ts';
import type { View } from '../pages/view.ts';
import type { StudyRun } from './runs-part.tsx';
import { type Comparison, ShortComparison, type StudyDocument } from './study-page.tsx';

interface ReportSummaryProps {
  readonly view: View;
  /** With the changes that the report is about. */
  readonly study: StudyDocument;
  readonly comparison: Comparison;
  readonly replay: StudyRun | null;
  readonly path: string;
}

/** What an owner and a lender read first; each figure leads to where it comes from. */
export function ReportSummary({ view, study, comparison, replay, path }: ReportSummaryProps) {
  const { upgrades } = view.texts;
  const { cost, yearlyPayment, currency, obliged } = comparison;
  const days = study.changes.reduce((sum, { outOfServiceDays }) => sum + outOfServiceDays, 0);
  const replayed = replay?.replay ?? null;
  const facts: readonly (readonly [string, ComponentChild])[] = [
    [
      upgrades.cost,
      <>
        <a href="#changes">
          <strong>{moneyText(cost, currency)}</strong>
        </a>
        , {upgrades.changesFor(study.changes.length)}
      </>,
    ],
    [
      upgrades.perYear,
      yearlyPayment === null || study.loan === null ? (
        upgrades.noLoan
      ) : (
        <>
          <a href={path}>
            <strong>{moneyText(yearlyPayment, currency)}</strong>
          </a>
          , {upgrades.loanIs(study.loan.ratePercent, study.loan.years, study.loan.paymentsPerYear)}
        </>
      ),
    ],
    [upgrades.longestClosing, <a href="#changes">{upgrades.daysInAll(days)}</a>],
    [
      upgrades.nightsShort,
      replayed === null ? (
        <a href={`${path}/replay`}>{upgrades.notReplayed}</a>
      ) : (
        <a href="#replay">
          <strong>
            {upgrades.fromToMore(
              String(replayed.before.nightsServed),
              String(replayed.after.nightsServed),
              signed(replayed.difference.nightsServed),
            )}
          </strong>
        </a>
      ),
    ],
    ...(replayed === null || replayed.before.income === null || replayed.after.income === null
      ? []
      : [
          [
            upgrades.incomeShort,
            <a href="#replay">
              <strong>
                {upgrades.fromToMore(
                  moneyText(replayed.before.income, replayed.currency),
                  moneyText(replayed.after.income, replayed.currency),
                  moneyText(replayed.difference.income ?? '0', replayed.currency),
                )}
              </strong>
            </a>,
          ] as const,
        ]),
    [upgrades.obligedShort, <a href="#findings">{upgrades.obligedCount(obliged.length)}</a>],
  ];
  return (
    <>
      <h2 id="summary">{upgrades.summary}</h2>
      <dl class="facts">
        {facts.map(([name, figure]) => (
          <div key={name} class="fact">
            <dt>{name}</dt>
            <dd>{figure}</dd>
          </div>
        ))}
      </dl>
      <ShortComparison view={view} comparison={comparison} />
    </>
  );
}

function signed(value: number): string {
  return value > 0 ? `+${value}` : value < 0 ? `−${-value}` : '0';
}

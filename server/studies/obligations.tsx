import type { z } from 'zod';
import { moneyText } from '../pages/money-text.ts';
import { Table } from '../pages/parts/table.tsx';
import type { View } from '../pages/view.ts';
import type { comparisonSchema } from './schema.ts';

type Comparison = z.output<typeof comparisonSchema>;

/** What the code asks besides, with the cost that was entered for it, and what nobody has priced. */
export function Obligations({ view, comparison }: { readonly view: View; readonly comparison: Comparison }) {
  const { upgrades } = view.texts;
  const { obligations, rulesNotPriced, costOfObligations, currency } = comparison;
  return (
    <>
      <Table
        caption={upgrades.obligationsTitle}
        rows={obligations}
        keyOf={({ id }) => id}
        empty={upgrades.obligationsNone}
        columns={[
          { head: upgrades.obligation, heads: true, cell: ({ label }) => label },
          { head: upgrades.cost, figures: true, cell: ({ cost }) => moneyText(cost, currency) },
          {
            head: upgrades.isDue,
            cell: ({ due }) => (due ? view.texts.metering.yes : view.texts.metering.no),
          },
          { head: upgrades.asksFor, cell: ({ rule }) => rule !== null && <code>{rule}</code> },
          { head: upgrades.suppliedBy, cell: ({ suppliedBy }) => suppliedBy },
          {
            head: upgrades.confirmedBy,
            cell: ({ confirmedBy }) => confirmedBy ?? <strong>{upgrades.toBeConfirmed}</strong>,
          },
        ]}
      />
      {obligations.length > 0 && <p>{upgrades.inTotal(moneyText(costOfObligations, currency))}</p>}
      {rulesNotPriced.length > 0 && <p>{upgrades.notPriced(rulesNotPriced.join(', '))}</p>}
    </>
  );
}

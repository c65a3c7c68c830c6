import { editionIds } from '../../core/electrical/sizing/review/editions.ts';
import type { Fields, FormState } from '../pages/fields.ts';
import { Field, Select } from '../pages/parts/form.tsx';
import type { View } from '../pages/view.ts';
import type { StudyInput } from './things.ts';

interface StudyFieldsProps {
  readonly form: FormState;
  readonly view: View;
  readonly study: StudyInput | null;
  /** What is usual at the marina, for a new study. */
  readonly currency: string;
}

/** Name, currency, edition and loan of a study. */
export function StudyFields({ form, view, study, currency }: StudyFieldsProps) {
  const { upgrades } = view.texts;
  const loan = study?.loan ?? null;
  return (
    <>
      <Field form={form} name="name" label={upgrades.name} value={study?.name ?? null} />
      <div class="side-by-side">
        <Field
          form={form}
          name="currency"
          label={upgrades.currency}
          hint={upgrades.currencyHint}
          value={study?.currency ?? currency}
        />
        <Select
          form={form}
          name="edition"
          label={upgrades.edition}
          value={study?.edition ?? '2020'}
          options={editionIds.map((id) => [id, upgrades.editions[id]])}
        />
      </div>
      <fieldset>
        <legend>{upgrades.loan}</legend>
        <p class="hint">{upgrades.loanHint}</p>
        <div class="side-by-side">
          <Field
            form={form}
            name="loan/ratePercent"
            label={upgrades.rate}
            inputMode="decimal"
            value={loan?.ratePercent ?? null}
          />
          <Field
            form={form}
            name="loan/years"
            label={upgrades.years}
            inputMode="numeric"
            value={loan === null ? '' : String(loan.years)}
          />
          <Select
            form={form}
            name="loan/paymentsPerYear"
            label={upgrades.payments}
            value={String(loan?.paymentsPerYear ?? 12)}
            options={[
              ['1', upgrades.paymentKinds[1]],
              ['12', upgrades.paymentKinds[12]],
            ]}
          />
        </div>
      </fieldset>
    </>
  );
}

/** What the form says of a study, without its changes; the API judges it. */
export function studyFieldsOf(fields: Fields) {
  const ratePercent = fields.text('loan/ratePercent');
  return {
    name: fields.text('name') ?? '',
    currency: (fields.text('currency') ?? '').toUpperCase(),
    edition: fields.text('edition'),
    loan:
      ratePercent === null
        ? null
        : {
            ratePercent,
            years: numberOf(fields.text('loan/years')),
            paymentsPerYear: numberOf(fields.text('loan/paymentsPerYear')),
          },
  };
}

/** A number as it is typed; what is none goes on as it came, for the API to refuse at its field. */
export function numberOf(text: string | null): number | string | null {
  return text !== null && /^-?\d+(\.\d+)?$/.test(text) ? Number(text) : text;
}

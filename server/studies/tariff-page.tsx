import { z } from 'zod';
import { rateKinds } from '../../core/upgrades/money/tariff.ts';
import { Problem } from '../errors.ts';
import type { Api } from '../pages/api-door.ts';
import { definePage, seeOther } from '../pages/define-page.ts';
import type { Fields, FormState } from '../pages/fields.ts';
import { Do, Field, Form, FormProblem, Select } from '../pages/parts/form.tsx';
import { Table } from '../pages/parts/table.tsx';
import { lengthField, lengthText, readLength, type View } from '../pages/view.ts';
import { tariffSchema } from './schema.ts';
import { numberOf } from './study-form.tsx';

type Tariff = z.output<typeof tariffSchema>;
type Rate = Tariff['rates'][number];
type Tax = Tariff['taxes'][number];

/** What a night costs: read by all who deal with boaters, entered by a manager. */
export const tariffPage = definePage({
  url: '/marinas/:marinaId/tariff',
  roles: ['harbormaster', 'manager', 'viewer'],
  query: z.strictObject({ kept: z.literal('1').optional() }),
  show: async ({ api, view, query, form }) => {
    const { metering } = view.texts;
    const { tariff, version } = await tariffOf(api);
    return {
      kind: 'page',
      section: 'studies',
      title: metering.tariff,
      body: (
        <>
          <h1>{metering.tariff}</h1>
          <p class="lead">{metering.tariffLead}</p>
          {query.kept !== undefined && form.problem === null && (
            <p class="done" role="status">
              {metering.tariffKept}
            </p>
          )}
          <FormProblem form={form} view={view} />
          {api.allows('keepTariff') ? (
            <TariffForm view={view} form={form} tariff={tariff} version={version} />
          ) : (
            <Rates view={view} tariff={tariff} />
          )}
        </>
      ),
    };
  },
  actions: {
    keep: async ({ api, params, view }, fields) => {
      const { tariff } = await tariffOf(api);
      const body = tariffIn(fields, view, tariff);
      await api.ask('keepTariff', tariffSchema, { body, version: Number(fields.text('version')) });
      return seeOther(`/marinas/${params.marinaId}/tariff?kept=1`);
    },
  },
});

/** The tariff and its version; a marina without one has version 0 of it. */
async function tariffOf(api: Api): Promise<{ readonly tariff: Tariff | null; readonly version: number }> {
  try {
    const { body, version } = await api.ask('readTariff', tariffSchema);
    return { tariff: body, version: version ?? 0 };
  } catch (error) {
    if (error instanceof Problem && error.problem === 'not-found') return { tariff: null, version: 0 };
    throw error;
  }
}

/** What the form says. A row without a label and a figure is left out; what is no number is refused at its field. */
function tariffIn(fields: Fields, view: View, known: Tariff | null) {
  const rowsOf = (list: string) =>
    Number(fields.text(`${list}Count`) ?? 0) > 500 ? [] : [...Array(Number(fields.text(`${list}Count`) ?? 0)).keys()];
  const idFor = (stem: string, list: readonly { readonly id: string }[] | undefined, row: number) => {
    const own = list?.[row]?.id;
    if (own !== undefined) return own;
    for (let n = row + 1; ; n++) if (!list?.some(({ id }) => id === `${stem}-${n}`)) return `${stem}-${n}`;
  };
  const length = (said: string | null) => {
    if (said === null) return null;
    const metres = readLength(view, said);
    return Number.isNaN(metres) ? said : metres;
  };
  const rates = rowsOf('rates').flatMap((row) => {
    const field = (name: string) => fields.text(`rates/${row}/${name}`);
    const [label, amount, from, until] = [field('label'), field('amount'), field('season/from'), field('season/until')];
    if (label === null && amount === null) return [];
    return [
      {
        id: idFor('rate', known?.rates, row),
        label: label ?? '',
        kind: field('kind'),
        amount: amount ?? '',
        season: from === null && until === null ? null : { from: from ?? '', until: until ?? '' },
        longerThanM: length(field('longerThanM')),
        upToM: length(field('upToM')),
        outletRatedA: numberOf(field('outletRatedA')),
      },
    ];
  });
  const kept = new Set(rates.map(({ id }) => id));
  const taxes = rowsOf('taxes').flatMap((row) => {
    const [label, percent] = [fields.text(`taxes/${row}/label`), fields.text(`taxes/${row}/percent`)];
    if (label === null && percent === null) return [];
    const on = fields.all(`taxes/${row}/onRateIds`).filter((id) => kept.has(id));
    return [
      {
        id: idFor('tax', known?.taxes, row),
        label: label ?? '',
        percent: percent ?? '',
        onRateIds: on.length === 0 ? null : on,
      },
    ];
  });
  return {
    currency: (fields.text('currency') ?? '').toUpperCase(),
    lengthCharged: fields.text('lengthCharged'),
    rates,
    taxes,
  };
}

interface TariffFormProps {
  readonly view: View;
  readonly form: FormState;
  readonly tariff: Tariff | null;
  readonly version: number;
}

function TariffForm({ view, form, tariff, version }: TariffFormProps) {
  const { metering, common } = view.texts;
  const rates: readonly (Rate | null)[] = [...(tariff?.rates ?? []), null];
  const taxes: readonly (Tax | null)[] = [...(tariff?.taxes ?? []), null];
  return (
    <Form form={form} view={view} version={version} label={metering.tariff}>
      <input type="hidden" name="ratesCount" value={String(rates.length)} />
      <input type="hidden" name="taxesCount" value={String(taxes.length)} />
      <div class="side-by-side">
        <Field
          form={form}
          name="currency"
          label={metering.currency}
          hint={metering.currencyHint}
          value={tariff?.currency ?? null}
        />
        <Select
          form={form}
          name="lengthCharged"
          label={metering.lengthCharged}
          value={tariff?.lengthCharged ?? 'begun'}
          options={[
            ['begun', metering.lengthKinds.begun],
            ['exact', metering.lengthKinds.exact],
          ]}
        />
      </div>
      <p class="hint">{metering.emptyIsGone}</p>
      {rates.map((rate, row) => (
        <RateFields key={row} view={view} form={form} rate={rate} row={row} />
      ))}
      {taxes.map((tax, row) => (
        <fieldset key={row} class="ruled">
          <legend>{tax === null ? metering.newTax : metering.tax(row + 1)}</legend>
          <div class="side-by-side">
            <Field form={form} name={`taxes/${row}/label`} label={metering.rateLabel} value={tax?.label ?? null} />
            <Field
              form={form}
              name={`taxes/${row}/percent`}
              label={metering.percent}
              inputMode="decimal"
              value={tax?.percent ?? null}
            />
          </div>
          <OnRates view={view} form={form} rates={tariff?.rates ?? []} tax={tax} row={row} />
        </fieldset>
      ))}
      <Do action="keep">{common.save}</Do>
    </Form>
  );
}

interface OnRatesProps {
  readonly view: View;
  readonly form: FormState;
  readonly rates: readonly Rate[];
  readonly tax: Tax | null;
  readonly row: number;
}

function OnRates({ view, form, rates, tax, row }: OnRatesProps) {
  if (rates.length === 0) return null;
  const name = `taxes/${row}/onRateIds`;
  const ticked = form.action === null ? (tax?.onRateIds ?? []) : form.fields.all(name);
  return (
    <fieldset class="choice">
      <legend>{view.texts.metering.onRates}</legend>
      {rates.map(({ id, label }) => (
        <label key={id}>
          <input type="checkbox" name={name} value={id} checked={ticked.includes(id)} />
          {label}
        </label>
      ))}
    </fieldset>
  );
}

interface RateFieldsProps {
  readonly view: View;
  readonly form: FormState;
  readonly rate: Rate | null;
  readonly row: number;
}

function RateFields({ view, form, rate, row }: RateFieldsProps) {
  const { metering } = view.texts;
  const name = (field: string) => `rates/${row}/${field}`;
  return (
    <fieldset class="ruled">
      <legend>{rate === null ? metering.newRate : metering.rate(row + 1)}</legend>
      <div class="side-by-side">
        <Field form={form} name={name('label')} label={metering.rateLabel} value={rate?.label ?? null} />
        <Select
          form={form}
          name={name('kind')}
          label={metering.kind}
          value={rate?.kind ?? 'perFootNight'}
          options={rateKinds.map((kind) => [kind, metering.kinds[kind]])}
        />
        <Field
          form={form}
          name={name('amount')}
          label={metering.amount}
          inputMode="decimal"
          value={rate?.amount ?? null}
        />
      </div>
      <div class="side-by-side">
        <Field
          form={form}
          name={name('season/from')}
          label={metering.seasonFrom}
          hint={metering.seasonHint}
          value={rate?.season?.from ?? null}
        />
        <Field
          form={form}
          name={name('season/until')}
          label={metering.seasonUntil}
          hint={metering.seasonHint}
          value={rate?.season?.until ?? null}
        />
        <Field
          form={form}
          name={name('longerThanM')}
          label={metering.longerThan}
          value={lengthField(view, rate?.longerThanM ?? null)}
        />
        <Field form={form} name={name('upToM')} label={metering.upTo} value={lengthField(view, rate?.upToM ?? null)} />
        <Field
          form={form}
          name={name('outletRatedA')}
          label={metering.outletRated}
          inputMode="decimal"
          value={rate?.outletRatedA == null ? '' : String(rate.outletRatedA)}
        />
      </div>
    </fieldset>
  );
}

/** For those who only read it. */
function Rates({ view, tariff }: { readonly view: View; readonly tariff: Tariff | null }) {
  const { metering } = view.texts;
  const only = ({ longerThanM, upToM, outletRatedA }: Rate) =>
    [
      longerThanM === null ? null : metering.boatsOver(lengthText(view, longerThanM)),
      upToM === null ? null : metering.boatsUpTo(lengthText(view, upToM)),
      outletRatedA === null ? null : metering.outletsOf(outletRatedA),
    ]
      .filter((words) => words !== null)
      .join(', ');
  return (
    <>
      <Table
        caption={metering.tariff}
        rows={tariff?.rates ?? []}
        keyOf={({ id }) => id}
        empty={metering.noTariff}
        columns={[
          { head: metering.rateLabel, heads: true, cell: ({ label }) => label },
          { head: metering.amount, figures: true, cell: ({ amount }) => `${amount} ${tariff?.currency ?? ''}` },
          { head: metering.kind, cell: ({ kind }) => metering.kinds[kind] },
          {
            head: metering.seasonFrom,
            cell: ({ season }) => (season === null ? metering.allYear : metering.season(season.from, season.until)),
          },
          { head: metering.onlyFor, cell: only },
        ]}
      />
      <ul>
        {tariff?.taxes.map(({ id, label, percent }) => (
          <li key={id}>{`${label}: ${percent} %`}</li>
        ))}
      </ul>
    </>
  );
}

import type { ComponentChild } from 'preact';
import type { z } from 'zod';
import { amountText, minorUnits } from '../../core/upgrades/money/money.ts';
import { moneyText } from '../pages/money-text.ts';
import { Table } from '../pages/parts/table.tsx';
import { dayText, type View } from '../pages/view.ts';
import type { StudyRun } from './runs-part.tsx';
import type { replayedSchema } from './schema.ts';
import { CsvLink } from './study-links.tsx';

export type Replayed = z.output<typeof replayedSchema>;
type Side = Replayed['before'];

interface ReplayResultProps {
  readonly view: View;
  readonly run: StudyRun;
  readonly replayed: Replayed;
  readonly labels: ReadonlyMap<string, string>;
  /** Of the study's page. */
  readonly path: string;
}

/** What a replay came to, as it is and with the changes. Every table has its CSV. */
export function ReplayResult({ view, run, replayed, labels, path }: ReplayResultProps) {
  const { upgrades } = view.texts;
  const csv = (table: string, words: string) => (
    <CsvLink view={view} href={`${path}/runs/${run.id}/tables/${table}`} table={words} />
  );
  return (
    <>
      <ReplaySettings view={view} run={run} labels={labels} path={path} />
      <h3>
        {upgrades.totals} {csv('totals', upgrades.totals)}
      </h3>
      <Totals view={view} replayed={replayed} path={path} />
      {replayed.ranges !== null && (
        <>
          <h3>
            {upgrades.ranges} {csv('ranges', upgrades.ranges)}
          </h3>
          <Ranges view={view} replayed={replayed} ranges={replayed.ranges} />
        </>
      )}
      <h3>
        {upgrades.byService} {csv('services', upgrades.byService)}
      </h3>
      <Counts
        view={view}
        name={upgrades.service}
        caption={upgrades.byService}
        counts={(side) => side.nightsByService}
        word={(key) => (key === 'none' ? upgrades.noService : key)}
        replayed={replayed}
      />
      <h3>
        {upgrades.byRule} {csv('rules', upgrades.byRule)}
      </h3>
      <Counts
        view={view}
        name={upgrades.rule}
        caption={upgrades.byRule}
        counts={(side) => side.nightsTurnedAwayByRule}
        word={(key) => <code>{key}</code>}
        replayed={replayed}
      />
      <h3>
        {upgrades.peaks} {csv('peaks', upgrades.peaks)}
      </h3>
      <Peaks view={view} replayed={replayed} />
    </>
  );
}

/** Which calls, which changes, and what was assumed of the season: what every figure of a replay stands on. */
function ReplaySettings({ view, run, labels, path }: Omit<ReplayResultProps, 'replayed'>) {
  const { upgrades } = view.texts;
  const asked = run.asked.replay;
  if (asked === null) return null;
  const until = new Date(Date.parse(asked.until) - 1).toISOString();
  return (
    <p id="replay-settings">
      {upgrades.replaySettings(dayText(view, asked.from), dayText(view, until))}{' '}
      {asked.growth !== 0 && `${upgrades.replayGrowth(Math.round(asked.growth * 1000) / 10)} `}
      {asked.longerFactor !== 1 && `${upgrades.replayLonger(asked.longerThanM, asked.longerFactor)} `}
      {upgrades.whichChanges}:{' '}
      {asked.chosen === null
        ? upgrades.allChanges
        : asked.chosen.map((id, position) => (
            <span key={id}>
              {position > 0 && ', '}
              <a href={`${path}/changes/${id}`}>{labels.get(id) ?? id}</a>
            </span>
          ))}
      .
    </p>
  );
}

function Totals({ view, replayed, path }: { readonly view: View; readonly replayed: Replayed; readonly path: string }) {
  const { upgrades } = view.texts;
  const { before, after, difference, currency } = replayed;
  const count = (name: string, of: (side: Side) => number) => ({
    name,
    link: null,
    was: figure(of(before)),
    is: figure(of(after)),
    more: signed(of(after) - of(before)),
  });
  const money = (amount: string | null) => (amount === null ? upgrades.noTariff : moneyText(amount, currency));
  const rows = [
    count(upgrades.calls, ({ requests }) => requests),
    count(upgrades.served, ({ served }) => served),
    count(upgrades.callsTurnedAway, ({ turnedAway }) => turnedAway),
    count(upgrades.nightsServed, ({ nightsServed }) => nightsServed),
    count(upgrades.nightsTurnedAway, ({ nightsTurnedAway }) => nightsTurnedAway),
    count(upgrades.nightsUnconfirmed, ({ nightsUnconfirmed }) => nightsUnconfirmed),
    count(upgrades.adapterNights, ({ adapterNights }) => adapterNights),
    {
      name: upgrades.income,
      link: `${path.replace(/\/studies\/.*/, '')}/tariff`,
      was: money(before.income),
      is: money(after.income),
      more: difference.income === null ? '' : money(difference.income),
    },
  ];
  return (
    <Table
      caption={upgrades.totals}
      rows={rows}
      keyOf={({ name }) => name}
      empty=""
      columns={[
        {
          head: upgrades.figure,
          heads: true,
          cell: ({ name, link }) => (link === null ? name : <a href={link}>{name}</a>),
        },
        { head: upgrades.asItIs, figures: true, cell: ({ was }) => was },
        { head: upgrades.withChanges, figures: true, cell: ({ is }) => is },
        { head: upgrades.difference, figures: true, cell: ({ more }) => <strong>{more}</strong> },
      ]}
    />
  );
}

interface RangesProps {
  readonly view: View;
  readonly replayed: Replayed;
  readonly ranges: NonNullable<Replayed['ranges']>;
}

function Ranges({ view, replayed: { yearlyPayment, currency }, ranges }: RangesProps) {
  const { upgrades } = view.texts;
  const { nightsServed, addedIncome } = ranges;
  const money = (amount: string) => moneyText(amount, currency);
  const left = (amount: string) =>
    money(amountText(signedMinor(amount, currency) - minorUnits(yearlyPayment ?? '0', currency), currency));
  const rows = [
    {
      name: upgrades.addedNights,
      low: signed(nightsServed.low),
      expected: signed(nightsServed.expected),
      high: signed(nightsServed.high),
    },
    ...(addedIncome === null
      ? []
      : [
          {
            name: upgrades.addedIncome,
            low: money(addedIncome.low),
            expected: money(addedIncome.expected),
            high: money(addedIncome.high),
          },
        ]),
    ...(addedIncome === null || yearlyPayment === null
      ? []
      : [
          {
            name: upgrades.perYear,
            low: money(yearlyPayment),
            expected: money(yearlyPayment),
            high: money(yearlyPayment),
          },
          {
            name: upgrades.lessPayment,
            low: left(addedIncome.low),
            expected: left(addedIncome.expected),
            high: left(addedIncome.high),
          },
        ]),
  ];
  return (
    <>
      <p class="small">{upgrades.rangesLead(ranges.seasons)}</p>
      <Table
        caption={upgrades.ranges}
        rows={rows}
        keyOf={({ name }) => name}
        empty=""
        columns={[
          { head: upgrades.figure, heads: true, cell: ({ name }) => name },
          { head: upgrades.low, figures: true, cell: ({ low }) => low },
          { head: upgrades.expected, figures: true, cell: ({ expected }) => expected },
          { head: upgrades.high, figures: true, cell: ({ high }) => high },
        ]}
      />
    </>
  );
}

interface CountsProps {
  readonly view: View;
  readonly name: string;
  readonly caption: string;
  readonly counts: (side: Side) => Readonly<Record<string, number>>;
  readonly word: (key: string) => ComponentChild;
  readonly replayed: Replayed;
}

function Counts({ view, name, caption, counts, word, replayed: { before, after } }: CountsProps) {
  const { upgrades } = view.texts;
  const [was, is] = [counts(before), counts(after)];
  const keys = [...new Set([...Object.keys(was), ...Object.keys(is)])].sort();
  return (
    <Table
      caption={caption}
      rows={keys}
      keyOf={(key) => key}
      empty={upgrades.noRules}
      columns={[
        { head: name, heads: true, cell: word },
        { head: upgrades.asItIs, figures: true, cell: (key) => figure(was[key] ?? 0) },
        { head: upgrades.withChanges, figures: true, cell: (key) => figure(is[key] ?? 0) },
        { head: upgrades.difference, figures: true, cell: (key) => signed((is[key] ?? 0) - (was[key] ?? 0)) },
      ]}
    />
  );
}

function Peaks({ view, replayed: { before, after } }: { readonly view: View; readonly replayed: Replayed }) {
  const { upgrades } = view.texts;
  const text = (peak: Side['peaks'][number] | undefined) =>
    peak === undefined
      ? upgrades.gone
      : upgrades.peakOf(
          (peak.ratedVa / 1000).toFixed(1),
          peak.largestShare === null ? upgrades.noLimit : upgrades.shareOfLimit((100 * peak.largestShare).toFixed(0)),
        );
  const labels = new Map([...before.peaks, ...after.peaks].map(({ equipmentId, label }) => [equipmentId, label]));
  const of = (side: Side, id: string) => side.peaks.find(({ equipmentId }) => equipmentId === id);
  const isOver = (side: Side, id: string) => (of(side, id)?.largestShare ?? 0) > 1;
  return (
    <Table
      caption={upgrades.peaks}
      rows={[...labels]}
      keyOf={([id]) => id}
      empty={view.texts.manage.noEquipment}
      columns={[
        { head: upgrades.part, heads: true, cell: ([, label]) => label },
        {
          head: upgrades.asItIs,
          cell: ([id]) => <span class={isOver(before, id) ? 'over' : undefined}>{text(of(before, id))}</span>,
        },
        {
          head: upgrades.withChanges,
          cell: ([id]) => <span class={isOver(after, id) ? 'over' : undefined}>{text(of(after, id))}</span>,
        },
      ]}
    />
  );
}

function figure(value: number): string {
  return String(value).replaceAll(/\B(?=(\d{3})+$)/g, ',');
}

function signed(value: number): string {
  return value > 0 ? `+${figure(value)}` : value < 0 ? `−${figure(-value)}` : '0';
}

function signedMinor(amount: string, currency: string): bigint {
  return amount.startsWith('-') ? -minorUnits(amount.slice(1), currency) : minorUnits(amount, currency);
}

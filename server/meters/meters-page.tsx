import { z } from 'zod';
import { seasonOf, seasonQuery } from '../demand/season-query.tsx';
import type { Role } from '../http/access.ts';
import { localDayPeriod } from '../local-time.ts';
import { definePage, type PageAnswer, type PageInput, seeOther } from '../pages/define-page.ts';
import type { Fields } from '../pages/fields.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { FindingList } from '../pages/parts/findings.tsx';
import { Do, Field, Form, FormProblem, Select } from '../pages/parts/form.tsx';
import { Table } from '../pages/parts/table.tsx';
import { dayText, momentText, type View } from '../pages/view.ts';
import { calendarDay } from '../stays/schema.ts';
import { numberOf } from '../studies/study-form.tsx';
import { metersSchema } from './routes.ts';
import { importedSchema, loadNoteSchema, measuredLoadSchema, meterSchema } from './schema.ts';

const readers: readonly Role[] = ['harbormaster', 'manager', 'viewer'];
type Imported = z.output<typeof importedSchema>;
type Load = z.output<typeof measuredLoadSchema>;
type Part = Load['parts'][number];
const yesNo = z.enum(['true', 'false']).optional();
const metersQuery = seasonQuery.extend({
  intervalMinutes: z.coerce.number().int().min(1).max(1440).optional(),
  largerOfHeatingAndCooling: yesNo,
  occupied: yesNo,
});
type Input = PageInput<{ readonly marinaId: string }, z.output<typeof metersQuery>, unknown>;

/** Existing load beside rated and stated, the meters it comes from, and bringing readings and bills in. */
export const metersPage = definePage({
  url: '/marinas/:marinaId/meters',
  roles: readers,
  query: metersQuery,
  bodyLimit: 40 * 1024 * 1024,
  show: (input) => showMeters(input, null),
  actions: {
    keepMeter: async ({ api, params }, fields) => {
      const meterId = fields.text('meterId') ?? '';
      const body = {
        label: fields.text('label') ?? '',
        subjectKind: fields.text('subjectKind'),
        subjectId: fields.text('subjectId') ?? '',
        quantity: fields.text('quantity'),
        intervalMinutes: numberOf(fields.text('intervalMinutes')),
        powerFactor: numberOf(fields.text('powerFactor')),
      };
      await api.ask('keepMeter', meterSchema, { params: { meterId }, body });
      return seeOther(`/marinas/${params.marinaId}/meters`);
    },
    import: async (input, fields) => {
      const csv = fields.all('file').find((file) => file.trim() !== '') ?? fields.all('text')[0] ?? '';
      const { body } = await input.api.ask('importReadings', importedSchema, { csv });
      return showMeters(input, body);
    },
    keepNote: async ({ api, params, view }, fields) => {
      await api.ask('enterLoadNote', loadNoteSchema, { body: noteIn(fields, view.timeZone) });
      return seeOther(`/marinas/${params.marinaId}/meters`);
    },
  },
});

/** What is no day or number goes on as it came, for the API to refuse at its field. */
function noteIn(fields: Fields, timeZone: string) {
  const day = (name: 'from' | 'until') => {
    const text = fields.text(name) ?? '';
    return calendarDay.safeParse(text).success ? new Date(localDayPeriod(text, timeZone)[name]).toISOString() : text;
  };
  return {
    kind: fields.text('kind'),
    subjectKind: fields.text('noteSubject') === null ? null : 'equipment',
    subjectId: fields.text('noteSubject'),
    from: day('from'),
    until: day('until'),
    energyKwh: numberOf(fields.text('energyKwh')),
    peakDemandKw: numberOf(fields.text('peakDemandKw')),
    turnedAway: numberOf(fields.text('turnedAway')),
    suppliedBy: fields.text('suppliedBy') ?? '',
    note: fields.text('note') ?? '',
  };
}

const dayMs = 86_400_000;

async function showMeters(input: Input, imported: Imported | null): Promise<PageAnswer> {
  const { api, view, query, params, form, now } = input;
  const { metering } = view.texts;
  const { body: meters } = await api.ask('listMeters', metersSchema, { query: { limit: '200' } });
  // The measured method wants a year; a page that is opened shows the year until now.
  const yearAgo = new Date(now - 364 * dayMs).toISOString().slice(0, 10);
  const today = new Date(now).toISOString().slice(0, 10);
  const season = seasonOf({ from: query.from ?? yearAgo, until: query.until ?? today }, now, view.timeZone);
  const intervalMinutes = String(query.intervalMinutes ?? meters.items[0]?.intervalMinutes ?? 15);
  const asked = {
    from: season.from,
    until: season.until,
    intervalMinutes,
    largerOfHeatingAndCooling: query.largerOfHeatingAndCooling,
    occupied: query.occupied,
  };
  const { body: load } = await api.ask('readMeasuredLoad', measuredLoadSchema, { query: asked });
  const given = Object.entries(asked).flatMap(([name, value]) => (value === undefined ? [] : [[name, value]]));
  const files = `/v1/marinas/${params.marinaId}`;
  const mayWrite = api.allows('importReadings');
  return {
    kind: 'page',
    section: 'load',
    title: metering.meters,
    body: (
      <>
        <h1>{metering.meters}</h1>
        <p class="lead">{metering.metersLead}</p>
        <FormProblem form={form} view={view} />
        {imported !== null && <ImportOutcome view={view} imported={imported} />}
        <PeriodForm view={view} season={season} query={query} intervalMinutes={intervalMinutes} />
        <h2>
          {metering.existingLoad}{' '}
          <a class="csv" href={`${files}/measured-load/export?${new URLSearchParams(given)}`} download>
            {metering.existingCsv}
          </a>
        </h2>
        <LoadTable view={view} parts={load.parts} />
        {load.leftOut.length > 0 && (
          <section aria-label={metering.leftOut}>
            <h3>{metering.leftOut}</h3>
            <ul>
              {load.leftOut.map(({ meterId, why }) => (
                <li key={meterId}>
                  {meterId}: {why}
                </li>
              ))}
            </ul>
          </section>
        )}
        <h2>
          {metering.theMeters}{' '}
          <a
            class="csv"
            href={`${files}/meter-readings/export?${new URLSearchParams({ from: season.from, until: season.until })}`}
            download
          >
            {metering.readingsCsv}
          </a>
        </h2>
        <Table
          caption={metering.theMeters}
          rows={meters.items}
          keyOf={({ id }) => id}
          empty={metering.noMeters}
          columns={[
            { head: metering.meter, heads: true, cell: ({ id, label }) => `${label} (${id})` },
            {
              head: metering.measures,
              cell: ({ subjectKind, subjectId }) => `${metering.subjectKinds[subjectKind]} ${subjectId}`,
            },
            {
              head: metering.quantity,
              cell: (meter) =>
                `${metering.quantities[meter.quantity]}, ${metering.everyMinutes(meter.intervalMinutes)}`,
            },
          ]}
        />
        {mayWrite && <MeterForms {...input} />}
        <h2>{metering.notes}</h2>
        <p class="lead">{metering.notesLead}</p>
        <Notes view={view} notes={load.notes} />
        {mayWrite && <NoteForm {...input} />}
        {load.assumptions.length > 0 && (
          <>
            <h2>{metering.assumptions}</h2>
            <ul>
              {load.assumptions.map((words) => (
                <li key={words}>{words}</li>
              ))}
            </ul>
          </>
        )}
        <Cautions view={view} />
      </>
    ),
  };
}

/** What a file came to: every line that was not taken, with its number. */
function ImportOutcome({ view, imported }: { readonly view: View; readonly imported: Imported }) {
  const { metering } = view.texts;
  const { stored, repeated, refused, errors } = imported;
  return (
    <section class={refused > 0 ? 'problem' : 'done'} role={refused > 0 ? 'alert' : 'status'}>
      <p>
        <strong>{metering.imported(stored, repeated, refused)}</strong>
      </p>
      {errors.length > 0 && (
        <Table
          caption={metering.refusedLines}
          rows={errors}
          keyOf={({ line }) => String(line)}
          empty=""
          columns={[
            { head: metering.line, heads: true, figures: true, cell: ({ line }) => line },
            { head: metering.fault, cell: ({ message }) => message },
          ]}
        />
      )}
    </section>
  );
}

interface PeriodFormProps {
  readonly view: View;
  readonly season: { readonly first: string; readonly last: string };
  readonly query: z.output<typeof metersQuery>;
  readonly intervalMinutes: string;
}

function PeriodForm({ view, season, query, intervalMinutes }: PeriodFormProps) {
  const { metering, manage, desk } = view.texts;
  const said = (name: 'largerOfHeatingAndCooling' | 'occupied', label: string) => (
    <p class="field">
      <label for={`f-${name}`}>{label}</label>
      <select id={`f-${name}`} name={name}>
        {(
          [
            ['', metering.notSaid],
            ['true', metering.yes],
            ['false', metering.no],
          ] as const
        ).map(([value, words]) => (
          <option key={value} value={value} selected={(query[name] ?? '') === value}>
            {words}
          </option>
        ))}
      </select>
    </p>
  );
  return (
    <form class="inline-form no-print" aria-label={metering.period}>
      <p class="field">
        <label for="f-load-from">{manage.from}</label>
        <input id="f-load-from" type="date" name="from" value={season.first} />
      </p>
      <p class="field">
        <label for="f-load-until">{manage.until}</label>
        <input id="f-load-until" type="date" name="until" value={season.last} />
      </p>
      <p class="field">
        <label for="f-interval">{metering.interval}</label>
        <input id="f-interval" name="intervalMinutes" value={intervalMinutes} autocomplete="off" />
      </p>
      {said('largerOfHeatingAndCooling', metering.heating)}
      {said('occupied', metering.occupied)}
      <button type="submit" class="second">
        {desk.show}
      </button>
    </form>
  );
}

/** Three figures of each part beside each other, what the measured method makes of it, and why they differ. */
function LoadTable({ view, parts }: { readonly view: View; readonly parts: readonly Part[] }) {
  const { metering, manage } = view.texts;
  const kva = (va: number) => (va / 1000).toFixed(1);
  const words = ({ method, totalA, limitA, assessment }: Part) =>
    totalA === null
      ? metering.methods[method]
      : `${metering.methods[method]}: ${metering.existing(totalA.toFixed(0), limitA === null ? metering.noLimit : `${limitA} A`)}; ${metering.assessments[assessment]}`;
  return (
    <Table
      caption={metering.existingLoad}
      rows={parts}
      keyOf={({ equipmentId }) => equipmentId}
      empty={manage.noEquipment}
      columns={[
        {
          head: metering.part,
          heads: true,
          cell: ({ equipmentId, label }) => <span id={`part-${equipmentId}`}>{label}</span>,
        },
        { head: metering.rated, figures: true, cell: ({ ratedVa }) => metering.kva(kva(ratedVa)) },
        { head: metering.stated, figures: true, cell: ({ statedVa }) => metering.kva(kva(statedVa)) },
        {
          head: metering.measured,
          cell: ({ peakVa, peakAt }) =>
            peakVa === null || peakAt === null
              ? metering.notMetered
              : metering.measuredAt(kva(peakVa), momentText(view, peakAt)),
        },
        {
          head: metering.method,
          cell: (part) => (part.assessment === 'over' ? <strong class="over">{words(part)}</strong> : words(part)),
        },
        {
          head: metering.why,
          cell: ({ why, findings, completeShare, label }) => (
            <details>
              <summary>
                {metering.complete((completeShare * 100).toFixed(0))}
                <span class="hidden"> {label}</span>
              </summary>
              <ul>
                {why.map((each) => (
                  <li key={each}>{each}</li>
                ))}
              </ul>
              <FindingList view={view} findings={findings} />
            </details>
          ),
        },
      ]}
    />
  );
}

function Notes({ view, notes }: { readonly view: View; readonly notes: Load['notes'] }) {
  const { metering } = view.texts;
  return (
    <Table
      caption={metering.notes}
      rows={notes}
      keyOf={({ id }) => id}
      empty={metering.noNotes}
      columns={[
        {
          head: metering.period,
          heads: true,
          cell: ({ from, until }) => `${dayText(view, from)} – ${dayText(view, Date.parse(until) - 1)}`,
        },
        { head: metering.noteKind, cell: ({ kind }) => metering.noteKinds[kind] },
        { head: metering.measures, cell: ({ subjectId }) => subjectId ?? '' },
        {
          head: metering.says,
          cell: ({ energyKwh, peakDemandKw, turnedAway }) =>
            [
              energyKwh === null ? null : `${metering.energy}: ${energyKwh}`,
              peakDemandKw === null ? null : `${metering.peakDemand}: ${peakDemandKw}`,
              turnedAway === null ? null : `${metering.turnedAway}: ${turnedAway}`,
            ]
              .filter((words) => words !== null)
              .join('; '),
        },
        { head: metering.suppliedBy, cell: ({ suppliedBy, note }) => `${suppliedBy}${note === '' ? '' : `: ${note}`}` },
      ]}
    />
  );
}

function MeterForms({ view, form }: Input) {
  const { metering } = view.texts;
  return (
    <>
      <details open={form.action === 'import'}>
        <summary>{metering.importReadings}</summary>
        <p class="lead">{metering.importLead}</p>
        <form method="post" encType="multipart/form-data" aria-label={metering.importReadings}>
          <p class="field">
            <label for="f-file">{metering.file}</label>
            <input id="f-file" type="file" name="file" accept=".csv,.txt" />
          </p>
          <Field form={form} name="text" label={metering.orText} rows={8} />
          <Do action="import">{metering.store}</Do>
        </form>
      </details>
      <details open={form.action === 'keepMeter'}>
        <summary>{metering.addMeter}</summary>
        <Form form={form} view={view} label={metering.addMeter}>
          <div class="side-by-side">
            <Field form={form} name="meterId" label={metering.meterId} />
            <Field form={form} name="label" label={metering.meterLabel} />
            <Select
              form={form}
              name="subjectKind"
              label={metering.measures}
              value="equipment"
              options={Object.entries(metering.subjectKinds)}
            />
            <Field form={form} name="subjectId" label={metering.subject} />
            <Select
              form={form}
              name="quantity"
              label={metering.quantity}
              value="energyKwh"
              options={Object.entries(metering.quantities)}
            />
            <Field form={form} name="intervalMinutes" label={metering.interval} inputMode="numeric" value="15" />
            <Field form={form} name="powerFactor" label={metering.powerFactor} inputMode="decimal" />
          </div>
          <Do action="keepMeter">{metering.keepMeter}</Do>
        </Form>
      </details>
    </>
  );
}

function NoteForm({ view, form }: Input) {
  const { metering } = view.texts;
  return (
    <details open={form.action === 'keepNote'}>
      <summary>{metering.addNote}</summary>
      <Form form={form} view={view} label={metering.addNote}>
        <div class="side-by-side">
          <Select
            form={form}
            name="kind"
            label={metering.noteKind}
            value="bill"
            options={Object.entries(metering.noteKinds)}
          />
          <Field form={form} name="noteSubject" label={metering.subject} />
          <Field form={form} name="from" type="date" label={metering.noteFrom} />
          <Field form={form} name="until" type="date" label={metering.noteUntil} />
          <Field form={form} name="energyKwh" label={metering.energy} inputMode="decimal" />
          <Field form={form} name="peakDemandKw" label={metering.peakDemand} inputMode="decimal" />
          <Field form={form} name="turnedAway" label={metering.turnedAway} inputMode="numeric" />
          <Field form={form} name="suppliedBy" label={metering.suppliedBy} />
          <Field form={form} name="note" label={metering.noteText} />
        </div>
        <Do action="keepNote">{metering.keepNote}</Do>
      </Form>
    </details>
  );
}

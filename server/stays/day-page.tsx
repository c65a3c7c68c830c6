import { Temporal } from 'temporal-polyfill';
import { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { type DeskAlertDocument, deskAlertSchema, deskAlertsSchema } from '../check-ins/alerts.ts';
import { everyRole } from '../http/access.ts';
import { localDayPeriod } from '../local-time.ts';
import { definePage, seeOther } from '../pages/define-page.ts';
import type { FormState } from '../pages/fields.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { FindingList } from '../pages/parts/findings.tsx';
import { Do, Form, FormProblem } from '../pages/parts/form.tsx';
import { StayLink } from '../pages/parts/stay-link.tsx';
import { Table } from '../pages/parts/table.tsx';
import { dayText, longDayText, momentText, spoken, timeText, type View } from '../pages/view.ts';
import { configurationText, outletName } from '../pages/words.ts';
import { allStays } from './all-stays.ts';
import { arrivalsSchema } from './arrivals.ts';
import { calendarDay, type StayDocument } from './schema.ts';

type Arrival = z.output<typeof arrivalsSchema>['items'][number];

/** Who comes and who goes on a day, and what each still needs. */
export const dayPage = definePage({
  url: '/marinas/:marinaId/day',
  roles: everyRole,
  query: z.strictObject({ day: calendarDay.optional() }),
  show: async ({ api, view, query, principal, form }) => {
    const { body: arrivals } = await api.ask('listArrivals', arrivalsSchema, { query: { day: query.day } });
    const { index } = await inventoryOf(api);
    const { from, until } = localDayPeriod(arrivals.day, arrivals.timeZone);
    const staying = await allStays(api, { from: iso(from), until: iso(until) });
    const leaving = staying.filter(
      ({ departure, state }) => Date.parse(departure) < until && (state === 'promised' || state === 'arrived'),
    );
    const { body: alerts } = await api.ask('listAlerts', deskAlertsSchema);
    const lost = await allStays(api, { needsBerth: 'true' });
    const { desk } = view.texts;
    const base = `/marinas/${principal.marinaId}`;
    return {
      kind: 'page',
      section: 'day',
      title: longDayText(view, from),
      body: (
        <>
          <h1>{longDayText(view, from)}</h1>
          <DayPicker view={view} day={arrivals.day} />
          <p class="no-print">
            <a href={`${base}/waiting`}>{desk.waiting}</a>
          </p>
          <FormProblem form={form} view={view} />
          {alerts.items.length > 0 && (
            <Alerts
              view={view}
              form={form}
              base={base}
              alerts={alerts.items}
              mayAnswer={api.allows('acknowledgeAlert')}
            />
          )}
          {lost.length > 0 && <LostBerths view={view} base={base} stays={lost} />}
          <h2>
            {desk.arrivals}: {arrivals.items.length}
          </h2>
          <Table
            caption={desk.arrivals}
            rows={arrivals.items}
            keyOf={({ stay }) => stay.id}
            empty={desk.noArrivals}
            columns={[
              { head: desk.boat, heads: true, cell: ({ stay }) => <StayLink base={base} stay={stay} /> },
              { head: desk.time, whole: true, cell: ({ stay }) => timeText(view, stay.arrival) },
              { head: desk.state, whole: true, cell: ({ stay }) => view.texts.common.states[stay.state] },
              {
                head: desk.berth,
                whole: true,
                cell: ({ place }) => place?.berthLabel ?? <strong>{desk.noBerth}</strong>,
              },
              { head: desk.hookUp, cell: (arrival) => <ArrivalHookUp view={view} index={index} arrival={arrival} /> },
              {
                head: desk.toConfirm,
                cell: ({ refused, toConfirm }) => (
                  <>
                    {refused.length > 0 && <FindingList view={view} findings={refused} />}
                    <Questions view={view} questions={toConfirm} />
                  </>
                ),
              },
            ]}
          />
          <h2>
            {desk.departures}: {leaving.length}
          </h2>
          <Table
            caption={desk.departures}
            rows={[...leaving].sort((a, b) => Date.parse(a.departure) - Date.parse(b.departure))}
            keyOf={({ id }) => id}
            empty={desk.noDepartures}
            columns={[
              { head: desk.boat, heads: true, cell: (stay) => <StayLink base={base} stay={stay} /> },
              { head: desk.time, whole: true, cell: ({ departure }) => timeText(view, departure) },
              { head: desk.state, cell: ({ state }) => view.texts.common.states[state] },
              { head: desk.caller, cell: ({ name, phone }) => [name, phone].filter(Boolean).join(', ') },
            ]}
          />
        </>
      ),
    };
  },
  actions: {
    seen: async ({ api, params, query }, fields) => {
      await api.ask('acknowledgeAlert', deskAlertSchema, { params: { alertId: fields.text('alertId') ?? '' } });
      return seeOther(`/marinas/${params.marinaId}/day${query.day === undefined ? '' : `?day=${query.day}`}`);
    },
  },
});

interface AlertsProps {
  readonly view: View;
  readonly form: FormState;
  readonly base: string;
  readonly alerts: readonly DeskAlertDocument[];
  readonly mayAnswer: boolean;
}

/** What the dock reports and somebody should look at. */
function Alerts({ view, form, base, alerts, mayAnswer }: AlertsProps) {
  const { desk } = view.texts;
  return (
    <section>
      <h2>
        {desk.alerts}: {alerts.length}
      </h2>
      <ul class="plain">
        {alerts.map(({ id, at, stayId, message, findings }) => (
          <li key={id} class="ruled">
            <p>
              <strong>{momentText(view, at)}</strong> {spoken(view, message)}{' '}
              {stayId !== null && <a href={`${base}/stays/${stayId}`}>{desk.toTheStay}</a>}
            </p>
            <FindingList view={view} findings={findings} />
            {mayAnswer && (
              <Form form={form} view={view}>
                <input type="hidden" name="alertId" value={id} />
                <Do action="seen" kind="second">
                  {desk.seen}
                </Do>
              </Form>
            )}
          </li>
        ))}
      </ul>
    </section>
  );
}

function DayPicker({ view, day }: { readonly view: View; readonly day: string }) {
  const { desk } = view.texts;
  const date = Temporal.PlainDate.from(day);
  return (
    <form class="inline-form no-print">
      <p class="actions">
        <a href={`?day=${date.subtract({ days: 1 })}`}>{desk.dayBefore}</a>
        <a href="?">{desk.today}</a>
        <a href={`?day=${date.add({ days: 1 })}`}>{desk.dayAfter}</a>
      </p>
      <p class="field">
        <label for="f-day">{desk.pickDay}</label>
        <input id="f-day" type="date" name="day" value={day} />
      </p>
      <button type="submit" class="second">
        {desk.show}
      </button>
    </form>
  );
}

interface LostBerthsProps {
  readonly view: View;
  readonly base: string;
  readonly stays: readonly StayDocument[];
}

function LostBerths({ view, base, stays }: LostBerthsProps) {
  const { desk } = view.texts;
  return (
    <section>
      <h2>
        {desk.needsBerth}: {stays.length}
      </h2>
      <p class="lead">{desk.needsBerthLead}</p>
      {stays.map((stay) => (
        <div key={stay.id}>
          <h3>
            <StayLink base={base} stay={stay} /> ·{' '}
            {desk.fromTo(dayText(view, stay.arrival), dayText(view, stay.departure))}
          </h3>
          <FindingList view={view} findings={stay.needsBerth ?? []} />
        </div>
      ))}
    </section>
  );
}

interface ArrivalProps {
  readonly view: View;
  readonly index: InventoryIndex;
  readonly arrival: Arrival;
}

function ArrivalHookUp({ view, index, arrival: { place } }: ArrivalProps) {
  const { desk } = view.texts;
  if (place === null) return <>{view.texts.common.none}</>;
  const { power } = place.assignment;
  if (power === null) return <>{desk.notJudged}</>;
  if (power.connection === null) {
    return (
      <>
        {place.outlets.length === 0
          ? desk.noPower
          : desk.kept(place.outlets.map(({ id }) => outletName(index, id)).join(', '))}
      </>
    );
  }
  if (power.connection.inlets.length === 0) return <>{desk.noPower}</>;
  const inlets = power.connection.inlets.map(({ configurationId }) => configurationText(configurationId));
  return (
    <>
      {place.outlets.map(({ id }) => outletName(index, id)).join(' + ')} {inlets.length > 0 && `→ ${inlets.join(', ')}`}
      {place.adapters.map(({ kindId, name, from, stockLabel }) => (
        <div key={`${kindId} ${stockLabel}`}>
          {desk.adapterFrom[from]}: {stockLabel ?? name}
        </div>
      ))}
    </>
  );
}

const inFull = 2;

function Questions({ view, questions }: { readonly view: View; readonly questions: Arrival['toConfirm'] }) {
  const { desk } = view.texts;
  if (questions.length === 0) return <>{desk.nothing}</>;
  const more = questions.length - inFull;
  return (
    <ul class="plain">
      {questions.slice(0, inFull).map(({ question }) => (
        <li key={question}>{spoken(view, question)}</li>
      ))}
      {more > 0 && <li>{desk.andMore(more)}</li>}
    </ul>
  );
}

function iso(at: number): string {
  return new Date(at).toISOString();
}

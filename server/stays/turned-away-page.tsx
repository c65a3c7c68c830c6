import { z } from 'zod';
import { SeasonForm } from '../demand/season-query.tsx';
import { everyRole } from '../http/access.ts';
import { localDayOf, localDayPeriod } from '../local-time.ts';
import { definePage, type PageInput, seeOther } from '../pages/define-page.ts';
import { Choice, Do, Field, Form, FormProblem } from '../pages/parts/form.tsx';
import { StayLink } from '../pages/parts/stay-link.tsx';
import { Table } from '../pages/parts/table.tsx';
import { dayText, spoken } from '../pages/view.ts';
import { allStays } from './all-stays.ts';
import { callOf } from './call-form.ts';
import { StayDates } from './call-page.tsx';
import { calendarDay, callAnswerSchema, type StayDocument } from './schema.ts';

const dayMs = 86_400_000;

/** Who could not be served, by reason; and, for the desk, entering one in seconds. */
export const turnedAwayPage = definePage({
  url: '/marinas/:marinaId/turned-away',
  roles: everyRole,
  query: z.strictObject({
    from: calendarDay.optional(),
    until: calendarDay.optional(),
    done: z.literal('1').optional(),
  }),
  show: async (input) => {
    const { api, view, form, query, now, principal } = input;
    const { desk } = view.texts;
    const first = query.from ?? localDayOf(now - 180 * dayMs, view.timeZone);
    const last = query.until ?? localDayOf(now + 180 * dayMs, view.timeZone);
    const from = new Date(localDayPeriod(first, view.timeZone).from).toISOString();
    const until = new Date(localDayPeriod(last, view.timeZone).until).toISOString();
    const stays = await allStays(api, { state: 'turnedAway', from, until });
    return {
      kind: 'page',
      section: 'turnedAway',
      title: desk.turnedAway,
      body: (
        <>
          <h1>{desk.turnedAway}</h1>
          {query.done && (
            <p class="done" role="status">
              {desk.turnedAwayRecorded}
            </p>
          )}
          <FormProblem form={form} view={view} />
          {api.allows('recordTurnedAway') && <Entry {...input} />}
          <h2>{desk.turnedAwayByRule}</h2>
          <SeasonForm view={view} season={{ first, last }} />
          <ByReason stays={stays} view={view} />
          <h2>{desk.turnedAwayList}</h2>
          <Table
            caption={`${desk.turnedAwayList}: ${stays.length}`}
            rows={stays}
            keyOf={({ id }) => id}
            empty={desk.noneTurnedAway}
            columns={[
              {
                head: desk.boat,
                heads: true,
                cell: (stay) => <StayLink base={`/marinas/${principal.marinaId}`} stay={stay} />,
              },
              { head: desk.arrivalDay, whole: true, cell: ({ arrival }) => dayText(view, arrival) },
              { head: desk.caller, cell: ({ name }) => name },
              { head: desk.why, cell: ({ turnedAwayReasons }) => spoken(view, reasonsText(turnedAwayReasons)) },
            ]}
          />
        </>
      ),
    };
  },
  actions: {
    record: async ({ api, view, principal }, fields) => {
      const [rule, note] = [fields.text('rule'), fields.text('reasonNote')];
      await api.ask('recordTurnedAway', callAnswerSchema, {
        body: { ...callOf(fields, view), reasons: [{ rule, note }] },
      });
      return seeOther(`/marinas/${principal.marinaId}/turned-away?done=1`);
    },
  },
});

/** Length, the reason, Enter: dates are today's and one night until said otherwise. */
function Entry({ view, form, now }: Pick<PageInput<unknown, unknown, unknown>, 'view' | 'form' | 'now'>) {
  const { desk } = view.texts;
  return (
    <Form form={form} view={view} label={desk.turnedAwayEntry}>
      <h2>{desk.turnedAwayEntry}</h2>
      <div class="side-by-side">
        <Field form={form} name="lengthOverallM" label={desk.length} hint={desk.lengthHint[view.lengths]} autofocus />
        <StayDates view={view} form={form} now={now} />
      </div>
      <Choice
        form={form}
        name="rule"
        label={desk.why}
        value="space.taken"
        options={[...Object.entries(desk.whys), ['', desk.otherReason]]}
      />
      <div class="side-by-side">
        <Field form={form} name="reasonNote" label={desk.reason} />
        <Field form={form} name="plug" label={desk.plug} />
        <Field form={form} name="name" label={desk.whoCalls} />
      </div>
      <Do action="record">{desk.turnedAwaySave}</Do>
    </Form>
  );
}

function ByReason({
  stays,
  view,
}: {
  readonly stays: readonly StayDocument[];
  readonly view: PageInput<unknown, unknown, unknown>['view'];
}) {
  const { desk, manage } = view.texts;
  const counts = new Map<string, number>();
  for (const { turnedAwayReasons } of stays) {
    for (const rule of new Set((turnedAwayReasons ?? []).map(({ rule: own }) => own ?? ''))) {
      counts.set(rule, (counts.get(rule) ?? 0) + 1);
    }
  }
  const rows = [...counts].sort((a, b) => b[1] - a[1]);
  const most = rows[0]?.[1] ?? 1;
  const words: Readonly<Record<string, string>> = desk.whys;
  return (
    <Table
      caption={manage.staysByReason}
      rows={rows}
      keyOf={([rule]) => rule}
      empty={desk.noneTurnedAway}
      columns={[
        {
          head: desk.why,
          heads: true,
          cell: ([rule]) =>
            rule === '' ? (
              manage.noRule
            ) : (
              <>
                {words[rule] ?? ''} <code>{rule}</code>
              </>
            ),
        },
        { head: manage.calls, figures: true, cell: ([, count]) => count },
        {
          head: manage.share,
          cell: ([, count]) => (
            <svg class="bar" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true" focusable="false">
              <path d={`M0 5H${(100 * count) / most}`} />
            </svg>
          ),
        },
      ]}
    />
  );
}

function reasonsText(reasons: StayDocument['turnedAwayReasons']): string {
  return (reasons ?? []).map(({ rule, note }) => [rule, note].filter(Boolean).join(': ')).join('; ');
}

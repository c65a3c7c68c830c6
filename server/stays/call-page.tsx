import { localDayOf } from '../local-time.ts';
import { definePage, type PageInput, seeOther } from '../pages/define-page.ts';
import type { FormState } from '../pages/fields.ts';
import { Choice, Do, Field, Form, FormProblem, Select } from '../pages/parts/form.tsx';
import type { View } from '../pages/view.ts';
import { callOf } from './call-form.ts';
import { callAnswerSchema } from './schema.ts';

/** A call is taken down as it is said, in the order in which people say it; the answer is the berths. */
export const callPage = definePage({
  url: '/marinas/:marinaId/call',
  roles: ['harbormaster'],
  show: async (input) => ({
    kind: 'page',
    section: 'call',
    title: input.view.texts.desk.newCall,
    body: <CallForm {...input} />,
  }),
  actions: {
    call: async ({ api, view, principal }, fields) => {
      const { body } = await api.ask('requestStay', callAnswerSchema, { body: callOf(fields, view) });
      return seeOther(`/marinas/${principal.marinaId}/stays/${body.stay.id}`);
    },
  },
});

function CallForm({ view, form, now }: Pick<PageInput<unknown, unknown, unknown>, 'view' | 'form' | 'now'>) {
  const { desk } = view.texts;
  return (
    <>
      <h1>{desk.newCall}</h1>
      <p class="lead">{desk.newCallLead}</p>
      <FormProblem form={form} view={view} />
      <Form form={form} view={view} label={desk.newCall}>
        <div class="side-by-side">
          <Field form={form} name="name" label={desk.whoCalls} autofocus />
          <Field form={form} name="phone" label={desk.phone} type="tel" />
          <Field form={form} name="boatName" label={desk.boatName} />
        </div>
        <div class="side-by-side">
          <StayDates view={view} form={form} now={now} />
        </div>
        <div class="side-by-side">
          <Field form={form} name="lengthOverallM" label={desk.length} hint={desk.lengthHint[view.lengths]} />
          <Field form={form} name="beamM" label={desk.beam} />
          <Field form={form} name="draftM" label={desk.draft} />
          <Field form={form} name="plug" label={desk.plug} hint={desk.plugHint} />
        </div>
        <div class="side-by-side">
          <Choice
            form={form}
            name="hull"
            label={desk.hull}
            value=""
            options={[
              ['', desk.notSaid],
              ['monohull', desk.hulls.monohull],
              ['multihull', desk.hulls.multihull],
            ]}
          />
          <Choice
            form={form}
            name="airConditioning"
            label={desk.airConditioning}
            value=""
            options={[
              ['', desk.notSaid],
              ['yes', desk.yes],
              ['no', desk.no],
            ]}
          />
        </div>
        <p class="actions">
          <Do action="call">{desk.findBerth}</Do>
        </p>
        <details open={form.fields.has('inletFromBowM') || form.fields.has('inletSide') || form.fields.has('note')}>
          <summary>{desk.moreFacts}</summary>
          <div class="side-by-side">
            <Field form={form} name="inletFromBowM" label={desk.inletFromBow} />
            <Select
              form={form}
              name="inletSide"
              label={desk.inletSide}
              value=""
              options={[
                ['', desk.notSaid],
                ['port', desk.sides.port],
                ['starboard', desk.sides.starboard],
                ['centre', desk.sides.centre],
              ]}
            />
            <Field form={form} name="note" label={desk.note} />
          </div>
        </details>
      </Form>
    </>
  );
}

interface StayDatesProps {
  readonly view: View;
  readonly form: FormState;
  readonly now: number;
}

/** Day, time and nights; today and one night until somebody says otherwise. */
export function StayDates({ view, form, now }: StayDatesProps) {
  const { desk } = view.texts;
  return (
    <>
      <Field form={form} name="arrival" label={desk.arrivalDay} type="date" value={localDayOf(now, view.timeZone)} />
      <Field form={form} name="arrivalTime" label={desk.arrivalTime} type="time" />
      <Field form={form} name="nights" label={desk.nights} inputMode="numeric" value="1" />
    </>
  );
}

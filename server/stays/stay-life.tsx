import { localDayOf } from '../local-time.ts';
import type { FormState } from '../pages/fields.ts';
import { Do, Field, Form, Select } from '../pages/parts/form.tsx';
import { momentText, type View } from '../pages/view.ts';
import type { StayDocument } from './schema.ts';

interface LifeProps {
  readonly view: View;
  readonly form: FormState;
  readonly stay: StayDocument;
  /** Stays that it could change places with. */
  readonly others: readonly StayDocument[];
  readonly now: number;
}

/** What comes next in a stay's life: the promise, the arrival, other days, another's berth, the departure. */
export function LifeForms({ view, form, stay, others, now }: LifeProps) {
  const { desk } = view.texts;
  const { version } = stay;
  const comes = ['requested', 'offered', 'promised'].includes(stay.state);
  const steps = [
    ...(stay.state === 'offered' ? [['promise', desk.promise] as const] : []),
    ...(comes ? [['arrive', desk.arrivedNow] as const] : []),
    ...(stay.state === 'arrived' ? [['depart', desk.departedNow] as const] : []),
    ...(comes && Date.parse(stay.arrival) < now ? [['noShow', desk.didNotCome] as const] : []),
  ];
  return (
    <section>
      {stay.offerExpiresAt !== null && <p>{desk.offeredUntil(momentText(view, stay.offerExpiresAt))}</p>}
      <Form form={form} view={view} version={version} class="actions">
        {steps.map(([action, words]) => (
          <Do key={action} action={action} kind="second">
            {words}
          </Do>
        ))}
      </Form>
      <details open={form.action === 'reschedule'}>
        <summary>{desk.otherDays}</summary>
        <p class="lead">{desk.otherDaysLead}</p>
        <Form form={form} view={view} version={version} class="inline-form" label={desk.otherDays}>
          <input type="hidden" name="was/newArrival" value={localDayOf(Date.parse(stay.arrival), view.timeZone)} />
          <input type="hidden" name="was/newDeparture" value={localDayOf(Date.parse(stay.departure), view.timeZone)} />
          {comes && (
            <Field
              form={form}
              name="newArrival"
              label={desk.arrivalDay}
              type="date"
              value={localDayOf(Date.parse(stay.arrival), view.timeZone)}
            />
          )}
          <Field
            form={form}
            name="newDeparture"
            label={desk.leaves}
            type="date"
            value={localDayOf(Date.parse(stay.departure), view.timeZone)}
          />
          <Do action="reschedule" kind="second">
            {desk.changeDays}
          </Do>
        </Form>
      </details>
      {others.length > 0 && (
        <details open={form.action === 'swap'}>
          <summary>{desk.swap}</summary>
          <p class="lead">{desk.swapLead}</p>
          <Form form={form} view={view} class="inline-form" label={desk.swap}>
            <Select
              form={form}
              name="swapWith"
              label={desk.boat}
              options={others.map(({ id, boatName }) => [id, boatName])}
            />
            <Do action="swap" kind="second">
              {desk.swap}
            </Do>
          </Form>
        </details>
      )}
    </section>
  );
}

import type { FormState } from '../pages/fields.ts';
import { VerdictMark } from '../pages/parts/findings.tsx';
import { Do, Form } from '../pages/parts/form.tsx';
import { StayLink } from '../pages/parts/stay-link.tsx';
import { Table } from '../pages/parts/table.tsx';
import { dayText, lengthText, type View } from '../pages/view.ts';
import type { WaitingStay } from './waiting-list.ts';

interface WaitingProps {
  readonly view: View;
  readonly form: FormState;
  /** `/marinas/north`. */
  readonly base: string;
  readonly waiting: readonly WaitingStay[];
  readonly mayOffer: boolean;
}

/** Who on the waiting list fits what has just fallen free. */
export function NowFits(props: WaitingProps) {
  const { desk } = props.view.texts;
  if (props.waiting.length === 0) return null;
  return (
    <section class="done" role="status">
      <h2>{desk.nowFits}</h2>
      <p class="lead">{desk.nowFitsLead}</p>
      <WaitingTable {...props} />
    </section>
  );
}

/** Stays without a berth, first served first, each with the berths that it fits now. */
export function WaitingTable({ view, form, base, waiting, mayOffer }: WaitingProps) {
  const { desk } = view.texts;
  return (
    <Table
      caption={desk.waiting}
      rows={waiting}
      keyOf={({ stay }) => stay.id}
      empty={desk.nobodyWaits}
      columns={[
        { head: desk.boat, heads: true, cell: ({ stay }) => <StayLink base={base} stay={stay} /> },
        {
          head: desk.needsIt,
          whole: true,
          cell: ({ stay, from }) => desk.fromTo(dayText(view, from), dayText(view, stay.departure)),
        },
        { head: desk.caller, cell: ({ stay }) => [stay.name, stay.phone].filter(Boolean).join(', ') },
        { head: desk.priority, figures: true, cell: ({ stay }) => stay.priority },
        {
          head: desk.fitsNow,
          cell: ({ stay, fits }) =>
            fits.length === 0 ? (
              desk.fitsNothing
            ) : (
              <ul class="plain">
                {fits.map((fit) => (
                  <li key={fit.berthId} class="fit">
                    <strong>{fit.label}</strong> <VerdictMark view={view} verdict={fit.verdict} />
                    {fit.place !== null &&
                      ` ${desk.metresFromTo(lengthText(view, fit.place.fromM), lengthText(view, fit.place.untilM))}`}
                    {mayOffer && (
                      <Offer view={view} form={form} to={`${base}/stays/${stay.id}`} version={stay.version} fit={fit} />
                    )}
                  </li>
                ))}
              </ul>
            ),
        },
      ]}
    />
  );
}

interface OfferProps extends Pick<WaitingProps, 'view' | 'form'> {
  /** Page of the stay. */
  readonly to: string;
  readonly version: number;
  readonly fit: WaitingStay['fits'][number];
}

function Offer({ view, form, to, version, fit: { berthId, label, place } }: OfferProps) {
  return (
    <Form form={form} view={view} to={to} version={version}>
      <input type="hidden" name="berthId" value={berthId} />
      {place !== null && (
        <>
          <input type="hidden" name="fromM" value={String(place.fromM)} />
          <input type="hidden" name="untilM" value={String(place.untilM)} />
        </>
      )}
      <Do action="offer" kind="quiet">
        {view.texts.desk.offer(label)}
      </Do>
    </Form>
  );
}

import { Do, Form } from '../pages/parts/form.tsx';
import { Table } from '../pages/parts/table.tsx';
import type { View } from '../pages/view.ts';
import { Differences } from './plan-differences.tsx';
import { Boat, Dates, type OutcomeProps, type Result, Stops } from './plan-stays.tsx';
import { aimText, countsText } from './plan-words.ts';

/** What a plan comes to: how good it is, and against today who moves, who is placed and who is not. */
export function Outcome(props: OutcomeProps) {
  const { view, form, plan: document, result, mayAccept } = props;
  const { plan } = view.texts;
  const hasPlaces = result.status === 'optimal' || result.status === 'feasible';
  const { figures } = result;
  const isAcceptable = hasPlaces && !document.isWhatIf && document.state !== 'accepted';
  return (
    <>
      <p class={hasPlaces ? 'done' : 'problem'} role="status">
        {document.state === 'accepted' ? plan.accepted : plan.statuses[result.status]}
      </p>
      {hasPlaces && <p>{countsText(view, document.difference)}.</p>}
      {isAcceptable && mayAccept && (
        <Form form={form} view={view} class="actions">
          <Do action="accept">{plan.accept}</Do>
          <span class="hint">{plan.acceptLead}</span>
        </Form>
      )}
      {result.conflict.length > 0 && <Conflict {...props} />}
      {hasPlaces && <Differences {...props} />}
      {result.aims.length > 0 && <Aims view={view} aims={result.aims} />}
      <p class="small">{plan.figures(figures.secondsInAll.toFixed(1), figures.rounds)}</p>
    </>
  );
}

function Conflict(props: OutcomeProps) {
  const { view, result } = props;
  const { plan } = view.texts;
  return (
    <section>
      <h2>{plan.conflict}</h2>
      <p class="lead">{plan.conflictLead}</p>
      <ul>
        {result.conflict.map((stayId) => (
          <li key={stayId}>
            <Boat {...props} stayId={stayId} />, <Dates {...props} stayId={stayId} />
            <Stops {...props} stayId={stayId} />
          </li>
        ))}
      </ul>
    </section>
  );
}

function Aims({ view, aims }: { readonly view: View; readonly aims: Result['aims'] }) {
  const { plan } = view.texts;
  const figure = (value: number) => `${Number(value.toFixed(2))}`;
  return (
    <section>
      <h2>{plan.aims}</h2>
      <Table
        caption={plan.aims}
        rows={aims}
        keyOf={({ name }) => name}
        empty=""
        columns={[
          { head: plan.aim, heads: true, cell: ({ name, sense }) => plan.senses[sense](aimText(view, name)) },
          { head: plan.reached, figures: true, cell: ({ value }) => figure(value) },
          { head: plan.bound, figures: true, cell: ({ bound }) => (bound === null ? plan.notProven : figure(bound)) },
          {
            head: plan.gap,
            figures: true,
            cell: ({ gap }) =>
              gap === null ? plan.notProven : gap === 0 ? plan.proven : plan.percent((gap * 100).toFixed(1)),
          },
        ]}
      />
    </section>
  );
}

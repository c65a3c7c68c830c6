import type { ComponentChild, ComponentChildren } from 'preact';
import type { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { FormState } from '../pages/fields.ts';
import { FindingList, VerdictMark } from '../pages/parts/findings.tsx';
import { Do, Form } from '../pages/parts/form.tsx';
import { StayLink } from '../pages/parts/stay-link.tsx';
import { Empty, Table } from '../pages/parts/table.tsx';
import { dayText, type View } from '../pages/view.ts';
import { adapterText, outletName } from '../pages/words.ts';
import type { StayDocument } from '../stays/schema.ts';
import { aimText, countsText, stoppedByText } from './plan-words.ts';
import type { PlanDocument, planResultSchema } from './schema.ts';

type Result = z.output<typeof planResultSchema>;
type Placement = Result['placements'][number];

interface OutcomeProps {
  readonly view: View;
  readonly form: FormState;
  readonly index: InventoryIndex;
  /** `/marinas/north`. */
  readonly base: string;
  readonly plan: PlanDocument;
  readonly result: Result;
  /** Stays of the period by id. */
  readonly stays: ReadonlyMap<string, StayDocument>;
  /** Where a stay is today, in words. */
  readonly today: ReadonlyMap<string, string>;
  readonly mayAccept: boolean;
  readonly mayAskAgain: boolean;
}

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

function Differences(props: OutcomeProps) {
  const { view, form, result, mayAskAgain, plan: document, index } = props;
  const { plan, desk } = view.texts;
  const of = (kind: Placement['kind']) => result.placements.filter((each) => each.kind === kind);
  const [moved, placed, kept] = [of('moved'), of('new'), of('kept')];
  const mayPin = mayAskAgain && document.state !== 'accepted';
  const boat = { head: desk.boat, heads: true, cell: ({ stayId }: Placement) => <Boat {...props} stayId={stayId} /> };
  const dates = { head: plan.dates, cell: ({ stayId }: Placement) => <Dates {...props} stayId={stayId} /> };
  const target = {
    head: plan.toBerth,
    cell: ({ berthId, orientation }: Placement) =>
      `${index.berths.get(berthId)?.label ?? berthId}, ${orientation === 'bowIn' ? desk.bowIn : desk.sternIn}`,
  };
  const judged = [
    { head: desk.hookUp, cell: (placement: Placement) => hookUpText(view, index, placement) },
    { head: plan.verdict, cell: (placement: Placement) => <Verdict view={view} placement={placement} /> },
  ];
  const withToday = { head: plan.fromBerth, cell: ({ stayId }: Placement) => props.today.get(stayId) ?? '' };
  const pin = {
    head: plan.leave,
    cell: ({ stayId }: Placement) => (
      <label>
        <input type="checkbox" name="pinned" value={stayId} />
        <span class="hidden">
          {plan.leave}: <Name {...props} stayId={stayId} />
        </span>
      </label>
    ),
  };
  const movedTable = (
    <Table
      caption={plan.moved}
      rows={moved}
      keyOf={({ stayId }) => stayId}
      empty={plan.nobodyMoves}
      columns={[
        boat,
        dates,
        ...(document.state === 'accepted' ? [] : [withToday]),
        target,
        ...judged,
        ...(mayPin ? [pin] : []),
      ]}
    />
  );
  return (
    <>
      <Group title={plan.moved} count={moved.length}>
        {moved.length > 0 && mayPin ? (
          <Form form={form} view={view} label={plan.moved}>
            {movedTable}
            <p class="hint">{plan.leaveLead}</p>
            <Do action="again" kind="second">
              {plan.again}
            </Do>
          </Form>
        ) : (
          movedTable
        )}
      </Group>
      <Group title={plan.placed} count={placed.length}>
        <Table
          caption={plan.placed}
          rows={placed}
          keyOf={({ stayId }) => stayId}
          empty={plan.nobodyPlaced}
          columns={[boat, dates, target, ...judged]}
        />
      </Group>
      <Group title={plan.unplaced} count={result.unplaced.length}>
        {result.unplaced.length === 0 ? (
          <Empty>{plan.everybodyPlaced}</Empty>
        ) : (
          result.unplaced.map(({ stayId }) => (
            <div key={stayId}>
              <h3>
                <Boat {...props} stayId={stayId} /> · <Dates {...props} stayId={stayId} />
              </h3>
              <Stops {...props} stayId={stayId} />
            </div>
          ))
        )}
      </Group>
      {kept.length > 0 && (
        <details>
          <summary>
            {plan.kept}: {kept.length}
          </summary>
          <Table
            caption={plan.kept}
            rows={kept}
            keyOf={({ stayId }) => stayId}
            empty=""
            columns={[boat, dates, target]}
          />
        </details>
      )}
    </>
  );
}

interface GroupProps {
  readonly title: string;
  readonly count: number;
  readonly children: ComponentChildren;
}

function Group({ title, count, children }: GroupProps) {
  return (
    <section aria-label={title}>
      <h2>
        {title}: {count}
      </h2>
      {children}
    </section>
  );
}

type OfStay = Pick<OutcomeProps, 'view' | 'stays' | 'base' | 'index' | 'result'> & { readonly stayId: string };

/** A stay that is only supposed has an id and no boat. */
function Name({ stays, stayId }: OfStay) {
  return <>{stays.get(stayId)?.boatName ?? stayId}</>;
}

function Boat({ stays, base, stayId }: OfStay): ComponentChild {
  const stay = stays.get(stayId);
  return stay === undefined ? stayId : <StayLink base={base} stay={stay} />;
}

function Dates({ view, stays, stayId }: OfStay) {
  const stay = stays.get(stayId);
  if (stay === undefined) return null;
  return <>{view.texts.desk.fromTo(dayText(view, stay.arrival), dayText(view, stay.departure))}</>;
}

/** The rules that kept a stay from the berths. */
function Stops({ view, index, result, stayId }: OfStay) {
  const stops = result.unplaced.find((each) => each.stayId === stayId)?.stoppedBy ?? [];
  if (stops.length === 0) return <p>{view.texts.plan.nothingStops}</p>;
  return (
    <ul>
      {stops.map((stop) => (
        <li key={`${stop.rule} ${stop.subject}`}>
          {stoppedByText(view, index, stop)} <code>{stop.rule}</code>
        </li>
      ))}
    </ul>
  );
}

function hookUpText(view: View, index: InventoryIndex, { outletIds, adapters }: Placement): string {
  const { desk } = view.texts;
  if (outletIds.length === 0) return desk.noPower;
  const outlets = outletIds.map((outletId) => outletName(index, outletId)).join(' + ');
  return [outlets, ...adapters.map((adapter) => adapterText(index, view, adapter))].join(' → ');
}

function Verdict({ view, placement }: { readonly view: View; readonly placement: Placement }) {
  const { plan } = view.texts;
  const { verdict, findings } = placement;
  return (
    <>
      <VerdictMark view={view} verdict={verdict} />
      {findings.length > 0 && (
        <details>
          <summary>
            {plan.findings}: {findings.length}
          </summary>
          <FindingList view={view} findings={findings} />
        </details>
      )}
    </>
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

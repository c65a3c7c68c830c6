import type { ComponentChildren } from 'preact';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { FindingList, VerdictMark } from '../pages/parts/findings.tsx';
import { Do, Form } from '../pages/parts/form.tsx';
import { Empty, Table } from '../pages/parts/table.tsx';
import type { View } from '../pages/view.ts';
import { adapterText, outletName } from '../pages/words.ts';
import { Boat, Dates, Name, type OutcomeProps, type Placement, Stops } from './plan-stays.tsx';

/** Against today: who moves where, who is newly placed, who stays without a berth and why. */
export function Differences(props: OutcomeProps) {
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

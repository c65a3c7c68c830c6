import type { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { AssignmentDocument } from '../assignments/schema.ts';
import type { optionsSchema } from '../berth-options/schema.ts';
import type { boatSchema } from '../boats/schema.ts';
import type { FormState } from '../pages/fields.ts';
import { FindingList, VerdictMark } from '../pages/parts/findings.tsx';
import { Do, Field, Form } from '../pages/parts/form.tsx';
import { lengthText, momentText, spoken, type View } from '../pages/view.ts';
import { tightestText } from '../pages/words.ts';
import { factField } from './fact-fields.tsx';
import type { StayDocument } from './schema.ts';
import { PlaceFacts } from './stay-options.tsx';

interface HeadProps {
  readonly view: View;
  readonly stay: StayDocument;
  readonly boat: z.output<typeof boatSchema>;
}

export function StayHead({ view, stay, boat }: HeadProps) {
  const { desk, common } = view.texts;
  const size = [
    [desk.length, lengthText(view, boat.lengthOverallM?.value ?? null)],
    [desk.beam, lengthText(view, boat.beamM?.value ?? null)],
    [desk.draft, lengthText(view, boat.draftM?.value ?? null)],
  ] as const;
  return (
    <>
      <h1>
        {stay.boatName} <span class="tag">{common.states[stay.state]}</span>
      </h1>
      <p class="lead">{desk.fromTo(momentText(view, stay.arrival), momentText(view, stay.departure))}</p>
      <dl class="facts">
        <div class="fact">
          <dt>{desk.caller}</dt>
          <dd>{[stay.name, stay.phone].filter(Boolean).join(', ')}</dd>
        </div>
        {size.map(([name, value]) => (
          <div key={name} class="fact">
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
        {stay.note !== '' && (
          <div class="fact">
            <dt>{desk.note}</dt>
            <dd class="as-written">{stay.note}</dd>
          </div>
        )}
      </dl>
      {stay.needsBerth !== null && <FindingList view={view} findings={stay.needsBerth} />}
    </>
  );
}

interface AskProps {
  readonly view: View;
  readonly form: FormState;
  readonly boat: z.output<typeof boatSchema>;
  readonly index: InventoryIndex;
  readonly question: NonNullable<z.output<typeof optionsSchema>['question']>;
}

/** The one question, with the field that answers it where the boat's people can. */
export function AskThis({ view, form, boat, index, question }: AskProps) {
  const { desk } = view.texts;
  const isBoats = question.subject.kind === 'boat' || question.subject.kind === 'inlet';
  const { usualCordLengthsM } = index.inventory.settings;
  const field = isBoats ? factField({ view, form, boat, fact: question.fact, usualCordLengthsM }) : null;
  return (
    <section class="ask-this" aria-labelledby="ask-this">
      <h2 id="ask-this">
        {desk.askThis}: {spoken(view, question.question)}
      </h2>
      <p class="small">{desk.askThisLead(question.berths)}</p>
      {field !== null && (
        <Form form={form} view={view} label={desk.askThis}>
          {field}
          <Do action="state" kind="second">
            {desk.answer}
          </Do>
        </Form>
      )}
    </section>
  );
}

interface HeldProps {
  readonly view: View;
  readonly form: FormState;
  readonly index: InventoryIndex;
  readonly assignment: AssignmentDocument;
  readonly canAct: boolean;
}

/** A berth that the stay has, as it was judged. */
export function Held({ view, form, index, assignment, canAct }: HeldProps) {
  const { desk } = view.texts;
  const { power } = assignment;
  const label = index.berths.get(assignment.berthId)?.label ?? assignment.berthId;
  return (
    <section class="held">
      <h2>
        {desk.heldBerth}: {label} <VerdictMark view={view} verdict={assignment.verdict} />
      </h2>
      <p>{desk.fromTo(momentText(view, assignment.from), momentText(view, assignment.until))}</p>
      {power === null ? (
        <p>{desk.notJudged}</p>
      ) : (
        <PlaceFacts
          view={view}
          index={index}
          option={{ ...power, orientation: assignment.orientation, place: assignment.place }}
        />
      )}
      {power !== null && power.tightest !== null && (
        <p class="small">
          {desk.tightest}: {tightestText(view, power.tightest)}
        </p>
      )}
      <FindingList view={view} findings={assignment.findings} />
      {canAct && (
        <Form form={form} view={view}>
          <input type="hidden" name="assignmentId" value={assignment.id} />
          <Do action="release" kind="second">
            {desk.givenUp}
          </Do>
        </Form>
      )}
    </section>
  );
}

interface EndingProps {
  readonly view: View;
  readonly form: FormState;
  readonly stay: StayDocument;
  readonly refusedBy: readonly string[];
}

/** The stay is not to be: the boat cancels, or the marina turns it away, with reasons. */
export function Ending({ view, form, stay, refusedBy }: EndingProps) {
  const { desk } = view.texts;
  return (
    <details open={form.action === 'turnAway'}>
      <summary>
        {desk.cancelStay}, {desk.turnAway.toLowerCase()}
      </summary>
      <Form form={form} view={view} version={stay.version}>
        <Do action="cancel" kind="second">
          {desk.cancelStay}
        </Do>
      </Form>
      <h3>{desk.turnAway}</h3>
      <p class="lead">{desk.turnAwayLead}</p>
      <Form form={form} view={view} version={stay.version} label={desk.turnAway}>
        {refusedBy.length > 0 && (
          <fieldset class="choice">
            <legend>{desk.ticked}</legend>
            {refusedBy.map((rule) => (
              <label key={rule}>
                <input type="checkbox" name="rule" value={rule} checked />
                <code>{rule}</code>
              </label>
            ))}
          </fieldset>
        )}
        <Field form={form} name="turnAwayNote" label={desk.reason} />
        <Do action="turnAway" kind="second">
          {desk.turnAway}
        </Do>
      </Form>
    </details>
  );
}

const mostTicked = 3;

/** The rules that refuse most berths: why a request that nothing can take is turned away. */
export function commonRefusals(options: z.output<typeof optionsSchema> | null): string[] {
  if (options === null || options.options.length > 0) return [];
  const counts = new Map<string, number>();
  for (const { findings } of options.refused) {
    for (const rule of new Set(findings.filter(({ level }) => level === 'refuse').map(({ rule: own }) => own))) {
      counts.set(rule, (counts.get(rule) ?? 0) + 1);
    }
  }
  return [...counts]
    .sort((a, b) => b[1] - a[1])
    .slice(0, mostTicked)
    .map(([rule]) => rule);
}

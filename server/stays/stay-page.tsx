import { z } from 'zod';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { type AssignmentDocument, assignmentSchema, releasedSchema } from '../assignments/schema.ts';
import { optionsSchema } from '../berth-options/schema.ts';
import { boatSchema } from '../boats/schema.ts';
import { everyRole } from '../http/access.ts';
import { id } from '../http/fields.ts';
import { definePage, type PageInput, seeOther } from '../pages/define-page.ts';
import type { Fields, FormState } from '../pages/fields.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { FindingList, VerdictMark } from '../pages/parts/findings.tsx';
import { Do, Field, Form, FormProblem } from '../pages/parts/form.tsx';
import { lengthText, momentText, spoken, type View } from '../pages/view.ts';
import { tightestText } from '../pages/words.ts';
import { BoatFactFields, factField } from './fact-fields.tsx';
import { factsOf } from './fact-form.ts';
import { type StayDocument, staySchema, stayWithAssignmentsSchema } from './schema.ts';
import { OptionList, OverrideForm, PlaceFacts, RefusedList } from './stay-options.tsx';

const described = { options: '12', refused: '200' };
const toCome = ['requested', 'offered', 'promised', 'arrived'];

/** One stay: the boat, the berth it has, and every berth judged for it. */
export const stayPage = definePage({
  url: '/marinas/:marinaId/stays/:stayId',
  roles: everyRole,
  params: z.strictObject({ marinaId: id, stayId: id }),
  query: z.strictObject({ other: z.literal('1').optional() }),
  show: async (input) => {
    const { api, view, params, query, form, now } = input;
    const { body } = await api.ask('readStay', stayWithAssignmentsSchema, { params: { stayId: params.stayId } });
    const { stay, boat, assignments } = body;
    const { index } = await inventoryOf(api);
    const held = assignments.filter(({ until }) => Date.parse(until) > now);
    const isOpen = toCome.includes(stay.state) && Date.parse(stay.departure) > now;
    const wantsOptions = isOpen && (held.length === 0 || query.other !== undefined || stay.needsBerth !== null);
    const asked = { params: { stayId: stay.id }, query: { ...described, ...movedFrom(held, stay, now) } };
    const options = wantsOptions ? (await api.ask('listBerthOptions', optionsSchema, asked)).body : null;
    const action = !api.allows('assignStay') ? null : held.length > 0 && stay.needsBerth === null ? 'move' : 'assign';
    const { desk } = view.texts;
    const props = { view, form, index, version: stay.version, action } as const;
    return {
      kind: 'page',
      section: 'day',
      title: stay.boatName,
      body: (
        <>
          <StayHead view={view} stay={stay} boat={boat} />
          <FormProblem form={form} view={view} />
          {options?.question && api.allows('changeBoatFacts') && (
            <AskThis view={view} form={form} boat={boat} index={index} question={options.question} />
          )}
          {held.map((assignment) => (
            <Held
              key={assignment.id}
              view={view}
              form={form}
              index={index}
              assignment={assignment}
              canAct={action !== null}
            />
          ))}
          {options !== null && (
            <section>
              <h2>{held.length === 0 ? desk.options : desk.otherBerths}</h2>
              <OptionList {...props} options={options} />
            </section>
          )}
          {options === null && isOpen && action !== null && (
            <p>
              <a class="button second" href="?other=1">
                {desk.otherBerths}
              </a>
            </p>
          )}
          {api.allows('changeBoatFacts') && (
            <details>
              <summary>{desk.otherFacts}</summary>
              <Form form={form} view={view} label={desk.otherFacts}>
                <BoatFactFields
                  view={view}
                  form={form}
                  boat={boat}
                  usualCordLengthsM={index.inventory.settings.usualCordLengthsM}
                />
                <Do action="state">{desk.saveFacts}</Do>
              </Form>
            </details>
          )}
          {options !== null && <OverrideForm {...props} options={options} />}
          {options !== null && <RefusedList view={view} options={options} />}
          {isOpen && action !== null && stay.state !== 'arrived' && (
            <Ending view={view} form={form} stay={stay} refusedBy={commonRefusals(options)} />
          )}
          <Cautions view={view} />
        </>
      ),
    };
  },
  actions: {
    assign: (input, fields) => place('assignStay', input, fields),
    move: (input, fields) => place('moveStay', input, fields),
    override: (input, fields) => {
      const [berthId = '', ...rules] = (fields.text('berthAndRules') ?? '').split(' ');
      const reason = fields.text('overrideReason') ?? '';
      const operation = fields.text('kind') === 'move' ? 'moveStay' : 'assignStay';
      return placeAt(operation, input, fields, { berthId, overrides: rules.map((rule) => ({ rule, reason })) });
    },
    state: async ({ api, view, params }, fields) => {
      const { body } = await api.ask('readStay', stayWithAssignmentsSchema, { params: { stayId: params.stayId } });
      const facts = factsOf(fields, body.boat, view, 'phone');
      if (Object.keys(facts).length > 0) {
        await api.ask('changeBoatFacts', boatSchema, { params: { boatId: body.boat.id }, body: facts });
      }
      return seeOther(stayPath(params));
    },
    release: async ({ api, params }, fields) => {
      const assignmentId = fields.text('assignmentId') ?? '';
      await api.ask('releaseAssignment', releasedSchema, { params: { assignmentId }, body: { at: null } });
      return seeOther(stayPath(params));
    },
    cancel: async ({ api, params }, fields) => {
      await api.ask('cancelStay', staySchema, { params: { stayId: params.stayId }, version: versionOf(fields) });
      return seeOther(stayPath(params));
    },
    turnAway: async ({ api, params }, fields) => {
      const note = fields.text('turnAwayNote');
      const rules = fields.all('rule').map((rule) => ({ rule, note: null }));
      const reasons = [...rules, ...(note === null ? [] : [{ rule: null, note }])];
      await api.ask('turnAwayStay', staySchema, {
        params: { stayId: params.stayId },
        version: versionOf(fields),
        body: { reasons },
      });
      return seeOther(stayPath(params));
    },
  },
});

type StayInput = PageInput<{ readonly marinaId: string; readonly stayId: string }, unknown, unknown>;

function place(operation: 'assignStay' | 'moveStay', input: StayInput, fields: Fields) {
  const [fromM, untilM] = [fields.text('fromM'), fields.text('untilM')];
  return placeAt(operation, input, fields, {
    berthId: fields.text('berthId') ?? '',
    orientation: fields.text('orientation'),
    place: fromM === null || untilM === null ? null : { fromM: Number(fromM), untilM: Number(untilM) },
  });
}

async function placeAt(
  operation: 'assignStay' | 'moveStay',
  { api, params, now }: StayInput,
  fields: Fields,
  placement: Readonly<Record<string, unknown>>,
) {
  const { body } = await api.ask('readStay', stayWithAssignmentsSchema, { params: { stayId: params.stayId } });
  const from = operation === 'moveStay' ? movedFrom(body.assignments, body.stay, now) : {};
  await api.ask(operation, assignmentSchema, {
    params: { stayId: params.stayId },
    version: versionOf(fields),
    body: { ...placement, ...from },
  });
  return seeOther(stayPath(params));
}

/** A boat that lies there already moves from now on; one that is to come, from its arrival. */
function movedFrom(held: readonly AssignmentDocument[], stay: StayDocument, now: number): { readonly from?: string } {
  const isThere = held.length > 0 && Date.parse(stay.arrival) < now;
  return isThere ? { from: new Date(now).toISOString() } : {};
}

function versionOf(fields: Fields): number | null {
  const version = fields.text('version');
  return version === null ? null : Number(version);
}

function stayPath({ marinaId, stayId }: StayInput['params']): string {
  return `/marinas/${marinaId}/stays/${stayId}`;
}

interface HeadProps {
  readonly view: View;
  readonly stay: StayDocument;
  readonly boat: z.output<typeof boatSchema>;
}

function StayHead({ view, stay, boat }: HeadProps) {
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
function AskThis({ view, form, boat, index, question }: AskProps) {
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
function Held({ view, form, index, assignment, canAct }: HeldProps) {
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
function Ending({ view, form, stay, refusedBy }: EndingProps) {
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
function commonRefusals(options: z.output<typeof optionsSchema> | null): string[] {
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

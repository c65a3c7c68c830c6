import { randomUUID } from 'node:crypto';
import { z } from 'zod';
import { swappedSchema } from '../assignments/schema.ts';
import { optionsSchema } from '../berth-options/schema.ts';
import { boatSchema } from '../boats/schema.ts';
import { everyRole } from '../http/access.ts';
import { id } from '../http/fields.ts';
import type { Api } from '../pages/api-door.ts';
import { definePage, type PageAnswer, seeOther } from '../pages/define-page.ts';
import { readFields } from '../pages/fields.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { Do, Form, FormProblem } from '../pages/parts/form.tsx';
import { allStays } from './all-stays.ts';
import { BoatFactFields } from './fact-fields.tsx';
import { factsOf } from './fact-form.ts';
import { type StayDocument, staySchema, stayWithAssignmentsSchema } from './schema.ts';
import { end, movedFrom, place, placeAt, type StayInput, stayPath, step, versionOf } from './stay-actions.ts';
import { LifeForms } from './stay-life.tsx';
import { OptionList, OverrideForm, RefusedList } from './stay-options.tsx';
import { AskThis, commonRefusals, Ending, Held, StayHead } from './stay-parts.tsx';
import { releasedSchema, rescheduledWithFits, type WaitingStay } from './waiting-list.ts';
import { NowFits } from './waiting-parts.tsx';

const described = { options: '12', refused: '200' };
const toCome = ['requested', 'offered', 'promised', 'arrived'];

/** One stay: the boat, the berth it has, and every berth judged for it. */
export const stayPage = definePage({
  url: '/marinas/:marinaId/stays/:stayId',
  roles: everyRole,
  params: z.strictObject({ marinaId: id, stayId: id }),
  query: z.strictObject({ other: z.literal('1').optional() }),
  show: (input) => showStay(input, []),
  actions: {
    assign: (input, fields) => place('assignStay', input, fields),
    move: (input, fields) => place('moveStay', input, fields),
    override: (input, fields) => {
      const [berthId = '', ...rules] = (fields.text('berthAndRules') ?? '').split(' ');
      const reason = fields.text('overrideReason') ?? '';
      const operation = fields.text('kind') === 'move' ? 'moveStay' : 'assignStay';
      return placeAt(operation, input, fields, { berthId, overrides: rules.map((rule) => ({ rule, reason })) });
    },
    offer: (input, fields) => place('offerStay', input, fields),
    promise: (input, fields) => step('promiseStay', input, fields),
    arrive: (input, fields) => step('arriveStay', input, fields),
    depart: async (input, fields) => freed(input, await end('departStay', input, fields)),
    noShow: async (input, fields) => freed(input, await end('noShowStay', input, fields)),
    reschedule: async (input, fields) => {
      const { api, params } = input;
      // A day that was left as it was shown keeps its hour.
      const changed = (name: string) => (fields.text(name) === fields.text(`was/${name}`) ? null : fields.text(name));
      const body = { arrival: changed('newArrival'), departure: changed('newDeparture') };
      const asked = { params: { stayId: params.stayId }, version: versionOf(fields), body };
      return freed(input, (await api.ask('rescheduleStay', rescheduledWithFits, asked)).body.nowFits);
    },
    swap: async ({ api, params }, fields) => {
      await api.ask('swapStays', swappedSchema, { body: { stayIds: [params.stayId, fields.text('swapWith') ?? ''] } });
      return seeOther(stayPath(params));
    },
    state: async ({ api, view, params }, fields) => {
      const { body } = await api.ask('readStay', stayWithAssignmentsSchema, { params: { stayId: params.stayId } });
      const facts = factsOf(fields, body.boat, view, 'phone');
      if (Object.keys(facts).length > 0) {
        await api.ask('changeBoatFacts', boatSchema, { params: { boatId: body.boat.id }, body: facts });
      }
      return seeOther(stayPath(params));
    },
    release: async (input, fields) => {
      const asked = { params: { assignmentId: fields.text('assignmentId') ?? '' }, body: { at: null } };
      return freed(input, (await input.api.ask('releaseAssignment', releasedSchema, asked)).body.nowFits);
    },
    cancel: async (input, fields) => freed(input, await end('cancelStay', input, fields)),
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

/** Shows at once who fits what fell free; else the stay, as after any form. */
function freed(input: StayInput, nowFits: readonly WaitingStay[]): PageAnswer | Promise<PageAnswer> {
  const others = nowFits.filter(({ stay }) => stay.id !== input.params.stayId);
  if (others.length === 0) return seeOther(stayPath(input.params));
  const done = { action: null, fields: readFields(null), problem: null, key: randomUUID() };
  return showStay({ ...input, form: done }, others);
}

/** Stays that have a berth at the same time: those that it could change places with. */
async function othersOf(api: Api, stay: StayDocument): Promise<StayDocument[]> {
  const stays = await allStays(api, { from: stay.arrival, until: stay.departure });
  return stays.filter(
    ({ id: other, state }) => other !== stay.id && ['offered', 'promised', 'arrived'].includes(state),
  );
}

/** The page; `nowFits`: who fits what a form has just set free. */
async function showStay(input: StayInput, nowFits: readonly WaitingStay[]): Promise<PageAnswer> {
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
        <NowFits
          view={view}
          form={form}
          base={`/marinas/${params.marinaId}`}
          waiting={nowFits}
          mayOffer={action !== null}
        />
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
        {isOpen && action !== null && (
          <LifeForms
            view={view}
            form={form}
            stay={stay}
            others={held.length > 0 ? await othersOf(api, stay) : []}
            now={now}
          />
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
        {isOpen && action !== null && stay.state !== 'arrived' && (
          <Ending view={view} form={form} stay={stay} refusedBy={commonRefusals(options)} />
        )}
        {options !== null && <RefusedList view={view} options={options} />}
        <Cautions view={view} />
      </>
    ),
  };
}

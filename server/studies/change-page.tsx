import { z } from 'zod';
import type { Inventory } from '../../core/inventory/inventory.ts';
import { configurations } from '../../core/standards/configurations.ts';
import { Problem } from '../errors.ts';
import { id } from '../http/fields.ts';
import type { Api } from '../pages/api-door.ts';
import { definePage, seeOther } from '../pages/define-page.ts';
import type { Fields, FormState } from '../pages/fields.ts';
import { Do, Field, Form, FormProblem, Select } from '../pages/parts/form.tsx';
import { Table } from '../pages/parts/table.tsx';
import type { View } from '../pages/view.ts';
import { configurationText } from '../pages/words.ts';
import { studySchema } from './schema.ts';
import { studyReaders } from './studies-page.tsx';
import { numberOf } from './study-form.tsx';
import { itemWords } from './study-links.tsx';
import { baseOf, type StudyDocument } from './study-page.tsx';
import {
  type ChangeInput,
  presentItem,
  type ThingKindId,
  thingFields,
  thingKindIds,
  thingKinds,
  thingsOf,
} from './things.ts';

/** Stands for a change that is not there yet; no id of a change begins so. */
const newChange = '~new';
const thingQuery = {
  kind: z.enum(thingKindIds).optional(),
  ids: z.string().max(20_000).optional(),
};

/** One change of a study: what is done, its figures and who supplied them, and what it puts in place. */
export const changePage = definePage({
  url: '/marinas/:marinaId/studies/:studyId/changes/:changeId',
  roles: studyReaders,
  params: z.strictObject({ marinaId: id, studyId: id, changeId: id }),
  query: z.strictObject(thingQuery),
  show: async ({ api, view, params, query, form }) => {
    const { upgrades } = view.texts;
    const { body: study, version } = await api.ask('readStudy', studySchema, { params: { studyId: params.studyId } });
    const change = changeOf(study, params.changeId);
    const base = await baseOf(api, study.id);
    const mayWrite = api.allows('changeStudy');
    const path = `/marinas/${params.marinaId}/studies/${study.id}`;
    const title = change?.label ?? upgrades.newChange;
    const ids = idsIn(query.ids);
    const shown = { form, view, study, change, version, base };
    return {
      kind: 'page',
      section: 'studies',
      title,
      body: (
        <>
          <p>
            <a href={path}>{study.name}</a>
          </p>
          <h1>{title}</h1>
          <FormProblem form={form} view={view} />
          {query.kind !== undefined && ids.length > 0 && mayWrite && change !== null ? (
            <ThingForm {...shown} change={change} kind={query.kind} ids={ids} />
          ) : (
            <>
              {mayWrite && <ChangeForm {...shown} />}
              {change !== null && <Things {...shown} change={change} mayWrite={mayWrite} />}
            </>
          )}
        </>
      ),
    };
  },
  actions: {
    save: async ({ api, params }, fields) => {
      const study = await studyFor(api, params.studyId);
      const known = changeOf(study, params.changeId);
      const position = known === null ? study.changes.length : study.changes.indexOf(known);
      const text = (name: string) => fields.text(`changes/${position}/${name}`);
      const label = text('label') ?? '';
      const change = {
        id: known?.id ?? freeId(study, label),
        label,
        items: known?.items ?? [],
        cost: text('cost') ?? '',
        lifeYears: numberOf(text('lifeYears')),
        outOfServiceDays: numberOf(text('outOfServiceDays')),
        suppliedBy: text('suppliedBy') ?? '',
        requires: fields.all('requires').filter((each) => each !== ''),
      };
      await replaceChange(api, study, position, change, fields);
      return seeOther(`/marinas/${params.marinaId}/studies/${params.studyId}/changes/${change.id}`);
    },
    remove: async ({ api, params }, fields) => {
      const study = await studyFor(api, params.studyId);
      await writeChanges(
        api,
        study,
        study.changes.filter(({ id: changeId }) => changeId !== params.changeId),
        fields,
      );
      return seeOther(`/marinas/${params.marinaId}/studies/${params.studyId}`);
    },
    put: ({ api, params, query }, fields) =>
      putThings(api, params, query, fields, (base, change, kind, ids) => {
        const items = ids.map((itemId) => presentItem(base, change, thingKinds[kind].collection, itemId));
        return thingsOf(kind, ids, items, fields);
      }),
    takeAway: ({ api, params, query }, fields) =>
      putThings(api, params, query, fields, (_base, _change, kind, ids) =>
        ids.map((itemId) => ({ collection: thingKinds[kind].collection, id: itemId, item: null })),
      ),
    drop: async ({ api, params }, fields) => {
      const study = await studyFor(api, params.studyId);
      const change = knownChange(study, params.changeId);
      const dropped = fields.text('item');
      const items = change.items.filter(({ collection, id: itemId }) => `${collection}/${itemId}` !== dropped);
      await replaceChange(api, study, study.changes.indexOf(change), { ...change, items }, fields);
      return seeOther(`/marinas/${params.marinaId}/studies/${params.studyId}/changes/${params.changeId}`);
    },
  },
});

type Params = { readonly marinaId: string; readonly studyId: string; readonly changeId: string };
type MadeItem = { readonly collection: string; readonly id: string; readonly item: unknown };

async function putThings(
  api: Api,
  { marinaId, studyId, changeId }: Params,
  query: { readonly kind?: ThingKindId | undefined; readonly ids?: string | undefined },
  fields: Fields,
  make: (base: Inventory, change: ChangeInput, kind: ThingKindId, ids: readonly string[]) => readonly MadeItem[],
) {
  const study = await studyFor(api, studyId);
  const change = knownChange(study, changeId);
  if (query.kind === undefined) throw new Problem('invalid-input', 'Choose what to change first.');
  const made = make(await baseOf(api, studyId), change, query.kind, idsIn(query.ids));
  const keyOf = ({ collection, id: itemId }: { readonly collection: string; readonly id: string }) =>
    `${collection}/${itemId}`;
  const replaced = new Set(made.map(keyOf));
  const kept = change.items.filter((item) => !replaced.has(keyOf(item)));
  const position = study.changes.indexOf(change);
  try {
    await replaceChange(api, study, position, { ...change, items: [...kept, ...made] }, fields);
  } catch (error) {
    throw atFields(error, `/changes/${position}/items/`);
  }
  return seeOther(`/marinas/${marinaId}/studies/${studyId}/changes/${changeId}`);
}

/** Faults of the items as faults of the form's fields: the same field of several things is told once. */
function atFields(error: unknown, prefix: string): unknown {
  if (!(error instanceof Problem) || error.parts.errors === undefined) return error;
  const seen = new Map<string, NonNullable<Problem['parts']['errors']>[number]>();
  for (const fault of error.parts.errors) {
    const inner = fault.pointer.startsWith(prefix)
      ? /^\d+\/item\/(.+)$/.exec(fault.pointer.slice(prefix.length))
      : null;
    const pointer = inner === null ? fault.pointer : `/${inner[1]?.replace('/', '.')}`;
    seen.set(`${pointer} ${fault.message}`, { ...fault, pointer });
  }
  return new Problem(error.problem, error.message, { ...error.parts, errors: [...seen.values()] });
}

async function studyFor(api: Api, studyId: string): Promise<StudyDocument> {
  return (await api.ask('readStudy', studySchema, { params: { studyId } })).body;
}

function replaceChange(api: Api, study: StudyDocument, position: number, change: unknown, fields: Fields) {
  return writeChanges(api, study, Object.assign([...study.changes], { [position]: change }), fields);
}

async function writeChanges(api: Api, study: StudyDocument, changes: readonly unknown[], fields: Fields) {
  const { name, currency, edition, loan, obligations } = study;
  await api.ask('changeStudy', studySchema, {
    params: { studyId: study.id },
    body: { name, currency, edition, loan, changes, obligations },
    version: Number(fields.text('version')),
  });
}

function changeOf({ changes }: StudyDocument, changeId: string): ChangeInput | null {
  const change = changes.find((known) => known.id === changeId) ?? null;
  if (change === null && changeId !== newChange) throw new Problem('not-found', `There is no change "${changeId}".`);
  return change;
}

function knownChange(study: StudyDocument, changeId: string): ChangeInput {
  const change = changeOf(study, changeId);
  if (change === null) throw new Problem('not-found', 'Save the change first.');
  return change;
}

function idsIn(text: string | undefined): string[] {
  return [...new Set((text ?? '').split(/[\s,;]+/).filter((each) => each !== ''))];
}

/** A short id from what the change is called. */
function freeId({ changes }: StudyDocument, label: string): string {
  const words = label
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-')
    .replaceAll(/^-+|-+$/g, '')
    .slice(0, 40);
  const stem = words === '' ? 'change' : words;
  for (let n = 1; ; n++) {
    const tried = n === 1 ? stem : `${stem}-${n}`;
    if (!changes.some(({ id: taken }) => taken === tried)) return tried;
  }
}

interface Shown {
  readonly form: FormState;
  readonly view: View;
  readonly study: StudyDocument;
  readonly base: Inventory;
  readonly version: number | null;
}

function ChangeForm({ form, view, study, change, version }: Shown & { readonly change: ChangeInput | null }) {
  const { upgrades } = view.texts;
  const position = change === null ? study.changes.length : study.changes.indexOf(change);
  const name = (field: string) => `changes/${position}/${field}`;
  const others = study.changes.filter(({ id: other }) => other !== change?.id);
  const ticked = form.action === null ? (change?.requires ?? []) : form.fields.all('requires');
  return (
    <Form form={form} view={view} version={version} label={upgrades.change}>
      <Field form={form} name={name('label')} label={upgrades.changeLabel} value={change?.label ?? null} />
      <div class="side-by-side">
        <Field
          form={form}
          name={name('cost')}
          label={upgrades.costIn(study.currency)}
          inputMode="decimal"
          value={change?.cost ?? null}
        />
        <Field
          form={form}
          name={name('lifeYears')}
          label={upgrades.lifeField}
          inputMode="decimal"
          value={change === null ? '' : String(change.lifeYears)}
        />
        <Field
          form={form}
          name={name('outOfServiceDays')}
          label={upgrades.daysField}
          inputMode="decimal"
          value={change === null ? '' : String(change.outOfServiceDays)}
        />
      </div>
      <Field
        form={form}
        name={name('suppliedBy')}
        label={upgrades.suppliedByField}
        hint={upgrades.suppliedByHint}
        value={change?.suppliedBy ?? null}
      />
      {others.length > 0 && (
        <fieldset class="choice">
          <legend>{upgrades.requiresField}</legend>
          {others.map(({ id: other, label }) => (
            <label key={other}>
              <input type="checkbox" name="requires" value={other} checked={ticked.includes(other)} />
              {label}
            </label>
          ))}
        </fieldset>
      )}
      <p class="actions">
        <Do action="save">{upgrades.saveChange}</Do>
        {change !== null && (
          <Do action="remove" kind="second">
            {upgrades.removeChange}
          </Do>
        )}
      </p>
    </Form>
  );
}

interface ThingsProps extends Shown {
  readonly change: ChangeInput;
  readonly mayWrite: boolean;
}

function Things({ form, view, change, base, version, mayWrite }: ThingsProps) {
  const { upgrades } = view.texts;
  return (
    <>
      <h2>{upgrades.things}</h2>
      <Table
        caption={upgrades.things}
        rows={change.items}
        keyOf={({ collection, id: itemId }) => `${collection}/${itemId}`}
        empty={upgrades.noThings}
        columns={[
          {
            head: upgrades.thing,
            heads: true,
            cell: ({ collection, id: itemId }) =>
              mayWrite ? (
                <a href={`?kind=${kindOf(collection)}&ids=${encodeURIComponent(itemId)}`}>{itemId}</a>
              ) : (
                itemId
              ),
          },
          { head: upgrades.becomes, cell: (item) => itemWords(view, base, item) },
          ...(mayWrite
            ? [
                {
                  head: upgrades.dropThing,
                  cell: ({ collection, id: itemId }: ChangeInput['items'][number]) => (
                    <Form form={form} view={view} version={version}>
                      <input type="hidden" name="item" value={`${collection}/${itemId}`} />
                      <Do action="drop" kind="quiet">
                        {upgrades.dropThing}
                        <span class="hidden"> {itemId}</span>
                      </Do>
                    </Form>
                  ),
                },
              ]
            : []),
        ]}
      />
      {mayWrite && (
        <form class="inline-form" aria-label={upgrades.chooseThing}>
          <p class="field">
            <label for="f-kind">{upgrades.thingKind}</label>
            <select id="f-kind" name="kind">
              {thingKindIds.map((kind) => (
                <option key={kind} value={kind}>
                  {upgrades.thingKinds[kind]}
                </option>
              ))}
            </select>
          </p>
          <p class="field wider">
            <label for="f-ids">{upgrades.thingIds}</label>
            <span class="hint" id="f-ids-hint">
              {upgrades.thingIdsHint}
            </span>
            <input id="f-ids" name="ids" aria-describedby="f-ids-hint" autocomplete="off" list="known-ids" />
          </p>
          <datalist id="known-ids">
            {[...base.equipment, ...base.docks].map(({ id: itemId, label }) => (
              <option key={itemId} value={itemId}>
                {label}
              </option>
            ))}
          </datalist>
          <button type="submit" class="second">
            {upgrades.choose}
          </button>
        </form>
      )}
    </>
  );
}

/** The kind whose form shows everything of a list's things. */
function kindOf(collection: ChangeInput['items'][number]['collection']): ThingKindId {
  if (collection === 'equipment') return 'feeder';
  return thingKindIds.find((kind) => thingKinds[kind].collection === collection) ?? 'outlet';
}

interface ThingFormProps extends Shown {
  readonly change: ChangeInput;
  readonly kind: ThingKindId;
  readonly ids: readonly string[];
}

function ThingForm({ form, view, change, base, version, kind, ids }: ThingFormProps) {
  const { upgrades, common } = view.texts;
  const items = ids.map((itemId) => presentItem(base, change, thingKinds[kind].collection, itemId));
  return (
    <Form form={form} view={view} version={version} label={upgrades.thingKinds[kind]}>
      <h2 class="noun">
        {upgrades.thingKinds[kind]} {ids.join(', ')}
      </h2>
      <p class="lead">{upgrades.thingLead(ids.length)}</p>
      <div class="side-by-side">
        {thingFields(kind, items).map(({ name, shown, choices }) => {
          const label = upgrades.fields[name];
          const options: readonly (readonly [string, string])[] =
            name === 'configurationId'
              ? configurations.map((each) => [each.id, configurationText(each.id)])
              : choices.map((each) => [each, each]);
          return options.length > 0 ? (
            <Select
              key={name}
              form={form}
              name={name}
              label={label}
              value={shown}
              options={[['', common.unknown], ...options]}
            />
          ) : (
            <Field key={name} form={form} name={name} label={label} value={shown} />
          );
        })}
      </div>
      <p class="actions">
        <Do action="put">{upgrades.putInPlace}</Do>
        <Do action="takeAway" kind="second">
          {upgrades.takeAway}
        </Do>
      </p>
    </Form>
  );
}

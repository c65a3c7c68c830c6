import { z } from 'zod';
import { Problem } from '../errors.ts';
import type { Role } from '../http/access.ts';
import { definePage, json, type PageAnswer, type PageInput, seeOther } from '../pages/define-page.ts';
import type { Fields } from '../pages/fields.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { FindingList } from '../pages/parts/findings.tsx';
import { Choice, Do, Field } from '../pages/parts/form.tsx';
import { Empty, Table } from '../pages/parts/table.tsx';
import { collectionResources } from './collections.ts';
import { diagnosticsSchema } from './diagnostics-routes.ts';
import { writtenSchema } from './difference.ts';
import { importKinds, type PlacedFault, readImport } from './import-document.ts';
import { inventorySchema } from './schema.ts';

export const inventoryReaders: readonly Role[] = ['harbormaster', 'manager', 'viewer'];

type Written = z.output<typeof writtenSchema>;
type Input = PageInput<{ readonly marinaId: string }, { readonly stored?: string | undefined }, unknown>;

/** What a text that was brought in came to. */
interface Outcome {
  readonly faults: readonly PlacedFault[];
  readonly would: Written | null;
}

const nothing: Outcome = { faults: [], would: null };

/** The marina as data: what it has, what is doubtful about it, what is not assessed, and bringing it in. */
export const inventoryPage = definePage({
  url: '/marinas/:marinaId/inventory',
  roles: inventoryReaders,
  query: z.strictObject({ stored: z.string().max(10).optional() }),
  bodyLimit: 40 * 1024 * 1024,
  show: (input) => showInventory(input, nothing),
  actions: {
    check: (input, fields) => bringIn(input, fields, true),
    store: (input, fields) => bringIn(input, fields, false),
  },
});

/** The whole inventory as one document, to keep or to bring in elsewhere. */
export const inventoryDocumentPage = definePage({
  url: '/marinas/:marinaId/inventory/document',
  roles: inventoryReaders,
  show: async ({ api }) => json((await api.ask('readInventory', inventorySchema)).body),
});

async function bringIn(input: Input, fields: Fields, dryRun: boolean): Promise<PageAnswer> {
  const { api, params } = input;
  const { index, version } = await inventoryOf(api);
  const kind = importKinds.find((known) => known === fields.text('kind')) ?? 'json';
  const text = fields.all('file').find((file) => file.trim() !== '') ?? fields.all('text')[0] ?? '';
  try {
    const { document, placed } = readImport(text, kind, index.inventory);
    try {
      const asked = { query: { dryRun: String(dryRun) }, body: document, version };
      const { body } = await api.ask('putInventory', writtenSchema, asked);
      if (!dryRun) return seeOther(`/marinas/${params.marinaId}/inventory?stored=${body.inventoryRevision}`);
      return showInventory(input, { faults: [], would: body });
    } catch (error) {
      if (!(error instanceof Problem) || error.parts.errors === undefined) throw error;
      return showInventory(input, { faults: placed(error.parts.errors), would: null });
    }
  } catch (error) {
    // The text itself cannot be read: its fault names a line, not a field.
    if (!(error instanceof Problem) || error.parts.errors === undefined) throw error;
    const faults = error.parts.errors.map(({ pointer, message }) => ({
      line: Number(pointer.slice(1)),
      pointer: '',
      message,
    }));
    return showInventory(input, { faults, would: null });
  }
}

async function showInventory(input: Input, outcome: Outcome): Promise<PageAnswer> {
  const { api, view, query, params } = input;
  const { index } = await inventoryOf(api);
  const { body: diagnostics } = await api.ask('diagnoseInventory', diagnosticsSchema);
  const { manage } = view.texts;
  const base = `/marinas/${params.marinaId}/inventory`;
  return {
    kind: 'page',
    section: 'inventory',
    title: manage.inventory,
    body: (
      <>
        <h1>{manage.inventory}</h1>
        {query.stored !== undefined && (
          <p class="done" role="status">
            {manage.stored(query.stored)}
          </p>
        )}
        {(input.form.problem !== null || outcome.faults.length > 0 || outcome.would !== null) && (
          <Outcomes input={input} outcome={outcome} />
        )}
        <Table
          caption={manage.inventory}
          rows={collectionResources}
          keyOf={({ path }) => path}
          empty={manage.noEquipment}
          columns={[
            { head: manage.list, heads: true, cell: ({ path, nouns }) => <a href={`${base}/${path}`}>{nouns}</a> },
            { head: manage.count, figures: true, cell: ({ collection }) => index.inventory[collection].length },
          ]}
        />
        <p>
          <a href={`${base}/document`}>{manage.takeOut}</a>
        </p>
        {api.allows('putInventory') && <ImportForm {...input} />}
        <h2>
          {manage.notAssessed}: {diagnostics.notAssessed.length}
        </h2>
        <p class="lead">{manage.notAssessedLead}</p>
        {diagnostics.notAssessed.length === 0 ? (
          <Empty>{manage.allAssessed}</Empty>
        ) : (
          <FindingList view={view} findings={diagnostics.notAssessed} />
        )}
        <h2>{manage.checks}</h2>
        {diagnostics.checks
          .filter(({ findings }) => findings.length > 0)
          .map(({ name, looksFor, findings }) => (
            <details key={name}>
              <summary>
                {looksFor}: {manage.found(findings.length)}
              </summary>
              <FindingList view={view} findings={findings} />
            </details>
          ))}
        <details>
          <summary>{manage.nothingFound}</summary>
          <ul>
            {diagnostics.checks
              .filter(({ findings }) => findings.length === 0)
              .map(({ name, looksFor }) => (
                <li key={name}>{looksFor}</li>
              ))}
          </ul>
        </details>
        <h2>{manage.neverAssessed}</h2>
        <ul>
          {diagnostics.neverAssessed.map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      </>
    ),
  };
}

/** Every fault at its line, or what storing would change. */
function Outcomes({ input, outcome: { faults, would } }: { readonly input: Input; readonly outcome: Outcome }) {
  const { view, form } = input;
  const { manage } = view.texts;
  if (would !== null) {
    const lists = collectionResources.map(({ collection, nouns }) => ({ nouns, ...would[collection] }));
    return (
      <section class="done" role="status">
        <h2>{would.differs ? manage.wouldChange : manage.wouldChangeNothing}</h2>
        <ul>
          {lists
            .filter(({ added, changed, removed }) => added.length + changed.length + removed.length > 0)
            .map(({ nouns, added, changed, removed }) => (
              <li key={nouns}>{manage.difference(nouns, added.length, changed.length, removed.length)}</li>
            ))}
        </ul>
        <FindingList view={view} findings={would.findings} />
      </section>
    );
  }
  return (
    <section class="problem" role="alert">
      <h2>{faults.length > 0 ? manage.faults(faults.length) : form.problem?.message}</h2>
      <p>{manage.nothingStored}</p>
      {faults.length > 0 && (
        <Table
          caption={manage.faults(faults.length)}
          rows={faults}
          keyOf={({ line, pointer, message }) => `${line} ${pointer} ${message}`}
          empty=""
          columns={[
            { head: manage.line, heads: true, figures: true, cell: ({ line }) => line ?? '' },
            { head: manage.place, cell: ({ pointer }) => <code>{pointer}</code> },
            { head: manage.fault, cell: ({ message }) => message },
          ]}
        />
      )}
      {form.problem?.parts.findings && <FindingList view={view} findings={form.problem.parts.findings} />}
    </section>
  );
}

function ImportForm({ view, form }: Input) {
  const { manage } = view.texts;
  return (
    <details open={form.action !== null}>
      <summary>{manage.bringIn}</summary>
      <p class="lead">{manage.bringInLead}</p>
      <form method="post" encType="multipart/form-data" aria-label={manage.bringIn}>
        <Choice
          form={form}
          name="kind"
          label={manage.whatIsIt}
          value="json"
          options={importKinds.map((kind) => [kind, manage.importKinds[kind]])}
        />
        <p class="field">
          <label for="f-file">{manage.file}</label>
          <input id="f-file" type="file" name="file" accept=".json,.csv,.txt" />
        </p>
        <Field form={form} name="text" label={manage.orText} rows={10} />
        <p class="actions">
          <Do action="check" kind="second">
            {manage.checkOnly}
          </Do>
          <Do action="store">{manage.store}</Do>
        </p>
      </form>
      <p class="small">{manage.patternsHint}</p>
    </details>
  );
}

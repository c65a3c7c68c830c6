import { z } from 'zod';
import { configuration } from '../../core/standards/configurations.ts';
import { suppliesOf } from '../boats/supplies-as-said.ts';
import { id, marinaParams } from '../http/fields.ts';
import { localInstantAt, localMinute } from '../local-time.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import { definePage, definePublicPage, type PageAnswer, seeOther } from '../pages/define-page.ts';
import type { Fields } from '../pages/fields.ts';
import { Do, Form, FormProblem } from '../pages/parts/form.tsx';
import { readLength, type View } from '../pages/view.ts';
import { AnswerForm } from './answer-form.tsx';
import { madeLinkSchema } from './routes.ts';
import { type Sheet, sheetParams, sheetSchema } from './schema.ts';
import { SheetView } from './sheet-view.tsx';

const ofMarina = (view: View, { timeZone, marinaName }: Sheet): View => ({ ...view, timeZone, marinaName });

/** What a link alone gives access to. */
export const sheetPage = definePublicPage({
  url: '/sheets/:secret',
  params: sheetParams,
  query: z.strictObject({ taken: z.literal('1').optional() }),
  show: async ({ api, params, query, view, form }): Promise<PageAnswer> => {
    const { body: sheet } = await api.ask('readSheet', sheetSchema, { params });
    const own = ofMarina(view, sheet);
    const isToCome = ['requested', 'offered', 'promised'].includes(sheet.state);
    return {
      kind: 'page',
      title: own.texts.sheet.title(sheet.boatName),
      body: (
        <>
          {query.taken !== undefined && form.problem === null && <p role="status">{own.texts.sheet.taken}</p>}
          <SheetView sheet={sheet} view={own} />
          {isToCome && (
            <AnswerForm sheet={sheet} view={own} form={form} arrival={localMinute(sheet.arrival, sheet.timeZone)} />
          )}
        </>
      ),
    };
  },
  actions: {
    answer: async ({ api, params, view }, fields) => {
      const { body: sheet } = await api.ask('readSheet', sheetSchema, { params });
      const body = answersIn(fields, sheet, view);
      await api.ask('answerSheet', sheetSchema, { params, body });
      return seeOther(`/sheets/${params.secret}?taken=1`);
    },
  },
});

/** What the form says; a field that is left as it was says nothing. */
function answersIn(fields: Fields, sheet: Sheet, view: View) {
  const known = sheet.told.inlets.length > 0 ? sheet.told.inlets.map((inlet) => inlet.id) : ['I1'];
  const inlets = known.flatMap((inletId) => {
    const configurationId = fields.text(`inlet-${inletId}`);
    return configurationId === null ? [] : [{ id: inletId, configurationId }];
  });
  const said = fields.text('cord');
  const lengthM = said === null ? null : readLength(view, said);
  if (lengthM !== null && !(lengthM > 0)) throw invalid('/cord', 'Write a length: 50, or 15.2 m.');
  const plug = inlets[0]?.configurationId ?? sheet.told.inlets[0]?.configurationIds?.[0] ?? null;
  if (lengthM !== null && plug === null) throw invalid('/cord', 'Choose the plug of your inlet first.');
  const ratedA = plug === null ? null : (configuration(plug)?.ratedA ?? null);
  const adapters = fields.all('adapter').filter((kindId) => kindId !== '');
  const frequency = fields.text('frequency');
  const supplies = fields.text('ownSupplies');
  const arrival = fields.text('arrival');
  const isNewArrival = arrival !== null && arrival !== localMinute(sheet.arrival, sheet.timeZone);
  return {
    inlets,
    cordSets:
      lengthM === null || plug === null || ratedA === null ? null : [{ lengthM, configurationId: plug, ratedA }],
    adapterKindIds: adapters.length === 0 ? null : adapters,
    frequenciesHz: frequency === null ? null : frequency.split('+').map(Number),
    neutralBond: fields.text('neutralBond'),
    ownSupplies: supplies === null ? null : suppliesOf(supplies),
    arrival: isNewArrival ? instantOf(arrival, sheet.timeZone) : null,
  };
}

/** A date and time by the marina's clocks; what is none goes on as it came, for the API to refuse. */
function instantOf(text: string, timeZone: string): string {
  const [day = '', time = ''] = text.slice(0, 16).split('T');
  return /^\d{4}-\d{2}-\d{2}$/.test(day) && /^\d{2}:\d{2}$/.test(time) ? localInstantAt(day, time, timeZone) : text;
}

/** The same sheet for the people of the marina: to print, and to make its link. */
export const staySheetPage = definePage({
  url: '/marinas/:marinaId/stays/:stayId/sheet',
  roles: ['harbormaster', 'dockhand', 'manager', 'viewer'],
  params: z.strictObject({ ...marinaParams.shape, stayId: id }),
  show: async ({ api, params, view, form }) => {
    const { body: sheet } = await api.ask('readStaySheet', sheetSchema, { params });
    return staySheet(sheet, view, form, api.allows('makeSheetLink'), null);
  },
  actions: {
    link: async ({ api, params, view, form }) => {
      const { body } = await api.ask('makeSheetLink', madeLinkSchema, { params });
      return staySheet(body.sheet, view, form, true, body.path);
    },
    end: async ({ api, params }) => {
      await api.ask('endSheetLink', z.undefined(), { params });
      return seeOther(`/marinas/${params.marinaId}/stays/${params.stayId}/sheet`);
    },
  },
});

function staySheet(
  sheet: Sheet,
  view: View,
  form: Parameters<typeof FormProblem>[0]['form'],
  mayLink: boolean,
  path: string | null,
): PageAnswer {
  const texts = view.texts.sheet;
  return {
    kind: 'page',
    section: 'day',
    title: texts.title(sheet.boatName),
    body: (
      <>
        <FormProblem form={form} view={view} />
        {mayLink && (
          <Form form={form} view={view} class="inline-form no-print">
            <Do action="link">{sheet.issue === 0 ? texts.makeLink : texts.newLink}</Do>
            {sheet.issue > 0 && (
              <Do action="end" kind="second">
                {texts.endLink}
              </Do>
            )}
          </Form>
        )}
        {path !== null && (
          <p role="status" class="sheet-link">
            {texts.linkMade}
            <br />
            <a href={path}>{path}</a>
          </p>
        )}
        <SheetView sheet={sheet} view={view} />
      </>
    ),
  };
}

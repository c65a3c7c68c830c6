import { z } from 'zod';
import { readingNames } from '../../core/check-in/readings.ts';
import { checkInSettingsSchema } from '../check-ins/settings.ts';
import { settingsSchema } from '../inventory/schema.ts';
import { fieldLabels, readSchemaFields, SchemaFields } from '../inventory/schema-fields.tsx';
import { definePage, type PageInput, seeOther } from '../pages/define-page.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Do, Field, Form, FormProblem, Ticks } from '../pages/parts/form.tsx';

type CheckInSettings = z.output<typeof checkInSettingsSchema>;

/** What the marina sets: the readings of a check-in, what sheets say, and the limits by which berths are judged. */
export const settingsPage = definePage({
  url: '/marinas/:marinaId/settings',
  roles: ['manager'],
  query: z.strictObject({ saved: z.literal('1').optional() }),
  show: async (input) => {
    const { api, view, form, query, params } = input;
    const checkIns = await api.ask('readCheckInSettings', checkInSettingsSchema);
    const { index, version } = await inventoryOf(api);
    const { inventory, common } = view.texts;
    const labels = { ...inventory.fields, ...fieldLabels(view, settingsSchema) };
    return {
      kind: 'page',
      section: 'settings',
      title: inventory.settings,
      body: (
        <>
          <h1>{inventory.settings}</h1>
          <p class="lead">{inventory.settingsLead}</p>
          {query.saved && (
            <p class="done" role="status">
              {inventory.saved}
            </p>
          )}
          <FormProblem form={form} view={view} labels={labels} />
          <h2>{inventory.checkIns}</h2>
          <Form form={form} view={view} version={checkIns.version ?? 0} label={inventory.checkIns}>
            <CheckInFields view={view} form={form} settings={checkIns.body} />
            <Do action="checkIns">{common.save}</Do>
          </Form>
          <h2>{inventory.limits}</h2>
          <p class="lead">{inventory.limitsLead}</p>
          <Form form={form} view={view} version={version} label={inventory.limits}>
            <SchemaFields view={view} form={form} schema={settingsSchema} stored={{ ...index.inventory.settings }} />
            <Do action="limits">{common.save}</Do>
          </Form>
          <p>
            <a href={`/display?to=${encodeURIComponent(`/marinas/${params.marinaId}/settings`)}`}>
              {inventory.displayLink}
            </a>
          </p>
        </>
      ),
    };
  },
  actions: {
    checkIns: async ({ api, params }, fields) => {
      const body = {
        mandatoryReadings: fields.all('mandatoryReadings').filter((name) => name !== ''),
        contact: fields.text('contact'),
        price: fields.text('price') ?? '',
        terms: fields.text('terms') ?? '',
        afterHours: fields.text('afterHours') ?? '',
      };
      const asked = { body, version: Number(fields.text('version')) };
      await api.ask('replaceCheckInSettings', checkInSettingsSchema, asked);
      return seeOther(`/marinas/${params.marinaId}/settings?saved=1`);
    },
    limits: async ({ api, view, params }, fields) => {
      const { index } = await inventoryOf(api);
      const body = readSchemaFields(fields, view, settingsSchema, { ...index.inventory.settings });
      await api.ask('putSettings', settingsSchema, { body, version: Number(fields.text('version')) });
      return seeOther(`/marinas/${params.marinaId}/settings?saved=1`);
    },
  },
});

type CheckInFieldsProps = Pick<PageInput<unknown, unknown, unknown>, 'view' | 'form'> & {
  readonly settings: CheckInSettings;
};

function CheckInFields({ view, form, settings }: CheckInFieldsProps) {
  const { inventory } = view.texts;
  return (
    <>
      <Ticks
        form={form}
        name="mandatoryReadings"
        label={inventory.fields.mandatoryReadings}
        hint={inventory.mandatoryHint}
        ticked={settings.mandatoryReadings}
        options={readingNames.map((name) => [name, inventory.readings[name]])}
      />
      <div class="side-by-side">
        <Field
          form={form}
          name="contact"
          label={inventory.fields.contact}
          hint={inventory.contactHint}
          value={settings.contact}
        />
        <Field
          form={form}
          name="price"
          label={inventory.fields.price}
          hint={inventory.priceHint}
          value={settings.price}
          rows={3}
        />
        <Field
          form={form}
          name="terms"
          label={inventory.fields.terms}
          hint={inventory.termsHint}
          value={settings.terms}
          rows={3}
        />
        <Field
          form={form}
          name="afterHours"
          label={inventory.fields.afterHours}
          hint={inventory.afterHoursHint}
          value={settings.afterHours}
          rows={3}
        />
      </div>
    </>
  );
}

import { adapterKinds } from '../../core/standards/adapter-kinds.ts';
import { configurations } from '../../core/standards/configurations.ts';
import type { FormState } from '../pages/fields.ts';
import { ContactPattern } from '../pages/parts/contact-pattern.tsx';
import { Choice, Do, Field, Form, FormProblem, Select } from '../pages/parts/form.tsx';
import { spoken, type View } from '../pages/view.ts';
import type { Sheet } from './schema.ts';

interface AnswerFormProps {
  readonly sheet: Sheet;
  readonly view: View;
  readonly form: FormState;
  /** `YYYY-MM-DDThh:mm` by the marina's clocks. */
  readonly arrival: string;
}

type Plug = (typeof configurations)[number];

/** Plugs of the families that the marina has, in sight; those that a boat from elsewhere may have, behind a tap. */
function plugsFor({ frequencyHz, families }: Sheet['told']): { readonly usual: Plug[]; readonly others: Plug[] } {
  const plugs = configurations.filter(({ shorePower, labelV }) => shorePower && labelV !== '480');
  const isUsual = ({ family, frequencyHz: of }: Plug) =>
    (families.length === 0 || families.includes(family)) && (frequencyHz === null || of.includes(frequencyHz));
  return { usual: plugs.filter(isUsual), others: plugs.filter((plug) => !isUsual(plug)) };
}

/** What a boater can answer: the plug from drawings, cord, adapters, frequency, supplies aboard, time of arrival. */
export function AnswerForm({ sheet, view, form, arrival }: AnswerFormProps) {
  const { sheet: texts, common } = view.texts;
  const { inlets } = sheet.told;
  const known = inlets.length > 0 ? inlets : [{ id: 'I1', configurationIds: null }];
  const { usual, others } = plugsFor(sheet.told);
  return (
    <section class="no-print">
      <h2>{texts.answers}</h2>
      <p class="lead">{texts.answersLead}</p>
      {sheet.questions.length > 0 && (
        <ul>
          {sheet.questions.map(({ question }) => (
            <li key={question}>{spoken(view, question)}</li>
          ))}
        </ul>
      )}
      <FormProblem form={form} view={view} />
      <Form form={form} view={view}>
        {known.map(({ id, configurationIds }) => {
          const sole = configurationIds?.length === 1 ? configurationIds[0] : null;
          const chosen = form.action === null ? sole : form.fields.text(`inlet-${id}`);
          return (
            <fieldset key={id} class="tiles">
              <legend>{texts.inlet(id)}</legend>
              {usual.map((plug) => (
                <PlugTile key={plug.id} inletId={id} plug={plug} chosen={chosen} />
              ))}
              <label class="tile">
                <input type="radio" name={`inlet-${id}`} value="" checked={chosen == null} />
                <span>{texts.noneOfThese}</span>
              </label>
              {others.length > 0 && (
                <details open={others.some(({ id: plug }) => plug === chosen)}>
                  <summary>{texts.otherPlugs}</summary>
                  <div class="tiles">
                    {others.map((plug) => (
                      <PlugTile key={plug.id} inletId={id} plug={plug} chosen={chosen} />
                    ))}
                  </div>
                </details>
              )}
            </fieldset>
          );
        })}
        <div class="side-by-side">
          <Field
            form={form}
            name="cord"
            label={view.lengths === 'feet' ? texts.cordHave : texts.cordHaveMetres}
            inputMode="decimal"
          />
          <Field form={form} name="arrival" label={texts.arrival} type="datetime-local" value={arrival} />
        </div>
        <Choice
          form={form}
          name="frequency"
          label={texts.frequency}
          value=""
          options={[
            ['60', '60 Hz'],
            ['50', '50 Hz'],
            ['50+60', '50 / 60 Hz'],
            ['', texts.noneOfThese],
          ]}
        />
        <div class="side-by-side">
          <Select
            form={form}
            name="ownSupplies"
            label={texts.ownSupplies}
            value=""
            options={[['', texts.noneOfThese], ...Object.entries(common.ownSupplies)]}
          />
          <Select
            form={form}
            name="neutralBond"
            label={texts.neutralBond}
            value=""
            options={[['', texts.noneOfThese], ...Object.entries(common.neutralBonds)]}
          />
        </div>
        <details>
          <summary>{texts.adaptersHave}</summary>
          <fieldset class="tiles">
            <legend class="hidden">{texts.adaptersHave}</legend>
            {adapterKinds.map(({ id, name }) => (
              <label key={id} class="tile">
                <input
                  type="checkbox"
                  name="adapter"
                  value={id}
                  checked={form.action !== null && form.fields.all('adapter').includes(id)}
                />
                <span>{name}</span>
              </label>
            ))}
          </fieldset>
        </details>
        <p class="actions">
          <Do action="answer">{texts.send}</Do>
        </p>
      </Form>
    </section>
  );
}

interface PlugTileProps {
  readonly inletId: string;
  readonly plug: Plug;
  readonly chosen: string | null | undefined;
}

function PlugTile({ inletId, plug: { id, name }, chosen }: PlugTileProps) {
  return (
    <label class="tile">
      <input type="radio" name={`inlet-${inletId}`} value={id} checked={id === chosen} />
      <ContactPattern configurationId={id} size={80} />
      <span>
        <strong class="designation">{id}</strong>
        <br />
        {name}
      </span>
    </label>
  );
}

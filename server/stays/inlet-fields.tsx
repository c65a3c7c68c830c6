import { configurations } from '../../core/standards/configurations.ts';
import type { BoatDocument } from '../boats/schema.ts';
import type { FormState } from '../pages/fields.ts';
import { Choice, Field, Select } from '../pages/parts/form.tsx';
import { lengthField, type View } from '../pages/view.ts';
import { configurationText } from '../pages/words.ts';
import { nextInletId } from './fact-form.ts';
import { originHint, Was, yesNo } from './fact-parts.tsx';

interface FactProps {
  readonly view: View;
  readonly form: FormState;
}

/** The plug of an inlet that nobody has told of yet. */
export function NewInlet({ view, form, boat }: FactProps & { readonly boat: BoatDocument }) {
  const id = nextInletId(boat.inlets.map((inlet) => inlet.id));
  return (
    <Select
      form={form}
      name={`inlets/${id}/configurationIds`}
      label={view.texts.desk.plugOf(id)}
      value=""
      options={[['', view.texts.desk.notSaid], ...shorePower()]}
    />
  );
}

type Inlet = BoatDocument['inlets'][number];

/** The field for one fact of an inlet; null where there is none for it. */
export function inletField({ view, form, inlet, name }: FactProps & { readonly inlet: Inlet; readonly name: string }) {
  const { desk } = view.texts;
  const field = `inlets/${inlet.id}/${name}`;
  const fact = inlet[name as keyof Inlet];
  const origin = typeof fact === 'object' ? fact : null;
  if (name === 'configurationIds') {
    const said = inlet.configurationIds?.value ?? [];
    // Several: what was said fits all of them, so none of them is stated yet.
    const value = said.length === 1 ? (said[0] ?? '') : '';
    const options = said.length > 1 ? said.map((id) => [id, configurationText(id)] as const) : shorePower();
    const label = desk.plugOf(inlet.id);
    return (
      <>
        <Was name={field} value={value} />
        {said.length > 1 ? (
          <Choice form={form} name={field} label={label} value={value} options={options} />
        ) : (
          <Select form={form} name={field} label={label} value={value} options={[['', desk.notSaid], ...options]} />
        )}
      </>
    );
  }
  if (name === 'fromBowM') {
    const value = lengthField(view, inlet.fromBowM?.value ?? null);
    return (
      <>
        <Was name={field} value={value} />
        <Field
          form={form}
          name={field}
          label={desk.fromBowOf(inlet.id)}
          hint={originHint(view, origin)}
          value={value}
        />
      </>
    );
  }
  if (name === 'side') {
    const value = inlet.side?.value ?? '';
    const options = Object.entries(desk.sides);
    return (
      <>
        <Was name={field} value={value} />
        <Choice form={form} name={field} label={desk.sideOf(inlet.id)} value={value} options={options} />
      </>
    );
  }
  if (name === 'duty') {
    const value = inlet.duty?.value ?? '';
    return (
      <>
        <Was name={field} value={value} />
        <Choice
          form={form}
          name={field}
          label={desk.dutyOf(inlet.id)}
          value={value}
          options={Object.entries(desk.duties)}
        />
      </>
    );
  }
  if (name === 'needsLineToLine') {
    const value = yesNo(inlet.needsLineToLine?.value);
    return (
      <>
        <Was name={field} value={value} />
        <Choice
          form={form}
          name={field}
          label={desk.lineToLineOf(inlet.id)}
          value={value}
          options={[
            ['yes', desk.yes],
            ['no', desk.no],
          ]}
        />
      </>
    );
  }
  return null;
}

function shorePower(): (readonly [string, string])[] {
  return configurations.filter((known) => known.shorePower).map(({ id }) => [id, configurationText(id)]);
}

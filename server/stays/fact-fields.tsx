import { configuration } from '../../core/standards/configurations.ts';
import type { BoatDocument } from '../boats/schema.ts';
import { supplyChoice } from '../boats/supplies-as-said.ts';
import type { FormState } from '../pages/fields.ts';
import { Choice, Field, Select } from '../pages/parts/form.tsx';
import { lengthField, lengthText, type View } from '../pages/view.ts';
import { configurationText } from '../pages/words.ts';
import { originHint, Was, yesNo } from './fact-parts.tsx';
import { inletField, NewInlet } from './inlet-fields.tsx';

interface FactProps {
  readonly view: View;
  readonly form: FormState;
  readonly boat: BoatDocument;
}

interface AskedProps extends FactProps {
  /** Path of the fact in the boat's document: `inlets.0.configurationIds`. */
  readonly fact: string;
  readonly usualCordLengthsM: readonly number[];
}

/** The one field that answers a question; null where the page has none for it. */
export function factField({ fact, usualCordLengthsM, ...props }: AskedProps) {
  const { view, form, boat } = props;
  const { desk } = view.texts;
  if (fact === 'lengthOverallM') return <LengthFact {...props} name="lengthOverallM" label={desk.length} />;
  if (fact === 'beamM') return <LengthFact {...props} name="beamM" label={desk.beam} />;
  if (fact === 'draftM') return <LengthFact {...props} name="draftM" label={desk.draft} />;
  if (fact === 'hull') return <HullFact {...props} />;
  if (fact === 'wantsPower' || fact === 'airConditioning') return <YesNoFact {...props} name={fact} />;
  if (fact === 'frequenciesHz') return <FrequencyFact {...props} />;
  if (fact === 'neutralBond') return <NeutralBondFact {...props} />;
  if (fact === 'ownSupplies') return <OwnSuppliesFact {...props} />;
  if (fact === 'cordSets') return <CordsFact {...props} usualCordLengthsM={usualCordLengthsM} />;
  if (fact === 'inlets') return <NewInlet {...props} />;
  const [, place, name] = /^inlets\.(\d+)\.(\w+)$/.exec(fact) ?? [];
  const inlet = boat.inlets[Number(place)];
  if (inlet === undefined || name === undefined) return null;
  return inletField({ view, form, inlet, name });
}

function LengthFact({
  view,
  form,
  boat,
  name,
  label,
}: FactProps & { readonly name: 'lengthOverallM' | 'beamM' | 'draftM'; readonly label: string }) {
  const value = lengthField(view, boat[name]?.value ?? null);
  return (
    <>
      <Was name={name} value={value} />
      <Field form={form} name={name} label={label} hint={originHint(view, boat[name])} value={value} />
    </>
  );
}

function HullFact({ view, form, boat }: FactProps) {
  const { desk } = view.texts;
  return (
    <>
      <Was name="hull" value={boat.hull?.value ?? ''} />
      <Choice
        form={form}
        name="hull"
        label={desk.hull}
        value={boat.hull?.value ?? ''}
        options={[
          ['monohull', desk.hulls.monohull],
          ['multihull', desk.hulls.multihull],
        ]}
      />
    </>
  );
}

function YesNoFact({ view, form, boat, name }: FactProps & { readonly name: 'wantsPower' | 'airConditioning' }) {
  const { desk } = view.texts;
  const value = yesNo(boat[name]?.value);
  return (
    <>
      <Was name={name} value={value} />
      <Choice
        form={form}
        name={name}
        label={name === 'wantsPower' ? desk.wantsPower : desk.airConditioning}
        value={value}
        options={[
          ['yes', desk.yes],
          ['no', desk.no],
        ]}
      />
    </>
  );
}

function FrequencyFact({ view, form, boat }: FactProps) {
  const { desk } = view.texts;
  const value = boat.frequenciesHz?.value.join('+') ?? '';
  return (
    <>
      <Was name="frequency" value={value} />
      <Choice
        form={form}
        name="frequency"
        label={desk.frequency}
        value={value}
        options={[
          ['60', '60 Hz'],
          ['50', '50 Hz'],
          ['50+60', desk.bothFrequencies],
        ]}
      />
    </>
  );
}

function NeutralBondFact({ view, form, boat }: FactProps) {
  const { common, desk } = view.texts;
  const value = boat.neutralBond?.value ?? '';
  return (
    <>
      <Was name="neutralBond" value={value} />
      <Select
        form={form}
        name="neutralBond"
        label={desk.neutralBond}
        value={value}
        options={[['', desk.notSaid], ...Object.entries(common.neutralBonds)]}
      />
    </>
  );
}

function OwnSuppliesFact({ view, form, boat }: FactProps) {
  const { common, desk } = view.texts;
  const value = supplyChoice(boat.ownSupplies?.value ?? null);
  return (
    <>
      <Was name="ownSupplies" value={value} />
      <Select
        form={form}
        name="ownSupplies"
        label={desk.ownSupplies}
        value={value}
        options={[['', desk.notSaid], ...Object.entries(common.ownSupplies)]}
      />
    </>
  );
}

/** Cords that people own: of each inlet's configuration, in the usual lengths. */
function CordsFact({ view, boat, usualCordLengthsM }: FactProps & { readonly usualCordLengthsM: readonly number[] }) {
  const { desk } = view.texts;
  const wanted = [...new Set(boat.inlets.flatMap(({ configurationIds }) => configurationIds?.value ?? []))];
  const kinds = (wanted.length > 0 ? wanted : ['L5-30', 'SS2-50']).flatMap((id) => configuration(id) ?? []);
  return (
    <fieldset class="choice">
      <legend>{desk.cords}</legend>
      {kinds.flatMap(({ id, ratedA }) =>
        usualCordLengthsM.map((lengthM) => (
          <label key={`${id} ${lengthM}`}>
            <input type="checkbox" name="cords" value={`${id} ${lengthM} ${ratedA}`} />
            {configurationText(id)}, {lengthText(view, lengthM)}
          </label>
        )),
      )}
      <label>
        <input type="checkbox" name="cords" value="none" />
        {desk.noCords}
      </label>
    </fieldset>
  );
}

const ownFacts = [
  'lengthOverallM',
  'beamM',
  'draftM',
  'hull',
  'wantsPower',
  'airConditioning',
  'frequenciesHz',
  'ownSupplies',
  'neutralBond',
];

/** Everything that can be said of a boat on the phone. */
export function BoatFactFields(props: FactProps & { readonly usualCordLengthsM: readonly number[] }) {
  const { view, form, boat, usualCordLengthsM } = props;
  return (
    <>
      <div class="side-by-side">
        {ownFacts.map((fact) => (
          <div key={fact}>{factField({ view, form, boat, fact, usualCordLengthsM })}</div>
        ))}
      </div>
      {boat.inlets.map((inlet) => (
        <div key={inlet.id} class="side-by-side ruled">
          {['configurationIds', 'fromBowM', 'side', 'duty', 'needsLineToLine'].map((name) => (
            <div key={name}>{inletField({ view, form, inlet, name })}</div>
          ))}
        </div>
      ))}
      <div class="side-by-side ruled">
        <NewInlet {...props} />
        <CordsFact {...props} />
      </div>
    </>
  );
}

import { useState } from 'preact/hooks';
import { type Dock, shiftBase, texts } from './context.ts';
import { numberOf } from './draft.ts';

const titles = {
  outletFault: texts.outletFault,
  wrongBerth: texts.wrongBerth,
  trip: texts.trip,
  hotContact: texts.hotContact,
} as const;

/** What is found at the dock beside a check-in: against an outlet and a boat, or a boat where it should not lie. */
export function Report({ dock, kind }: { readonly dock: Dock; readonly kind: string }) {
  const [berthId, setBerthId] = useState('');
  const [outletId, setOutletId] = useState('');
  const [stayId, setStayId] = useState('');
  const [boatName, setBoatName] = useState('');
  const [fromM, setFromM] = useState('');
  const [untilM, setUntilM] = useState('');
  const [note, setNote] = useState('');
  if (!(kind in titles)) return null;
  const title = titles[kind as keyof typeof titles];
  const isWrongBerth = kind === 'wrongBerth';
  const berth = dock.shift.berths.find(({ id }) => id === berthId);
  const outlets = [
    ...new Map(dock.shift.berths.flatMap((each) => each.outlets).map((each) => [each.id, each])).values(),
  ];
  const isWhole = isWrongBerth ? berth !== undefined && (stayId !== '' || boatName.trim() !== '') : outletId !== '';
  const store = () => {
    const common = { kind, at: new Date(dock.now).toISOString(), shift: shiftBase(dock.shift), note };
    const named = stayId === '' ? null : stayId;
    const outlet = outlets.find(({ id }) => id === outletId)?.label ?? '';
    if (!isWrongBerth) {
      dock.enter(named, `${title}: ${outlet}`, { ...common, outletId, stayId: named });
      return;
    }
    const metres = berth?.isFace ? { fromM: metresOf(dock, fromM), untilM: metresOf(dock, untilM) } : {};
    dock.enter(named, `${title}: ${berth?.label ?? ''}`, {
      ...common,
      berthId,
      ...metres,
      stayId: named,
      boatName: named === null ? boatName.trim() : null,
      outletIds: null,
    });
  };
  return (
    <section class="check-in-sheet">
      <p>
        <a href="#list">{texts.back}</a>
      </p>
      <h2>{title}</h2>
      {isWrongBerth ? (
        <Choose
          id="berth"
          label={texts.chooseBerth}
          value={berthId}
          onChange={setBerthId}
          options={dock.shift.berths}
          empty={texts.choose}
        />
      ) : (
        <Choose
          id="outlet"
          label={texts.chooseOutlet}
          value={outletId}
          onChange={setOutletId}
          options={outlets}
          empty={texts.choose}
        />
      )}
      {berth?.isFace && (
        <fieldset class="metres">
          <legend>
            {texts.metres} ({dock.lengths === 'feet' ? 'ft' : 'm'})
          </legend>
          <input
            aria-label={`${texts.metres} 1`}
            inputMode="decimal"
            value={fromM}
            onInput={({ currentTarget }) => setFromM(currentTarget.value)}
          />
          <input
            aria-label={`${texts.metres} 2`}
            inputMode="decimal"
            value={untilM}
            onInput={({ currentTarget }) => setUntilM(currentTarget.value)}
          />
        </fieldset>
      )}
      <Choose
        id="boat"
        label={texts.boat}
        value={stayId}
        onChange={setStayId}
        options={dock.shift.stays.map(({ stayId: id, boat }) => ({ id, label: boat.name }))}
        empty={isWrongBerth ? texts.otherBoat : texts.nobodyKnows}
      />
      {isWrongBerth && stayId === '' && (
        <p class="field">
          <label for="boat-name">{texts.otherBoat}</label>
          <input
            id="boat-name"
            value={boatName}
            maxLength={80}
            onInput={({ currentTarget }) => setBoatName(currentTarget.value)}
          />
        </p>
      )}
      <p class="field">
        <label for="note">{texts.note}</label>
        <input id="note" value={note} maxLength={200} onInput={({ currentTarget }) => setNote(currentTarget.value)} />
      </p>
      <div class="big-actions">
        <button type="button" onClick={store} disabled={!isWhole}>
          {texts.store}
        </button>
      </div>
    </section>
  );
}

function metresOf({ lengths }: Dock, text: string): number | null {
  const value = numberOf(text);
  return value === null ? null : lengths === 'feet' ? Math.round(value * 304.8) / 1000 : value;
}

interface ChooseProps {
  readonly id: string;
  readonly label: string;
  readonly value: string;
  readonly onChange: (value: string) => void;
  readonly options: readonly { readonly id: string; readonly label: string }[];
  readonly empty: string;
}

/** One of many, by the phone's own wheel. */
export function Choose({ id, label, value, onChange, options, empty }: ChooseProps) {
  return (
    <p class="field">
      <label for={id}>{label}</label>
      <select id={id} value={value} onChange={({ currentTarget }) => onChange(currentTarget.value)}>
        <option value="">{empty}</option>
        {options.map((option) => (
          <option key={option.id} value={option.id}>
            {option.label}
          </option>
        ))}
      </select>
    </p>
  );
}

import { useState } from 'preact/hooks';
import { judgeCheckIn } from '../../../../core/check-in/judge-check-in.ts';
import { connectSteps, type Step } from '../../../../core/check-in/steps.ts';
import type { ShiftStay } from '../../../check-ins/shift-document.ts';
import { HookUpDrawing } from '../../parts/hook-up-drawing.tsx';
import { type Dock, shiftBase, texts } from './context.ts';
import { type Draft, entryOf, firstDraft } from './draft.ts';
import type { Entering } from './entering.ts';
import { factsOf, kindsOf, outletsOf } from './facts.ts';
import { Fittings } from './fittings.tsx';
import { Readings } from './readings.tsx';
import { ReallyThere } from './really-there.tsx';
import { Verdict } from './verdict.tsx';

/** One check-in: what is really there, the hook-up as it then is, the steps in order, the verdict, always up to date. */
export function CheckIn({ dock, stay }: { readonly dock: Dock; readonly stay: ShiftStay }) {
  const [draft, setDraft] = useState<Draft>(() => dock.store.draft<Draft>(stay.stayId) ?? firstDraft(dock.shift, stay));
  const change = (part: Partial<Draft>) => {
    const next = { ...draft, ...part };
    setDraft(next);
    dock.store.keepDraft(stay.stayId, next);
  };
  const entering: Entering = { dock, stay, draft, change };
  const entry = entryOf(dock.shift, stay, draft, dock.now);
  const judged = judgeCheckIn(factsOf(dock.shift, stay), entry);
  const store = (energised: boolean) => {
    const { at, ...seen } = entry;
    dock.enter(stay.stayId, `${texts.title}: ${stay.boat.name}`, {
      kind: 'checkIn',
      at: new Date(at).toISOString(),
      shift: shiftBase(dock.shift),
      stayId: stay.stayId,
      berthId: stay.place?.berthId ?? '',
      ...seen,
      loadsOn: draft.loadsOn,
      energised,
      phoneOutcome: judged.outcome,
      note: draft.note,
    });
  };
  const before = connectSteps.filter(({ task }) => task === 'act' || task === 'confirm').slice(0, 5);
  const after = connectSteps.slice(connectSteps.findIndex(({ id }) => id === 'outletBreakerOn'));
  return (
    <section class="check-in-sheet">
      <p>
        <a href="#list">{texts.back}</a>
      </p>
      <Head entering={entering} />
      {stay.place === null ? (
        <p class="fault">{texts.noBerth}</p>
      ) : (
        <>
          <ReallyThere {...entering} />
          <h3>{texts.drawing}</h3>
          {judged.hookUp !== null && judged.hookUp.hookUp.joints.length > 0 ? (
            <Drawing entering={entering} hookUp={judged.hookUp.hookUp} />
          ) : (
            <p class="empty">{texts.noHookUp}</p>
          )}
          <StepTitle step={connectSteps[0]} />
          <Readings {...entering} areLive={false} />
          <StepTitle step={connectSteps[1]} />
          <Fittings {...entering} />
          <Steps steps={before} from={3} />
          <Verdict dock={dock} judged={judged} />
          <Steps steps={after.filter(({ id }) => id !== 'shutDown')} from={3 + before.length} />
          <Readings {...entering} areLive />
          <p class="refusal-step">{connectSteps.at(-1)?.text}</p>
          <Store {...entering} judged={judged} onStore={store} />
        </>
      )}
    </section>
  );
}

function Head({ entering: { stay, dock } }: { readonly entering: Entering }) {
  const { boat, place, contactName, contactPhone, note, departure } = stay;
  return (
    <>
      <h2>{boat.name}</h2>
      <p>
        {place === null ? texts.noBerth : `${texts.berth(place.berthLabel)}, ${texts.sides[place.orientation]}`}
        {place !== null && place.sideTo !== null && `, ${texts.sideTo[place.sideTo]}`} ·{' '}
        {texts.leaves(dock.time(departure))}
        <br />
        {contactName}{' '}
        {contactPhone !== null && <a href={`tel:${contactPhone.replaceAll(/[^\d+]/g, '')}`}>{contactPhone}</a>}
      </p>
      {note !== '' && <p class="lead">{note}</p>}
    </>
  );
}

function Drawing({
  entering: { dock, stay },
  hookUp,
}: {
  readonly entering: Entering;
  readonly hookUp: Parameters<typeof HookUpDrawing>[0]['hookUp'];
}) {
  const kinds = kindsOf(dock.shift);
  const outlets = new Map(outletsOf(dock.shift, stay).map((outlet) => [outlet.id, outlet]));
  return (
    <HookUpDrawing
      hookUp={hookUp}
      label={texts.drawing}
      outletWords={(id) => {
        const outlet = outlets.get(id);
        return outlet === undefined ? id : `${outlet.label} · ${outlet.configurationId} · ${outlet.breakerA ?? '?'} A`;
      }}
      adapterWords={(id) => kinds.get(id)?.name ?? id}
      inletWords={(id, configurationId) => `${stay.boat.name}, ${id} · ${configurationId}`}
    />
  );
}

function StepTitle({ step }: { readonly step: Step | undefined }) {
  if (step === undefined) return null;
  const number = connectSteps.indexOf(step) + 1;
  return (
    <h3>
      {number}. {step.text}
    </h3>
  );
}

function Steps({ steps, from }: { readonly steps: readonly Step[]; readonly from: number }) {
  return (
    <ol class="steps" start={from}>
      {steps.map(({ id, text }) => (
        <li key={id}>{text}</li>
      ))}
    </ol>
  );
}

interface StoreProps extends Entering {
  readonly judged: ReturnType<typeof judgeCheckIn>;
  readonly onStore: (energised: boolean) => void;
}

function Store({ draft, change, judged, onStore }: StoreProps) {
  return (
    <>
      <h3>{texts.store}</h3>
      <fieldset class="tiles">
        <legend>{texts.isOn}</legend>
        {([true, false] as const).map((value) => (
          <label key={String(value)} class="tile">
            <input
              type="radio"
              name="energised"
              checked={draft.energised === value}
              onChange={() => change({ energised: value })}
            />
            <span>{value ? texts.on : texts.off}</span>
          </label>
        ))}
      </fieldset>
      <p class="field">
        <label for="held">{texts.holdBecause}</label>
        <input
          id="held"
          value={draft.heldBecause}
          maxLength={200}
          onInput={({ currentTarget }) => change({ heldBecause: currentTarget.value })}
        />
      </p>
      <p class="field">
        <label for="note">{texts.note}</label>
        <input
          id="note"
          value={draft.note}
          maxLength={500}
          onInput={({ currentTarget }) => change({ note: currentTarget.value })}
        />
      </p>
      <div class="big-actions">
        <button type="button" disabled={draft.energised === null} onClick={() => onStore(draft.energised === true)}>
          {texts.storeCheckIn}: {texts.outcomes[judged.outcome]}
        </button>
      </div>
    </>
  );
}

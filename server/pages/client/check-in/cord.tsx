import { texts } from './context.ts';
import { type CordDraft, numberOf } from './draft.ts';
import type { Entering } from './entering.ts';
import { plugOptions, plugs } from './plugs.ts';
import { Choose } from './report.tsx';

const metresPerFoot = 0.3048;

interface CordProps extends Entering {
  readonly cord: CordDraft;
  readonly position: number;
}

/** A cord set as it really is: the plug at the boat's end, length, marked amperes. */
export function Cord({ dock, draft, change, cord, position }: CordProps) {
  const put = (part: Partial<CordDraft>) =>
    change({ cords: draft.cords.map((each, at) => (at === position ? { ...each, ...part } : each)) });
  const inFeet = dock.lengths === 'feet';
  const length = inFeet ? cord.lengthM / metresPerFoot : cord.lengthM;
  return (
    <fieldset class="cord">
      <legend>
        {texts.cord} {draft.cords.length > 1 && position + 1}
      </legend>
      <Choose
        id={`cord-${position}`}
        label={texts.cordOf}
        value={cord.configurationId}
        empty={texts.choose}
        options={plugOptions}
        onChange={(configurationId) => {
          const ratedA = plugs.find(({ id }) => id === configurationId)?.ratedA ?? cord.ratedA;
          put({ configurationId, ratedA });
        }}
      />
      <p class="field">
        <label for={`length-${position}`}>
          {texts.cordLength}, {inFeet ? 'ft' : 'm'}
        </label>
        <input
          key={`length ${cord.configurationId}`}
          id={`length-${position}`}
          inputMode="decimal"
          defaultValue={String(Math.round(length * 10) / 10)}
          onInput={({ currentTarget }) => {
            const value = numberOf(currentTarget.value);
            if (value !== null && value > 0) put({ lengthM: inFeet ? Math.round(value * 304.8) / 1000 : value });
          }}
        />
      </p>
      <p class="field">
        <label for={`amperes-${position}`}>{texts.cordAmperes}</label>
        <input
          key={`amperes ${cord.configurationId}`}
          id={`amperes-${position}`}
          inputMode="decimal"
          defaultValue={String(cord.ratedA)}
          onInput={({ currentTarget }) => {
            const value = numberOf(currentTarget.value);
            if (value !== null && value > 0) put({ ratedA: value });
          }}
        />
      </p>
    </fieldset>
  );
}

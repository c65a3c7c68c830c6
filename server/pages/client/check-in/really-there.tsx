import type { InletAsFound } from '../../../../core/check-in/as-found.ts';
import type { ShiftAdapter } from '../../../check-ins/shift-document.ts';
import { ContactPattern } from '../../parts/contact-pattern.tsx';
import { texts } from './context.ts';
import { Cord } from './cord.tsx';
import { cordFor } from './draft.ts';
import type { Entering } from './entering.ts';
import { boatOf, kindsOf, outletsOf } from './facts.ts';
import { LookedAt } from './looked-at.tsx';
import { plugOptions } from './plugs.ts';
import { Choose } from './report.tsx';

/** Outlet, adapter, inlet and cord as they really are; what was told is filled in. */
export function ReallyThere(entering: Entering) {
  return (
    <>
      <h3>{texts.reallyThere}</h3>
      <Outlets {...entering} />
      <Adapters {...entering} />
      {entering.draft.inlets.map((inlet, position) => (
        <InletPlug key={inlet.id} {...entering} inlet={inlet} position={position} />
      ))}
      {entering.draft.cords.map((cord, position) => (
        <Cord key={position} {...entering} cord={cord} position={position} />
      ))}
      <LookedAt {...entering} />
    </>
  );
}

function Outlets({ dock, stay, draft, change }: Entering) {
  const kept = stay.place?.keptOutletIds ?? [];
  return (
    <fieldset class="tiles">
      <legend>{texts.outlet}</legend>
      {outletsOf(dock.shift, stay).map(({ id, label, configurationId, breakerA }) => (
        <label key={id} class="tile">
          <input
            type="checkbox"
            checked={draft.outletIds.includes(id)}
            onChange={({ currentTarget }) =>
              change({
                outletIds: currentTarget.checked
                  ? [...draft.outletIds, id]
                  : draft.outletIds.filter((each) => each !== id),
              })
            }
          />
          <ContactPattern configurationId={configurationId} size={56} />
          <span>
            <strong>{label}</strong> {configurationId}, {breakerA ?? '?'} A
            <br />
            <span class="small">{kept.includes(id) ? texts.keptFor : texts.notKept}</span>
          </span>
        </label>
      ))}
    </fieldset>
  );
}

function Adapters({ dock, stay, draft, change }: Entering) {
  const kinds = kindsOf(dock.shift);
  const told = boatOf(stay).adapterKindIds?.value ?? [];
  const aboard = [...new Set([...told, ...draft.adapters.flatMap((a) => (a.from === 'aboard' ? [a.kindId] : []))])];
  const choices: { adapter: ShiftAdapter; label: string; words: string }[] = [
    ...aboard.map((kindId) => ({
      adapter: { kindId, from: 'aboard' as const, stockId: null },
      label: kinds.get(kindId)?.name ?? kindId,
      words: texts.aboard,
    })),
    ...dock.shift.stock.map(({ id, label, adapterKindId, free, reservedFor }) => ({
      adapter: { kindId: adapterKindId, from: 'stock' as const, stockId: id },
      label,
      words: `${texts.lent}, ${reservedFor.some(({ stayId }) => stayId === stay.stayId) ? texts.reservedForIt : texts.freePieces(free)}`,
    })),
  ];
  const isSame = (a: ShiftAdapter, b: ShiftAdapter) =>
    a.from === b.from && a.kindId === b.kindId && a.stockId === b.stockId;
  const others = [...kinds.values()].filter(({ id }) => !aboard.includes(id));
  return (
    <fieldset class="tiles">
      <legend>{texts.adapter}</legend>
      {choices.map(({ adapter, label, words }) => (
        <label key={`${adapter.from} ${adapter.kindId} ${adapter.stockId ?? ''}`} class="tile">
          <input
            type="checkbox"
            checked={draft.adapters.some((each) => isSame(each, adapter))}
            onChange={({ currentTarget }) =>
              change({
                adapters: currentTarget.checked
                  ? [...draft.adapters, adapter]
                  : draft.adapters.filter((each) => !isSame(each, adapter)),
              })
            }
          />
          <span>
            <strong>{label}</strong>
            <br />
            <span class="small">{words}</span>
          </span>
        </label>
      ))}
      <Choose
        id="other-adapter"
        label={texts.otherAboard}
        value=""
        empty={texts.noAdapter}
        options={others.map(({ id, name }) => ({ id, label: name }))}
        onChange={(kindId) => {
          if (kindId !== '') change({ adapters: [...draft.adapters, { kindId, from: 'aboard', stockId: null }] });
        }}
      />
    </fieldset>
  );
}

interface InletPlugProps extends Entering {
  readonly inlet: InletAsFound;
  readonly position: number;
}

function InletPlug({ stay, draft, change, inlet, position }: InletPlugProps) {
  const choose = (configurationId: string) => {
    const chosen = configurationId === '' ? null : configurationId;
    const inlets = draft.inlets.map((each) => (each.id === inlet.id ? { ...each, configurationId: chosen } : each));
    const cords = draft.cords.filter((_, at) => at !== position);
    // A cord set has its inlet's configuration (common practice); another one is entered as it is, and judged.
    if (chosen !== null) cords.splice(position, 0, cordFor(stay, chosen));
    change({ inlets, cords });
  };
  return (
    <div class="with-drawing">
      <Choose
        id={`inlet-${inlet.id}`}
        label={texts.inlet(inlet.id)}
        value={inlet.configurationId ?? ''}
        empty={texts.choose}
        options={plugOptions}
        onChange={choose}
      />
      {inlet.configurationId !== null && <ContactPattern configurationId={inlet.configurationId} size={72} />}
    </div>
  );
}

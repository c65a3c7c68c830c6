import type { InletAsFound, OutletAsFound } from '../../../../core/check-in/as-found.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import { configurations } from '../../../../core/standards/configurations.ts';
import { supplySystem } from '../../../../core/standards/supply-systems.ts';
import { suppliesOf, supplyChoice } from '../../../boats/supplies-as-said.ts';
import type { ShiftAdapter } from '../../../check-ins/shift-document.ts';
import { ContactPattern } from '../../parts/contact-pattern.tsx';
import { common, texts } from './context.ts';
import { type CordDraft, cordFor, numberOf } from './draft.ts';
import type { Entering } from './entering.ts';
import { boatOf, kindsOf, outletsOf } from './facts.ts';
import { Choose } from './report.tsx';

const metresPerFoot = 0.3048;
const bonds = ['none', 'ownSupply', 'always'] as const;
const plugs = configurations.filter(({ shorePower }) => shorePower);
const plugOptions = plugs.map(({ id, name }) => ({ id, label: `${id} · ${name}` }));

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

interface CordProps extends Entering {
  readonly cord: CordDraft;
  readonly position: number;
}

function Cord({ dock, draft, change, cord, position }: CordProps) {
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

/** What is asked only where nobody has stated it, or where somebody has looked and it differs. */
function LookedAt({ dock, stay, draft, change }: Entering) {
  const boat = boatOf(stay);
  const used = outletsOf(dock.shift, stay).filter(({ id }) => draft.outletIds.includes(id));
  const putInlet = (id: string, part: Partial<InletAsFound>) =>
    change({ inlets: draft.inlets.map((each) => (each.id === id ? { ...each, ...part } : each)) });
  const putOutlet = (outletId: string, part: Partial<OutletAsFound>) => {
    const before = draft.outlets.find((each) => each.outletId === outletId);
    const unseen: OutletAsFound = { outletId, lines: null, breakerA: null, groundFault: null };
    change({
      outlets: [...draft.outlets.filter((each) => each !== before), { ...(before ?? unseen), ...part }],
    });
  };
  const isOpen =
    [boat.frequenciesHz, boat.neutralBond, boat.ownSupplies].some(
      (fact) => (fact?.origin ?? 'default') === 'default',
    ) ||
    boat.inlets.some(({ mainBreakerA, needsLineToLine }) => mainBreakerA === null || needsLineToLine === null) ||
    used.some(
      ({ lines, breakerA, groundFault }) => lines === null || breakerA === null || groundFault.device === 'unknown',
    );
  return (
    <details open={isOpen}>
      <summary>{texts.looked}</summary>
      <Choose
        id="frequency"
        label={texts.frequency}
        value={draft.frequenciesHz?.join('+') ?? ''}
        empty={texts.asTold}
        options={[
          { id: '60', label: '60 Hz' },
          { id: '50', label: '50 Hz' },
          { id: '50+60', label: '50 / 60 Hz' },
        ]}
        onChange={(value) => change({ frequenciesHz: value === '' ? null : value.split('+').map(Number) })}
      />
      <Choose
        id="supplies"
        label={texts.ownSupplies}
        value={supplyChoice(draft.ownSupplies)}
        empty={texts.asTold}
        options={Object.entries(common.ownSupplies).map(([id, label]) => ({ id, label }))}
        onChange={(value) => change({ ownSupplies: value === '' ? null : suppliesOf(value) })}
      />
      <Choose
        id="bond"
        label={texts.neutralBond}
        value={draft.neutralBond ?? ''}
        empty={texts.asTold}
        options={bonds.map((id) => ({ id, label: common.neutralBonds[id] }))}
        onChange={(value) => change({ neutralBond: bonds.find((bond) => bond === value) ?? null })}
      />
      {draft.inlets.map(({ id, mainBreakerA, needsLineToLine }) => (
        <div key={id}>
          <p class="field">
            <label for={`main-${id}`}>
              {texts.mainBreaker} ({id})
            </label>
            <input
              id={`main-${id}`}
              inputMode="decimal"
              placeholder={texts.asTold}
              defaultValue={mainBreakerA === null ? '' : String(mainBreakerA)}
              onInput={({ currentTarget }) => putInlet(id, { mainBreakerA: numberOf(currentTarget.value) || null })}
            />
          </p>
          <Choose
            id={`both-${id}`}
            label={`${texts.needsBothLines} (${id})`}
            value={needsLineToLine === null ? '' : String(needsLineToLine)}
            empty={texts.asTold}
            options={[
              { id: 'false', label: texts.no },
              { id: 'true', label: texts.yes },
            ]}
            onChange={(value) => putInlet(id, { needsLineToLine: value === '' ? null : value === 'true' })}
          />
        </div>
      ))}
      {used.map(({ id, label, configurationId, systemId }) => {
        const seen = draft.outlets.find(({ outletId }) => outletId === id);
        return (
          <fieldset key={id}>
            <legend>
              {texts.outlet} {label}
            </legend>
            <Choose
              id={`lines-${id}`}
              label={texts.linesSeen}
              value={seen?.lines?.join(',') ?? ''}
              empty={texts.asTold}
              options={lineChoices(configurationId, systemId).map((lines) => ({ id: lines, label: lines }))}
              // The choices are made of the names of lines.
              onChange={(value) => putOutlet(id, { lines: value === '' ? null : (value.split(',') as LineName[]) })}
            />
            <Choose
              id={`device-${id}`}
              label={texts.deviceSeen}
              value={seen?.groundFault?.device ?? ''}
              empty={texts.asTold}
              options={(['fitted', 'none', 'unknown'] as const).map((device) => ({
                id: device,
                label: texts.device[device],
              }))}
              onChange={(value) => {
                const device = (['fitted', 'none', 'unknown'] as const).find((each) => each === value);
                const settingMa = device === 'fitted' ? 30 : null;
                putOutlet(id, { groundFault: device === undefined ? null : { device, settingMa } });
              }}
            />
            <p class="field">
              <label for={`breaker-${id}`}>{texts.breakerSeen}</label>
              <input
                id={`breaker-${id}`}
                inputMode="decimal"
                placeholder={texts.asTold}
                defaultValue={seen?.breakerA ? String(seen.breakerA) : ''}
                onInput={({ currentTarget }) => putOutlet(id, { breakerA: numberOf(currentTarget.value) || null })}
              />
            </p>
          </fieldset>
        );
      })}
    </details>
  );
}

/** Which lines can stand on the contacts of an outlet of this pattern. */
function lineChoices(configurationId: string, systemId: string | null): string[] {
  const contacts =
    configurations.find(({ id }) => id === configurationId)?.terminals.filter((t) => t.startsWith('L')) ?? [];
  const names = (systemId === null ? null : supplySystem(systemId))?.lines.map(({ name }) => name) ?? [
    'L1',
    'L2',
    'L3',
  ];
  let choices: string[][] = [[]];
  for (const _ of contacts) choices = choices.flatMap((lines) => names.map((name) => [...lines, name]));
  return choices.map((lines) => lines.join(','));
}

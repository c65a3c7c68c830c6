import type { InletAsFound, OutletAsFound } from '../../../../core/check-in/as-found.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import { configurations } from '../../../../core/standards/configurations.ts';
import { supplySystem } from '../../../../core/standards/supply-systems.ts';
import { suppliesOf, supplyChoice } from '../../../boats/supplies-as-said.ts';
import { common, texts } from './context.ts';
import { numberOf } from './draft.ts';
import type { Entering } from './entering.ts';
import { boatOf, outletsOf } from './facts.ts';
import { Choose } from './report.tsx';

const bonds = ['none', 'ownSupply', 'always'] as const;

/** What is asked only where nobody has stated it, or where somebody has looked and it differs. */
export function LookedAt({ dock, stay, draft, change }: Entering) {
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

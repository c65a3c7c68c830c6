import type { z } from 'zod';
import { isOverridable } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { optionSchema, optionsSchema } from '../berth-options/schema.ts';
import type { FormState } from '../pages/fields.ts';
import { FindingList, VerdictMark } from '../pages/parts/findings.tsx';
import { Do, Field, Form, Select } from '../pages/parts/form.tsx';
import { Empty } from '../pages/parts/table.tsx';
import { lengthText, spoken, type View } from '../pages/view.ts';
import { hookUpLines, outletText, tightestText } from '../pages/words.ts';

type Options = z.output<typeof optionsSchema>;
type Option = z.output<typeof optionSchema>;

interface OptionsProps {
  readonly view: View;
  readonly form: FormState;
  readonly index: InventoryIndex;
  readonly options: Options;
  /** Version of the stay. */
  readonly version: number;
  /** `assign`, or `move` where the stay has a berth; null: whoever looks may not. */
  readonly action: 'assign' | 'move' | null;
}

/** Berths that could take the stay, best first, each with its reasons. */
export function OptionList({ options, ...rest }: OptionsProps) {
  if (options.options.length === 0) return <Empty>{rest.view.texts.desk.noOptions}</Empty>;
  return (
    <ol class="options">
      {options.options.map((option, position) => (
        <OptionItem key={option.berthId} option={option} isBest={position === 0} {...rest} />
      ))}
    </ol>
  );
}

type ItemProps = Omit<OptionsProps, 'options'> & { readonly option: Option; readonly isBest: boolean };

function OptionItem({ view, form, index, version, action, option, isBest }: ItemProps) {
  const { desk } = view.texts;
  const { label, berthId, verdict, findings, tightest, outletIds } = option;
  const act = action === 'move' ? desk.moveTo(label) : desk.hold(label);
  return (
    <li class="option">
      <div class="option-head">
        <h3>
          {label} {isBest && <span class="tag">{desk.best}</span>}
        </h3>
        <VerdictMark view={view} verdict={verdict} />
        {action !== null && (
          <Form form={form} view={view} version={version} class="option-act">
            <input type="hidden" name="berthId" value={berthId} />
            <input type="hidden" name="orientation" value={option.orientation} />
            {option.place !== null && (
              <>
                <input type="hidden" name="fromM" value={String(option.place.fromM)} />
                <input type="hidden" name="untilM" value={String(option.place.untilM)} />
              </>
            )}
            <button type="submit" name="do" value={action} class={isBest ? undefined : 'second'} autofocus={isBest}>
              {act}
            </button>
            {action === 'assign' && (
              <Do action="offer" kind="quiet">
                {desk.offerOnly}
              </Do>
            )}
          </Form>
        )}
      </div>
      <PlaceFacts view={view} index={index} option={option} />
      {tightest === null ? (
        outletIds.length > 0 && (
          <p class="small">
            {desk.tightest}: {desk.notAssessed}
          </p>
        )
      ) : (
        <p class="small">
          {desk.tightest}: {tightestText(view, tightest)}
        </p>
      )}
      <details>
        <summary>
          {desk.reasons}: {findings.length}
        </summary>
        <FindingList view={view} findings={findings} />
        <p class="small">
          {desk.rankedBy}:{' '}
          {option.score.map(({ name, value, unit }) => `${name} ${Number(value.toFixed(2))} ${unit}`).join('; ')}
        </p>
      </details>
    </li>
  );
}

/** Which way round, and what joins boat and dock. */
export function PlaceFacts({
  view,
  index,
  option,
}: {
  readonly view: View;
  readonly index: InventoryIndex;
  readonly option: Pick<Option, 'orientation' | 'place' | 'connection' | 'outletIds' | 'cords'>;
}) {
  const { desk } = view.texts;
  const { orientation, place, connection, outletIds, cords } = option;
  const lines = connection === null ? [] : hookUpLines(index, view, connection.hookUp, cords);
  return (
    <ul class="plain">
      <li>
        {desk[orientation]}
        {place !== null && `, ${desk.metresFromTo(lengthText(view, place.fromM), lengthText(view, place.untilM))}`}
      </li>
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
      {lines.length === 0 && (
        <li>
          {outletIds.length === 0 ? desk.noPower : desk.kept(outletIds.map((id) => outletText(index, id)).join('; '))}
        </li>
      )}
    </ul>
  );
}

/** Refused berths, folded by the rule that refuses them. */
export function RefusedList({ view, options }: Pick<OptionsProps, 'view' | 'options'>) {
  const { desk } = view.texts;
  const count = options.all.filter(({ verdict }) => verdict === 'refused').length;
  if (count === 0) return null;
  const byRule = new Map<string, Option[]>();
  for (const option of options.refused) {
    for (const rule of new Set(refusals(option).map(({ rule: own }) => own))) {
      byRule.set(rule, [...(byRule.get(rule) ?? []), option]);
    }
  }
  const rules = [...byRule].sort((a, b) => b[1].length - a[1].length);
  return (
    <section>
      <h2>{desk.refused(count)}</h2>
      {options.nearMisses.length > 0 && (
        <>
          <h3>{desk.nearMisses}</h3>
          <dl class="facts">
            {options.nearMisses.map(({ berthId, label, mends }) => (
              <div key={berthId} class="fact">
                <dt>{label}</dt>
                <dd>{mends.map((mend) => spoken(view, mend)).join('; ')}</dd>
              </div>
            ))}
          </dl>
        </>
      )}
      <p class="lead">{desk.refusedLead(options.refused.length, count)}</p>
      {rules.map(([rule, berths]) => (
        <details key={rule}>
          <summary>{desk.refusedBy(rule, berths.length)}</summary>
          <ul class="plain">
            {berths.map((option) => (
              <li key={option.berthId}>
                <strong>{option.label}</strong>{' '}
                {refusals(option)
                  .filter((finding) => finding.rule === rule)
                  .map(({ message }) => spoken(view, message))
                  .join(' ')}
              </li>
            ))}
          </ul>
        </details>
      ))}
    </section>
  );
}

/** A refused berth whose refusals are all of room: somebody may know better, and says why. */
export function OverrideForm({ view, form, options, version, action }: Omit<OptionsProps, 'index'>) {
  const { desk } = view.texts;
  const mendable = options.refused.filter((option) => refusals(option).every(isOverridable));
  if (action === null) return null;
  return (
    <details class="override" open={form.action === 'override'}>
      <summary>{desk.holdAnyway}</summary>
      <p class="lead">{desk.holdAnywayLead}</p>
      {mendable.length === 0 ? (
        <Empty>{desk.noOverride}</Empty>
      ) : (
        <Form form={form} view={view} version={version} label={desk.holdAnyway}>
          <input type="hidden" name="kind" value={action} />
          <div class="side-by-side">
            <Select
              form={form}
              name="berthAndRules"
              label={desk.berth}
              options={mendable.map((option) => {
                const rules = [...new Set(refusals(option).map(({ rule }) => rule))];
                return [`${option.berthId} ${rules.join(' ')}`, `${option.label}: ${rules.join(', ')}`];
              })}
            />
            <Field form={form} name="overrideReason" label={desk.reason} />
          </div>
          <Do action="override" kind="second">
            {desk.override}
          </Do>
        </Form>
      )}
    </details>
  );
}

function refusals({ findings }: Option) {
  return findings.filter(({ level }) => level === 'refuse');
}

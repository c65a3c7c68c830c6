import { ShareBar } from '../pages/parts/share-bar.tsx';
import { Table } from '../pages/parts/table.tsx';
import { spoken, type View } from '../pages/view.ts';
import { type PartStanding, StandingText, tightestOf } from './standing-text.tsx';
import type { Comparison } from './study-page.tsx';

type Side = Comparison['before'];
type Finding = Comparison['mended'][number];

interface SidesProps {
  readonly view: View;
  readonly comparison: Comparison;
  /** Of the marina's pages. */
  readonly marina: string;
  readonly changedBy: ReadonlyMap<string, { readonly id: string; readonly label: string }>;
}

/** A part leads to the change that puts it in place, else to what the inventory has of it. */
function PartLink({
  id,
  label,
  marina,
  changedBy,
}: Pick<SidesProps, 'marina' | 'changedBy'> & { readonly id: string; readonly label: string }) {
  const change = changedBy.get(`equipment/${id}`);
  return <a href={change === undefined ? `${marina}/inventory/equipment/${id}` : `#change-${change.id}`}>{label}</a>;
}

function both<T extends { readonly equipmentId: string; readonly label: string }>(was: readonly T[], is: readonly T[]) {
  const before = new Map(was.map((each) => [each.equipmentId, each]));
  const after = new Map(is.map((each) => [each.equipmentId, each]));
  const ids = [...new Set([...before.keys(), ...after.keys()])];
  return ids.map((id) => {
    const [first, second] = [before.get(id), after.get(id)];
    return { id, label: second?.label ?? first?.label ?? id, was: first, is: second };
  });
}

/** Each part's demand against the limit with the least left: figures and bars, both sides. */
export function LimitsTable({ view, comparison: { before, after }, ...links }: SidesProps) {
  const { upgrades } = view.texts;
  const cell = (part: PartStanding | undefined) => {
    if (part === undefined) return upgrades.gone;
    const share = tightestOf(part)?.share;
    return (
      <>
        <StandingText view={view} part={part} />
        {share !== undefined && <ShareBar share={share} />}
      </>
    );
  };
  return (
    <Table
      caption={upgrades.limits}
      rows={both(before.parts, after.parts)}
      keyOf={({ id }) => id}
      empty={upgrades.noParts}
      columns={[
        { head: upgrades.part, heads: true, cell: ({ id, label }) => <PartLink id={id} label={label} {...links} /> },
        { head: upgrades.before, cell: ({ was }) => cell(was) },
        { head: upgrades.after, cell: ({ is }) => cell(is) },
      ]}
    />
  );
}

/** Breaker and conductor that each demand takes, for those that have a conductor. */
export function SizesTable({ view, comparison: { before, after }, ...links }: SidesProps) {
  const { upgrades } = view.texts;
  const isSized = ({ deviceNeededA, conductorNeeded }: PartStanding) =>
    deviceNeededA !== null || conductorNeeded !== null;
  const cell = (part: PartStanding | undefined) => {
    if (part === undefined) return upgrades.gone;
    const { deviceNeededA, conductorNeeded: size } = part;
    const device = deviceNeededA === null ? upgrades.noDevice : upgrades.breakerOf(deviceNeededA);
    if (size === null) return `${device}; ${upgrades.noSize}`;
    return `${device}; ${size.parallelSets > 1 ? `${size.parallelSets} × ` : ''}${size.size} ${size.sizeUnit}`;
  };
  return (
    <Table
      caption={upgrades.sizes}
      rows={both(before.parts.filter(isSized), after.parts.filter(isSized))}
      keyOf={({ id }) => id}
      empty={upgrades.noSizes}
      columns={[
        { head: upgrades.part, heads: true, cell: ({ id, label }) => <PartLink id={id} label={label} {...links} /> },
        { head: upgrades.before, cell: ({ was }) => cell(was) },
        { head: upgrades.after, cell: ({ is }) => cell(is) },
      ]}
    />
  );
}

const shownVolts = 10;

/** The outlets with the least volts on either side. All of them are in the CSV. */
export function VoltsTable({ view, comparison: { before, after }, marina }: SidesProps) {
  const { upgrades, manage } = view.texts;
  type Volts = Side['volts'][number];
  const shareOf = (volts: Volts | undefined) =>
    volts === undefined || volts.voltageV === null || volts.nominalV === null ? null : volts.voltageV / volts.nominalV;
  const was = new Map(before.volts.map((each) => [each.outletId, each]));
  const rows = after.volts
    .map((is) => ({ is, was: was.get(is.outletId) }))
    .sort((a, b) => lowest(a.was, a.is) - lowest(b.was, b.is))
    .slice(0, shownVolts);
  function lowest(...sides: readonly (Volts | undefined)[]): number {
    return Math.min(...sides.map((side) => shareOf(side) ?? 2));
  }
  const cell = (volts: Volts | undefined) => {
    if (volts === undefined) return upgrades.gone;
    const share = shareOf(volts);
    if (share === null) return upgrades.voltsUnknown;
    const figure = upgrades.voltsAt(volts.between ?? '', (volts.voltageV ?? 0).toFixed(1), (share * 100).toFixed(1));
    return volts.assessment === 'assessed' ? figure : `${figure}; ${manage.assessments[volts.assessment]}`;
  };
  return (
    <Table
      caption={upgrades.volts}
      rows={rows}
      keyOf={({ is }) => is.outletId}
      empty={upgrades.noVolts}
      columns={[
        {
          head: upgrades.outlet,
          heads: true,
          cell: ({ is }) => <a href={`${marina}/inventory/outlets/${is.outletId}`}>{is.outletId}</a>,
        },
        { head: upgrades.before, cell: (row) => cell(row.was) },
        { head: upgrades.after, cell: ({ is }) => cell(is) },
      ]}
    />
  );
}

/** Each ground-fault device with a usual boat on every outlet below it. */
export function LeakageTable({ view, comparison: { before, after }, ...links }: SidesProps) {
  const { upgrades } = view.texts;
  const cell = (device: Side['leakage'][number] | undefined) => {
    if (device === undefined) return upgrades.noDeviceThere;
    const { expectedMa, settingMa, boats, assessment } = device;
    const words = upgrades.leakageOf(boats, expectedMa, settingMa === null ? null : String(settingMa));
    return (
      <>
        {words} <strong>{upgrades.leakageAssessments[assessment]}</strong>
      </>
    );
  };
  return (
    <Table
      caption={upgrades.leakage}
      rows={both(before.leakage, after.leakage)}
      keyOf={({ id }) => id}
      empty={upgrades.noLeakage}
      columns={[
        { head: upgrades.device, heads: true, cell: ({ id, label }) => <PartLink id={id} label={label} {...links} /> },
        { head: upgrades.before, cell: ({ was }) => cell(was) },
        { head: upgrades.after, cell: ({ is }) => cell(is) },
      ]}
    />
  );
}

const namedSubjects = 6;

/** Findings alike are told once: how grave, what is wrong, of which things, by which source. */
export function FindingGroups({
  view,
  findings,
  none,
}: {
  readonly view: View;
  readonly findings: readonly Finding[];
  readonly none: string;
}) {
  const { upgrades, common } = view.texts;
  const groups = new Map<string, Finding[]>();
  for (const finding of findings) {
    const key = `${finding.level} ${finding.rule}`;
    groups.set(key, [...(groups.get(key) ?? []), finding]);
  }
  if (groups.size === 0) return <p class="empty">{none}</p>;
  return (
    <ul class="findings">
      {[...groups].map(([key, [first, ...others]]) => {
        if (first === undefined) return null;
        const labels = [first, ...others].map(({ subject }) => subject.label);
        return (
          <li key={key} class={`finding ${first.level}`}>
            <p>
              <strong class="level">{common.levels[first.level]}</strong> {spoken(view, first.message)}
            </p>
            {others.length > 0 && (
              <p>
                {upgrades.alike(labels.length)}: {labels.slice(0, namedSubjects).join(', ')}
                {labels.length > namedSubjects && upgrades.andMore(labels.length - namedSubjects)}
              </p>
            )}
            <p class="small">
              <code>{first.rule}</code> · {first.source}
            </p>
          </li>
        );
      })}
    </ul>
  );
}

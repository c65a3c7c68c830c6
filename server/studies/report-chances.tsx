import { z } from 'zod';
import { partsOfDay } from '../../core/upgrades/probability/duty-cycles.ts';
import { Problem } from '../errors.ts';
import type { Api } from '../pages/api-door.ts';
import { Empty, Table } from '../pages/parts/table.tsx';
import type { View } from '../pages/view.ts';
import { studyProbabilitySchema } from '../probability/routes.ts';
import { partOfDay, season } from '../probability/schema.ts';

type StudyChances = z.output<typeof studyProbabilitySchema>;
type PartChances = NonNullable<StudyChances['before']>;

export const chancesQuery = {
  part: z.string().min(1).max(100).optional(),
  season: season.optional(),
  partOfDay: partOfDay.optional(),
};

export interface AskedChances {
  readonly part: string;
  readonly season: z.output<typeof season>;
  readonly partOfDay: z.output<typeof partOfDay>;
  readonly chosen: string | undefined;
}

/** The chances of one part before and after; the Problem where they cannot be reckoned. */
export async function chancesOf(api: Api, studyId: string, asked: AskedChances): Promise<StudyChances | Problem> {
  const { part: equipmentId, ...hour } = asked;
  try {
    const query = { equipmentId, ...hour, boats: 'everyOutlet' };
    return (await api.ask('readStudyProbability', studyProbabilitySchema, { params: { studyId }, query })).body;
  } catch (error) {
    // A part that is not there, or a sum too fine: the report stands without this section.
    if (error instanceof Problem && error.status < 500) return error;
    throw error;
  }
}

interface ChancesProps {
  readonly view: View;
  readonly asked: AskedChances;
  readonly chances: StudyChances | Problem;
  readonly parts: readonly { readonly equipmentId: string; readonly label: string }[];
}

/** How likely each limit is passed in a chosen hour, beside what the demand factor says. */
export function Chances({ view, asked, chances, parts }: ChancesProps) {
  const { upgrades } = view.texts;
  return (
    <>
      <p class="lead">
        {upgrades.chancesLead(upgrades.hourSeasons[asked.season], upgrades.partsOfDay[asked.partOfDay])}
      </p>
      <HourForm view={view} asked={asked} parts={parts} />
      {chances instanceof Problem ? (
        <Empty>{`${upgrades.chancesFailed}: ${chances.message}`}</Empty>
      ) : (
        <ChanceTable view={view} chances={chances} />
      )}
    </>
  );
}

function ChanceTable({ view, chances: { before, after } }: { readonly view: View; readonly chances: StudyChances }) {
  const { upgrades } = view.texts;
  const rows = [...rowsOf(upgrades.before, before), ...rowsOf(upgrades.after, after)];
  const unknown = Math.max(before?.unknownOutletIds.length ?? 0, after?.unknownOutletIds.length ?? 0);
  return (
    <>
      <Table
        caption={upgrades.chances}
        rows={rows}
        keyOf={({ side, line, kind }) => `${side} ${line} ${kind}`}
        empty={upgrades.noChances}
        columns={[
          { head: upgrades.sideOf, heads: true, cell: ({ side, label }) => `${side}: ${label}` },
          { head: upgrades.line, cell: ({ line }) => line },
          { head: upgrades.limit, cell: ({ kind, limitA }) => upgrades.limitOf(kind, limitA.toFixed(0)) },
          {
            head: upgrades.exactChance,
            figures: true,
            cell: ({ exact }) => upgrades.chanceBetween(percent(exact.atLeast), percent(exact.atMost)),
          },
          {
            head: upgrades.simulatedChance,
            figures: true,
            cell: ({ simulated }) =>
              simulated === undefined
                ? ''
                : upgrades.withError(percent(simulated.chance), `${(simulated.standardError * 100).toPrecision(1)} %`),
          },
          {
            head: upgrades.factorShare,
            figures: true,
            cell: ({ factorShare }) => (factorShare === null ? '' : upgrades.ofThisLimit(factorShare)),
          },
        ]}
      />
      {unknown > 0 && <p>{upgrades.loadsUnknown(unknown)}</p>}
    </>
  );
}

function rowsOf(side: string, part: PartChances | null) {
  if (part === null) return [];
  return part.exact.flatMap(({ line, limits }) =>
    limits.map(({ kind, limitA, chanceAbove }) => {
      const factor = part.demandFactor.currentsA[line];
      return {
        side,
        label: part.label,
        line,
        kind,
        limitA,
        exact: chanceAbove,
        simulated: part.simulated?.limits.find((each) => each.kind === kind && each.limitA === limitA)?.byLine[line],
        factorShare: factor === undefined ? null : ((100 * factor) / limitA).toFixed(0),
      };
    }),
  );
}

/** Small chances keep their first figure, and what is not certain never reads so. */
function percent(share: number): string {
  if (share === 0) return '0 %';
  if (share < 1e-6) return '< 0.0001 %';
  if (share > 0.995 && share < 1) return '> 99 %';
  return `${Number((share * 100).toPrecision(2))} %`;
}

function HourForm({ view, asked, parts }: Pick<ChancesProps, 'view' | 'asked' | 'parts'>) {
  const { upgrades } = view.texts;
  return (
    <form class="inline-form no-print" action="#chances" aria-label={upgrades.chances}>
      {asked.chosen !== undefined && <input type="hidden" name="chosen" value={asked.chosen} />}
      <Choose
        name="part"
        label={upgrades.part}
        value={asked.part}
        options={parts.map(({ equipmentId, label }) => [equipmentId, label])}
      />
      <Choose
        name="season"
        label={upgrades.season}
        value={asked.season}
        options={season.options.map((each) => [each, upgrades.hourSeasons[each]])}
      />
      <Choose
        name="partOfDay"
        label={upgrades.partOfDay}
        value={asked.partOfDay}
        options={partsOfDay.map((each) => [each, upgrades.partsOfDay[each]])}
      />
      <button type="submit" class="second">
        {upgrades.show}
      </button>
    </form>
  );
}

interface ChooseProps {
  readonly name: string;
  readonly label: string;
  readonly value: string;
  readonly options: readonly (readonly [value: string, label: string])[];
}

function Choose({ name, label, value, options }: ChooseProps) {
  return (
    <p class="field">
      <label for={`f-${name}`}>{label}</label>
      <select id={`f-${name}`} name={name}>
        {options.map(([option, words]) => (
          <option key={option} value={option} selected={option === value}>
            {words}
          </option>
        ))}
      </select>
    </p>
  );
}

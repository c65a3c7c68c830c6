import { z } from 'zod';
import { id } from '../http/fields.ts';
import { inventoryId } from '../inventory/schema.ts';
import { definePage } from '../pages/define-page.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { FindingList } from '../pages/parts/findings.tsx';
import { Plot } from '../pages/parts/plot.tsx';
import { Table } from '../pages/parts/table.tsx';
import { longDayText, type View } from '../pages/view.ts';
import { loadReaders } from './load-page.tsx';
import { LoadText } from './load-text.tsx';
import { partLoads } from './part-load.ts';
import { type PlotOfUnit, plotsOf } from './part-plots.ts';
import { demandSchema, demandSeriesSchema } from './schema.ts';
import { SeasonForm, seasonOf, seasonQuery } from './season-query.tsx';

/** One part over a season: its demand day by day on both bases, against each of its limits. */
export const partPage = definePage({
  url: '/marinas/:marinaId/load/:equipmentId',
  roles: loadReaders,
  params: z.strictObject({ marinaId: id, equipmentId: inventoryId }),
  query: seasonQuery,
  show: async ({ api, view, params, query, now }) => {
    const season = seasonOf(query, now, view.timeZone);
    const asked = {
      params: { equipmentId: params.equipmentId },
      query: { from: season.from, until: season.until },
    };
    const { body: series } = await api.ask('readDemandByDay', demandSeriesSchema, asked);
    const { body: peak } = await api.ask('readDemandOfPart', demandSchema, asked);
    const [load] = [...partLoads(peak).values()];
    const plots = plotsOf(series);
    const { manage } = view.texts;
    return {
      kind: 'page',
      section: 'load',
      title: series.label,
      scripts: ['plot'],
      body: (
        <>
          <h1>{series.label}</h1>
          <p class="lead">{load && <LoadText view={view} load={load} />}</p>
          <SeasonForm view={view} season={season} />
          {plots.map((plot) => (
            <PlotAndFigures key={plot.unit} view={view} plot={plot} label={series.label} />
          ))}
          {load && load.onBasis.findings.length > 0 && (
            <>
              <h2>{manage.findings}</h2>
              <FindingList view={view} findings={load.onBasis.findings} />
            </>
          )}
          <Cautions view={view} />
        </>
      ),
    };
  },
});

function PlotAndFigures({
  view,
  plot,
  label,
}: {
  readonly view: View;
  readonly plot: PlotOfUnit;
  readonly label: string;
}) {
  const { manage, desk } = view.texts;
  const limitText = ({ kind, winding, limit }: PlotOfUnit['limits'][number]) =>
    `${winding === null ? desk.limitKinds[kind] : desk.winding(winding)}: ${
      limit === null ? manage.limitUnknown : `${limit.toFixed(0)} ${plot.unit}`
    }`;
  return (
    <section>
      <h2>{manage.demandIn(plot.unit)}</h2>
      <p>
        {manage.limits}: {plot.limits.length === 0 ? manage.noLimit : plot.limits.map(limitText).join('; ')}
      </p>
      <Plot
        label={manage.plotLabel(label, plot.unit)}
        unit={plot.unit}
        language={view.locale}
        across={{ days: plot.days.map(({ day }) => day) }}
        least={0}
        series={[
          { label: manage.bases.rated, values: plot.days.map(({ rated }) => rated), kind: 'solid' },
          { label: manage.bases.stated, values: plot.days.map(({ stated }) => stated), kind: 'dashed' },
          ...plot.limits.flatMap((limit) =>
            limit.limit === null
              ? []
              : [{ label: limitText(limit), values: plot.days.map(() => limit.limit), kind: 'limit' as const }],
          ),
        ]}
      />
      <details>
        <summary>{manage.figures}</summary>
        <Table
          caption={manage.plotLabel(label, plot.unit)}
          rows={plot.days}
          keyOf={({ day }) => day}
          empty={manage.noEquipment}
          columns={[
            {
              head: desk.pickDay,
              heads: true,
              cell: ({ day }) => longDayText({ ...view, timeZone: 'UTC' }, `${day}T12:00:00Z`),
            },
            { head: `${manage.bases.rated}, ${plot.unit}`, figures: true, cell: ({ rated }) => figure(rated) },
            { head: `${manage.bases.stated}, ${plot.unit}`, figures: true, cell: ({ stated }) => figure(stated) },
          ]}
        />
      </details>
    </section>
  );
}

function figure(value: number | null): string {
  return value === null ? '' : value.toFixed(0);
}

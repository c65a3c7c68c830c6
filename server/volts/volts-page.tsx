import { z } from 'zod';
import { MomentForm, momentOf, momentQuery } from '../demand/moment-form.tsx';
import { Problem } from '../errors.ts';
import { everyRole } from '../http/access.ts';
import { id } from '../http/fields.ts';
import { inventoryId } from '../inventory/schema.ts';
import { definePage } from '../pages/define-page.ts';
import { inventoryOf } from '../pages/inventory-of.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { FindingList } from '../pages/parts/findings.tsx';
import { Plot } from '../pages/parts/plot.tsx';
import { Empty, Table } from '../pages/parts/table.tsx';
import { lengthText, momentText, type View } from '../pages/view.ts';
import { voltsSchema } from './schema.ts';

type Volts = z.output<typeof voltsSchema>;
type PedestalVolts = Volts['pedestals'][number];

const feetPerMetre = 1 / 0.3048;
const leastPercent = 80;

/** How the volts fall from the shore to the last pedestal of a dock, at any moment. */
export const voltsPage = definePage({
  url: '/marinas/:marinaId/docks/:dockId/volts',
  roles: everyRole,
  params: z.strictObject({ marinaId: id, dockId: inventoryId }),
  query: z.strictObject(momentQuery),
  show: async ({ api, view, params, query, now }) => {
    const at = momentOf(query.at, now, view.timeZone);
    const { index } = await inventoryOf(api);
    const dock = index.docks.get(params.dockId);
    if (dock === undefined) throw new Problem('not-found', `There is no dock "${params.dockId}".`);
    const { body } = await api.ask('readVolts', voltsSchema, { query: { at: new Date(at).toISOString() } });
    const pedestals = body.pedestals
      .filter(({ dockId }) => dockId === dock.id)
      .sort((a, b) => (a.alongDockM ?? 0) - (b.alongDockM ?? 0));
    const { manage } = view.texts;
    const subjects = new Set([dock.id, ...pedestals.map(({ pedestalId }) => pedestalId)]);
    for (const { outletId, pedestalId } of body.outlets) if (subjects.has(pedestalId)) subjects.add(outletId);
    return {
      kind: 'page',
      section: 'docks',
      title: manage.volts(dock.label),
      scripts: ['plot'],
      body: (
        <>
          <h1>{manage.volts(dock.label)}</h1>
          <p class="lead">{manage.voltsLead(momentText(view, at), manage.bases[body.basis])}</p>
          <MomentForm view={view} at={at} now={now} />
          {body.status !== 'solved' && (
            <section class="problem" role="alert">
              <h2>{manage.notSolved}</h2>
              <ul>
                {body.problems.map(({ message }) => (
                  <li key={message}>{message}</li>
                ))}
              </ul>
            </section>
          )}
          <VoltsPlot view={view} label={manage.voltsPlot(dock.label)} pedestals={pedestals} />
          <Table
            caption={manage.volts(dock.label)}
            rows={pedestals}
            keyOf={({ pedestalId }) => pedestalId}
            empty={manage.noVolts}
            columns={[
              { head: manage.pedestal, heads: true, cell: ({ label }) => label },
              { head: view.texts.desk.fromShore, cell: ({ alongDockM }) => lengthText(view, alongDockM) },
              { head: manage.voltsAt, cell: voltsText },
              { head: manage.assessment, cell: ({ assessment }) => manage.assessments[assessment] },
            ]}
          />
          <FindingList view={view} findings={body.findings.filter(({ subject }) => subjects.has(subject.id))} />
          <h2>{manage.lowestOutlets}</h2>
          <ul>
            {body.assumptions.map((words) => (
              <li key={words}>{words}</li>
            ))}
          </ul>
          <Cautions view={view} />
        </>
      ),
    };
  },
});

function voltsText({ volts }: PedestalVolts): string {
  return volts
    .map(
      ({ between, voltageV, nominalV }) => `${between} ${voltageV.toFixed(1)} of ${Math.round(nominalV * 10) / 10} V`,
    )
    .join('; ');
}

interface VoltsPlotProps {
  readonly view: View;
  readonly label: string;
  readonly pedestals: readonly PedestalVolts[];
}

function VoltsPlot({ view, label, pedestals }: VoltsPlotProps) {
  const placed = pedestals.filter(({ alongDockM, volts }) => alongDockM !== null && volts.length > 0);
  const pairs = [...new Set(placed.flatMap(({ volts }) => volts.map(({ between }) => between)))].filter((pair) =>
    pair.endsWith('-N'),
  );
  if (pairs.length === 0) return <Empty>{view.texts.manage.noVolts}</Empty>;
  const isFeet = view.lengths === 'feet';
  const numbers = placed.map(({ alongDockM }) => Math.round((alongDockM ?? 0) * (isFeet ? feetPerMetre : 1)));
  return (
    <Plot
      label={label}
      unit="%"
      language={view.locale}
      across={{ numbers, unit: isFeet ? 'ft' : 'm' }}
      least={leastPercent}
      series={[
        ...pairs.map((pair, position) => ({
          label: pair,
          values: placed.map(({ volts }) => shareOf(volts.find(({ between }) => between === pair))),
          kind: position === 0 ? ('solid' as const) : ('dashed' as const),
        })),
        { label: '100 %', values: placed.map(() => 100), kind: 'limit' as const },
      ]}
    />
  );
}

function shareOf(pair: PedestalVolts['volts'][number] | undefined): number | null {
  return pair === undefined ? null : (100 * pair.voltageV) / pair.nominalV;
}

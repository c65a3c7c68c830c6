import type { Role } from '../http/access.ts';
import { definePage } from '../pages/define-page.ts';
import { Cautions } from '../pages/parts/cautions.tsx';
import { ShareBar } from '../pages/parts/share-bar.tsx';
import { Table } from '../pages/parts/table.tsx';
import { momentText } from '../pages/view.ts';
import { LoadText } from './load-text.tsx';
import { partLoads } from './part-load.ts';
import { demandSchema } from './schema.ts';
import { SeasonForm, seasonOf, seasonQuery } from './season-query.tsx';

export const loadReaders: readonly Role[] = ['harbormaster', 'manager', 'viewer'];

/** The peak of every part over a season, against its tightest limit; and what nobody can assess. */
export const loadPage = definePage({
  url: '/marinas/:marinaId/load',
  roles: loadReaders,
  query: seasonQuery,
  show: async ({ api, view, query, now, principal }) => {
    const season = seasonOf(query, now, view.timeZone);
    const { body } = await api.ask('readDemand', demandSchema, { query: { from: season.from, until: season.until } });
    const loads = [...partLoads(body).values()].filter(({ part }) => part.kind !== 'branchCircuit');
    const { manage, desk } = view.texts;
    const link = (id: string) => `/marinas/${principal.marinaId}/load/${id}?from=${season.first}&until=${season.last}`;
    return {
      kind: 'page',
      section: 'load',
      title: manage.load,
      body: (
        <>
          <h1>{manage.load}</h1>
          <p class="lead">{manage.loadLead(body.practice.name, manage.bases[body.refusingBasis])}</p>
          <SeasonForm view={view} season={season} />
          <Table
            caption={manage.load}
            rows={loads}
            keyOf={({ part }) => part.equipmentId}
            empty={manage.noEquipment}
            columns={[
              {
                head: desk.part,
                heads: true,
                cell: ({ part }) => <a href={link(part.equipmentId)}>{part.label}</a>,
              },
              { head: manage.peak, cell: (load) => <LoadText view={view} load={load} /> },
              { head: manage.shareOfLimit, cell: ({ share }) => share !== null && <ShareBar share={share} /> },
              {
                head: manage.firstReached,
                cell: ({ tightest, onBasis }) => momentText(view, (tightest ?? onBasis.demandVa).at),
              },
            ]}
          />
          <Cautions view={view} />
        </>
      ),
    };
  },
});

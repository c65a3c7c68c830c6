import { z } from 'zod';
import { everyRole } from '../http/access.ts';
import { localDayPeriod } from '../local-time.ts';
import { definePage } from '../pages/define-page.ts';
import { Table } from '../pages/parts/table.tsx';
import { longDayText, timeText } from '../pages/view.ts';
import { arrivalsSchema } from './arrivals.ts';

const day = z.iso.date().refine((text) => text >= '1970-01-01' && text < '9999-12-31');

export const dayPage = definePage({
  url: '/marinas/:marinaId/day',
  roles: everyRole,
  query: z.strictObject({ day: day.optional() }),
  show: async ({ api, view, query }) => {
    const { body } = await api.ask('listArrivals', arrivalsSchema, { query: { day: query.day } });
    const { from } = localDayPeriod(body.day, view.timeZone);
    return {
      kind: 'page',
      section: 'day',
      title: longDayText(view, from),
      body: (
        <>
          <h1>{longDayText(view, from)}</h1>
          <Table
            caption="Arrivals"
            rows={body.items}
            keyOf={({ stay }) => stay.id}
            empty="Nobody"
            columns={[
              { head: 'Boat', heads: true, cell: ({ boat }) => boat.name },
              { head: 'Time', cell: ({ stay }) => timeText(view, stay.arrival) },
              { head: 'Berth', cell: ({ place }) => place?.berthLabel ?? '-' },
            ]}
          />
        </>
      ),
    };
  },
});

import { z } from 'zod';
import { definePage } from '../pages/define-page.ts';
import { chosenQuery } from './chosen-query.ts';
import { studyTableSchema } from './routes.ts';
import { studyReaders } from './studies-page.tsx';
import { studyParams } from './study-page.tsx';
import { tableNames } from './tables.ts';

/** One table of a study as a file. */
export const studyTablePage = definePage({
  url: '/marinas/:marinaId/studies/:studyId/tables/:table',
  roles: studyReaders,
  params: z.strictObject({ ...studyParams.shape, table: z.enum(tableNames) }),
  query: z.strictObject({ chosen: chosenQuery }),
  show: async ({ api, params: { studyId, table }, query }) => {
    const { body } = await api.ask('readStudyTable', studyTableSchema, { params: { studyId, table }, query });
    return { kind: 'csv', name: `${table}.csv`, text: body.csv };
  },
});

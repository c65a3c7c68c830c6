import { z } from 'zod';
import { id } from '../http/fields.ts';
import { definePage } from '../pages/define-page.ts';
import { runTableSchema } from './run-routes.ts';
import { runTableNames } from './run-tables.ts';
import { studyReaders } from './studies-page.tsx';
import { studyParams } from './study-page.tsx';

/** One table of a replay or a choice as a file. */
export const runTablePage = definePage({
  url: '/marinas/:marinaId/studies/:studyId/runs/:runId/tables/:table',
  roles: studyReaders,
  params: z.strictObject({ ...studyParams.shape, runId: id, table: z.enum(runTableNames) }),
  show: async ({ api, params: { studyId, runId, table } }) => {
    const { body } = await api.ask('readStudyRunTable', runTableSchema, { params: { studyId, runId, table } });
    return { kind: 'csv', name: `${table}.csv`, text: body.csv };
  },
});

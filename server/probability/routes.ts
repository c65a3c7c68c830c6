import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { everyRole, type Role } from '../http/access.ts';
import { id, instant, marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { chosenQuery, idsOf } from '../studies/chosen-query.ts';
import { bothInventories, readStudy } from '../studies/stored-study.ts';
import { type AskedHour, chancesIn, readHour } from './read-probability.ts';
import { partChancesSchema, partOfDay, probabilityQuery, season } from './schema.ts';

const readers: readonly Role[] = ['manager', 'viewer'];
const description =
  'Each appliance of the boats plugged in is on or off by chance, with a duty cycle of the season and the part of the day; their sum by exact convolution, and by simulation with its error. Duty cycles that are assumed are named.';

const hour = {
  at: instant,
  season,
  partOfDay,
};
const hourOf = ({ at, query, partOfDay: of }: AskedHour) => ({
  at: new Date(at).toISOString(),
  season: query.season,
  partOfDay: of,
});

export const studyProbabilitySchema = z
  .strictObject({
    ...hour,
    before: partChancesSchema.nullable(),
    after: partChancesSchema.nullable(),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'StudyProbability' });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/demand/probability',
    operationId: 'readDemandProbability',
    summary: 'Show the chance of passing each limit of a part in a chosen hour, beside the demand factor',
    description,
    tag: 'Demand',
    roles: everyRole,
    params: marinaParams,
    query: probabilityQuery,
    response: {
      200: z
        .strictObject({ ...hour, part: partChancesSchema, cautions: z.array(z.string()) })
        .meta({ id: 'DemandProbability' }),
    },
  }).handle(async ({ params: { marinaId }, query, now }, { db, inventories }) => {
    const { index } = await inventories.inventoryOf(db.prisma, marinaId);
    const asked = await readHour(db.prisma, marinaId, index, query, now);
    return {
      status: 200,
      body: { ...hourOf(asked), part: chancesIn(index, asked), cautions: electricalCautions },
    };
  }),
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/studies/:studyId/probability',
    operationId: 'readStudyProbability',
    summary: 'Show the chance of passing each limit of a part before and after a study’s changes',
    description: `${description} Null where the part is not in that inventory.`,
    tag: 'Upgrade studies',
    roles: readers,
    params: z.strictObject({ marinaId: id, studyId: id }),
    query: probabilityQuery.extend({ chosen: chosenQuery }),
    response: {
      200: studyProbabilitySchema,
    },
    problems: ['faulty-document'],
  }).handle(async ({ params: { marinaId, studyId }, query: { chosen, ...query }, now }, { db }) => {
    const { before, after } = bothInventories(await readStudy(db.prisma, marinaId, studyId), idsOf(chosen));
    const asked = await readHour(db.prisma, marinaId, before, query, now);
    const has = (index: typeof before) => index.equipment.has(query.equipmentId);
    // A part that neither has is told as not found.
    const wasThere = has(before) || !has(after);
    return {
      status: 200,
      body: {
        ...hourOf(asked),
        before: wasThere ? chancesIn(before, asked) : null,
        after: has(after) ? chancesIn(after, asked) : null,
        cautions: electricalCautions,
      },
    };
  }),
];

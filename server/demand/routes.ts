import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { designDemand } from '../../core/electrical/demand/design-demand.ts';
import { practiceOf } from '../berth-options/question.ts';
import { everyRole } from '../http/access.ts';
import { id, marinaParams } from '../http/fields.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { inventoryId } from '../inventory/schema.ts';
import { periodOf, periodQuery } from '../occupancy/period-query.ts';
import type { Services } from '../services.ts';
import { readDemand, requirePart } from './read-demand.ts';
import { readSeries } from './read-series.ts';
import { demandSchema, demandSeriesSchema, designSchema, partToApi, practiceToApi } from './schema.ts';

const url = '/v1/marinas/:marinaId/demand';
const tag = 'Demand';
/** A year, so that seasons can be compared. */
const mostDays = 366;

const words =
  'Outlets in use now or later, residents included, at a moment or as the peaks over a period of at most ' +
  `${mostDays} days: on both bases, line by line, each limit kept apart.`;

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url,
    operationId: 'readDemand',
    summary: 'Show the demand of every part of the distribution equipment',
    description: words,
    tag,
    roles: everyRole,
    params: marinaParams,
    query: periodQuery,
    response: { 200: demandSchema },
  }).handle(async ({ params, query, now }, services) => {
    return { status: 200, body: await demandBody(services, params.marinaId, null, query, now) };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/design`,
    operationId: 'readDesignDemand',
    summary: 'Check the design: all shore-power outlets by the demand table as printed',
    description:
      'Two outlets dedicated to one slip count once where the practice has the two-voltage rule. General-purpose outlets ' +
      'are not in the table and are named in a finding.',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject({
      countingBasis: z.enum(['all', 'mostLoadedLine']).optional().describe("Left out: the marina's setting."),
      subMeterFactor: z
        .enum(['true', 'false'])
        .default('false')
        .describe("Apply the practice's factor to parts where every receptacle has its own energy meter."),
      equipmentId: inventoryId.optional().describe('Only this part.'),
    }),
    response: { 200: designSchema },
  }).handle(async ({ params, query }, { db, inventories }) => {
    const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
    const equipmentId = query.equipmentId ?? null;
    if (equipmentId !== null) requirePart(index, equipmentId);
    const countingBasis = query.countingBasis ?? index.inventory.settings.countingBasis;
    const practice = practiceOf(index);
    const options = { countingBasis, subMeterFactor: query.subMeterFactor === 'true' };
    const parts = designDemand(index, practice, equipmentId, options).map(({ basis: _, ...demand }) => ({
      ...demand,
      ...partToApi(requirePart(index, demand.equipmentId)),
    }));
    return {
      status: 200,
      body: {
        inventoryRevision: revision,
        practice: practiceToApi(practice),
        countingBasis,
        parts,
        cautions: electricalCautions,
      },
      version: revision,
    };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:equipmentId`,
    operationId: 'readDemandOfPart',
    summary: 'Show the demand of one part of the distribution equipment',
    description: `${words} A part with the id "design" is read in the list of all.`,
    tag,
    roles: everyRole,
    params: z.strictObject({ marinaId: id, equipmentId: inventoryId }),
    query: periodQuery,
    response: { 200: demandSchema },
  }).handle(async ({ params, query, now }, services) => {
    return { status: 200, body: await demandBody(services, params.marinaId, params.equipmentId, query, now) };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:equipmentId/days`,
    operationId: 'readDemandByDay',
    summary: 'Show the demand of one part day by day, as its peaks',
    description: `From the first to the last day that the period touches, at most ${mostDays}; left out: the day now.`,
    tag,
    roles: everyRole,
    params: z.strictObject({ marinaId: id, equipmentId: inventoryId }),
    query: periodQuery,
    response: { 200: demandSeriesSchema },
  }).handle(async ({ params, query, now }, { db, inventories }) => {
    const period = periodOf(query, now, mostDays);
    const { revision, index } = await inventories.inventoryOf(db.prisma, params.marinaId);
    const { equipmentId } = params;
    const { part, days } = await readSeries(db.prisma, params.marinaId, { index, period, equipmentId, now });
    return {
      status: 200,
      body: {
        ...partToApi(part),
        inventoryRevision: revision,
        practice: practiceToApi(practiceOf(index)),
        refusingBasis: index.inventory.settings.refusingBasis,
        days,
        cautions: electricalCautions,
      },
    };
  }),
];

async function demandBody(
  { db, inventories }: Services,
  marinaId: string,
  equipmentId: string | null,
  query: z.output<typeof periodQuery>,
  now: number,
) {
  const period = periodOf(query, now, mostDays);
  const isMoment = query.from === undefined;
  const { revision, index } = await inventories.inventoryOf(db.prisma, marinaId);
  const parts = await readDemand(db.prisma, marinaId, { index, period, isMoment, equipmentId, now });
  return {
    from: new Date(period.from).toISOString(),
    until: isMoment ? null : new Date(period.until).toISOString(),
    inventoryRevision: revision,
    practice: practiceToApi(practiceOf(index)),
    countingBasis: 'larger' as const,
    refusingBasis: index.inventory.settings.refusingBasis,
    parts,
    cautions: electricalCautions,
  };
}

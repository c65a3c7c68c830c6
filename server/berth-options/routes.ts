import { z } from 'zod';
import { berthOptions } from '../../core/berths/options/berth-options.ts';
import { electricalCautions } from '../../core/cautions.ts';
import { assignmentsFrom, periodToPlace, startOf } from '../assignments/place-stay.ts';
import { Problem } from '../errors.ts';
import { everyRole } from '../http/access.ts';
import { id, instant } from '../http/fields.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { loadStay } from '../stays/stored-stay.ts';
import { loadQuestion } from './question.ts';
import { optionDocument, optionsSchema } from './schema.ts';

/** Every berth of a marina of this size can be put into words in one answer. */
const mostWorded = 5_000;
const count = (described: number) => z.coerce.number().int().min(0).max(mostWorded).default(described);

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'GET',
    url: '/v1/marinas/:marinaId/stays/:stayId/berth-options',
    operationId: 'listBerthOptions',
    summary: 'Judge every berth for one stay',
    description:
      'Best first, each with its hook-up and every rule that spoke; refused berths with their rules; what would mend a ' +
      'near miss; the one question to ask. What the stay has already counts as free.',
    tag: 'Berth options',
    roles: everyRole,
    params: z.strictObject({ marinaId: id, stayId: id }),
    query: z.strictObject({
      options: count(20).describe('How many berths that could take it to put into words.'),
      refused: count(20).describe('How many refused ones, fewest refusals first; `all` names every one.'),
      from: instant
        .optional()
        .describe('From when on; left out: as `assign` takes it, from arrival or from where what it has ends.'),
    }),
    response: { 200: optionsSchema },
    problems: ['wrong-state'],
  }).handle(async ({ params, query, now }, services) => {
    const { marinaId, stayId } = params;
    const stay = await loadStay(services.db.prisma, marinaId, stayId);
    if (stay === null) throw new Problem('not-found', `There is no stay "${stayId}".`);
    const asked = query.from === undefined ? null : Date.parse(query.from);
    const { index } = await services.inventories.inventoryOf(services.db.prisma, marinaId);
    const start = startOf(stay, { kind: 'assign', from: asked, now });
    const period = periodToPlace(stay, start, index.inventory.timeZone);
    const { question, revision } = await loadQuestion(services.db.prisma, services, marinaId, {
      boat: stay.boat,
      wishes: stay.wishes,
      groupId: stay.row.groupId,
      period,
      withoutAssignmentIds: new Set(assignmentsFrom(stay, period.from).map(({ id: own }) => own)),
      now,
    });
    const { options, refused, question: open, ...rest } = berthOptions(question, query);
    return {
      status: 200,
      body: {
        stayId,
        inventoryRevision: revision,
        options: options.map(optionDocument),
        refused: refused.map(optionDocument),
        question: open === null ? null : { ...open.missingFact, berths: open.berths },
        ...rest,
        cautions: [...electricalCautions],
      },
    };
  }),
];

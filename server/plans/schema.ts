import { z } from 'zod';
import { inventoryCollections } from '../../core/inventory/change.ts';
import type { Plan as PlanRow } from '../db/generated/client.ts';
import { id, instant } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { inventoryId } from '../inventory/schema.ts';

const settings = z.strictObject({
  serve: z.enum(['boats', 'nights']).default('boats').describe('What counts as served.'),
  moveInside: z
    .boolean()
    .default(false)
    .describe('Whether a stay may get two berths, one after the other, rather than be turned away.'),
  movePromised: z.boolean().default(true).describe('Whether promised stays may be given another berth.'),
});

const closing = z
  .strictObject({
    equipmentId: inventoryId.optional().describe('Every outlet below it is out.'),
    outletId: inventoryId.optional(),
    unitId: inventoryId.optional(),
    from: instant,
    until: instant,
  })
  .refine(
    ({ equipmentId, outletId, unitId }) =>
      [equipmentId, outletId, unitId].filter((each) => each !== undefined).length === 1,
    'Name one of equipmentId, outletId and unitId.',
  );

const inventoryChange = z.strictObject({
  collection: z.enum(inventoryCollections),
  id: inventoryId,
  item: z.unknown().describe('The item as the inventory has it; null removes it.'),
});

/** What is to be thought different. A plan with any of it is a what-if: it cannot be accepted. */
const changes = z
  .strictObject({
    outOfService: z.array(closing).max(500).default([]),
    inService: z.array(inventoryId).max(500).default([]).describe('Outlets and units whose closings count as lifted.'),
    extraStays: z
      .array(
        z.strictObject({
          like: id.describe('A stay: one more like it, to be placed.'),
          count: z.int().min(1).max(500),
        }),
      )
      .max(100)
      .default([]),
    inventory: z.array(inventoryChange).max(500).default([]),
  })
  .meta({ id: 'PlanChanges' });

export const newPlanSchema = z
  .strictObject({
    period: z.strictObject({ from: instant, until: instant }),
    settings: settings.default({ serve: 'boats', movePromised: true, moveInside: false }),
    pinnedStayIds: z.array(id).max(2_000).default([]).describe('Stays that keep the place they have.'),
    changes: changes.default({ outOfService: [], inService: [], extraStays: [], inventory: [] }),
    timeLimitS: z.int().min(1).max(600).default(30),
  })
  .meta({ id: 'NewPlan' });

export type NewPlan = z.output<typeof newPlanSchema>;

const adapter = z.strictObject({
  kindId: z.string(),
  from: z.enum(['aboard', 'stock', 'toBring']),
  stockId: z.string().nullable(),
});
const cord = z.strictObject({ outletId: z.string(), inletId: z.string(), lengthM: z.number().nullable() });

const placement = z.strictObject({
  stayId: z.string(),
  kind: z.enum(['kept', 'moved', 'new']).describe('Against where the stay is today.'),
  berthId: z.string(),
  orientation: z.enum(['bowIn', 'sternIn']),
  place: z.strictObject({ fromM: z.number(), untilM: z.number() }).nullable(),
  outletIds: z.array(z.string()),
  adapters: z.array(adapter),
  cords: z.array(cord),
  from: instant,
  until: instant,
  verdict: z.enum(['refused', 'unconfirmed', 'cautioned', 'clear']),
  findings: z.array(findingSchema),
});

/** One place of a plan. */
export type PlannedPlace = z.output<typeof placement>;

const unplaced = z.strictObject({
  stayId: z.string(),
  stoppedBy: z.array(
    z.strictObject({
      rule: z.string(),
      subject: z.string().nullable().describe('Equipment or adapter whose limit it is.'),
      berths: z.int().describe('How many berths it speaks against.'),
    }),
  ),
});

export const planResultSchema = z
  .strictObject({
    status: z
      .enum(['optimal', 'feasible', 'infeasible', 'noPlan'])
      .describe('`infeasible`: the promises cannot all be kept; `conflict` says which.'),
    aims: z
      .array(
        z.strictObject({
          name: z.string(),
          unit: z.string(),
          sense: z.enum(['most', 'least']),
          value: z.number(),
          bound: z.number().nullable().describe('No plan that reaches the aims before it comes further.'),
          gap: z.number().nullable(),
        }),
      )
      .describe(
        'In their order: what comes later never costs anything of what comes before. The last two, balance of lines and margin, are improved stay by stay and not proven: their bound is null.',
      ),
    placements: z.array(placement),
    unplaced: z.array(unplaced),
    conflict: z
      .array(z.string())
      .describe('Promised stays that cannot all be kept; without any one of them the rest can.'),
    figures: z.strictObject({
      columns: z.int(),
      rows: z.int(),
      berthClasses: z.int(),
      rounds: z.int(),
      secondsInAll: z.number(),
      secondsSolving: z.number(),
      solverMessage: z.string().nullable(),
    }),
  })
  .meta({ id: 'PlanResult' });

export const progressSchema = z.strictObject({
  afterS: z.number(),
  aim: z.string(),
  unit: z.string(),
  best: z.number().nullable(),
  bound: z.number().nullable(),
});

export const planSchema = z
  .strictObject({
    id: z.string(),
    state: z.enum(['queued', 'running', 'done', 'stopped', 'failed', 'accepted']),
    asked: z.unknown().describe('As it was asked for.'),
    isWhatIf: z.boolean(),
    progress: progressSchema.nullable(),
    result: planResultSchema.nullable(),
    difference: z
      .strictObject({
        kept: z.int(),
        moved: z.array(z.string()),
        placed: z.array(z.string()),
        unplaced: z.array(z.string()),
      })
      .nullable()
      .describe("Against today's plan, by stay."),
    failure: z.string().nullable(),
    createdAt: instant,
    endedAt: instant.nullable(),
  })
  .meta({ id: 'Plan' });

export const plansSchema = z.strictObject({ items: z.array(planSchema.omit({ result: true })) });

export type PlanDocument = z.output<typeof planSchema>;

export function planDocument(row: PlanRow): PlanDocument {
  const result = row.result === null ? null : planResultSchema.parse(row.result);
  const ids = (kind: string) => [
    ...new Set(result?.placements.filter((each) => each.kind === kind).map(({ stayId }) => stayId)),
  ];
  return {
    id: row.id,
    state: planSchema.shape.state.parse(row.state),
    asked: row.asked,
    isWhatIf: row.isWhatIf,
    progress: row.progress === null ? null : progressSchema.parse(row.progress),
    result,
    difference:
      result === null
        ? null
        : {
            kept: ids('kept').length,
            moved: ids('moved'),
            placed: ids('new'),
            unplaced: result.unplaced.map(({ stayId }) => stayId),
          },
    failure: row.failure,
    createdAt: row.createdAt.toISOString(),
    endedAt: row.endedAt?.toISOString() ?? null,
  };
}

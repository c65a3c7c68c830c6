import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { type MissingFact, missingFactsOf } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { adapterKind } from '../../core/standards/adapter-kinds.ts';
import { type AssignmentDocument, assignmentDocument, assignmentSchema } from '../assignments/schema.ts';
import { boatDocument, boatSchema } from '../boats/schema.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Assignment, Boat, Stay } from '../db/generated/client.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { localDayOf, localDayPeriod } from '../local-time.ts';
import type { Services } from '../services.ts';
import { openQuestions } from './open-questions.ts';
import { presentPlace } from './present-place.ts';
import { questionSchema, stayDocument, staySchema } from './schema.ts';

const adapterSchema = z.strictObject({
  kindId: z.string(),
  name: z.string(),
  from: z.enum(['aboard', 'stock', 'toBring']),
  stockLabel: z.string().nullable().describe('What the dock calls the one it lends.'),
});

const arrivalSchema = z
  .strictObject({
    stay: staySchema,
    boat: boatSchema,
    place: z
      .strictObject({
        berthLabel: z.string(),
        dockLabel: z.string(),
        assignment: assignmentSchema,
        outlets: z.array(z.strictObject({ id: z.string(), label: z.string() })),
        adapters: z.array(adapterSchema),
      })
      .nullable()
      .describe('Where it goes and how it is connected, as judged when it was assigned; null: it has no berth.'),
    refused: z.array(findingSchema).describe('Why it has no berth any more, or must not be plugged in as judged.'),
    toConfirm: z.array(questionSchema).describe('What the judgement left open; without a berth, what the call did.'),
  })
  .meta({ id: 'Arrival' });

export const arrivalsSchema = z
  .strictObject({
    day: z.string(),
    timeZone: z.string(),
    items: z.array(arrivalSchema).describe('Those without a berth first, then by time of arrival.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'Arrivals' });

type Arrival = z.output<typeof arrivalSchema>;
type StayRow = Stay & { readonly boat: Boat; readonly assignments: readonly Assignment[] };

/** Who arrives on a day at the marina (null: today), and what each still needs. Throws a Problem: `not-found`. */
export async function listArrivals(
  { db, inventories }: Services,
  { marinaId, day, now }: { readonly marinaId: string; readonly day: string | null; readonly now: number },
): Promise<z.output<typeof arrivalsSchema>> {
  const { index } = await inventories.inventoryOf(db.prisma, marinaId);
  const { timeZone } = index.inventory;
  const asked = day ?? localDayOf(now, timeZone);
  const { from, until } = localDayPeriod(asked, timeZone);
  const rows = await db.prisma.stay.findMany({
    where: {
      marinaId,
      arrivalAt: { gte: new Date(from), lt: new Date(until) },
      state: { notIn: ['cancelled', 'turnedAway', 'noShow'] },
    },
    include: { boat: true, assignments: { orderBy: [{ fromAt: 'asc' }, { id: 'asc' }] } },
    orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
  });
  const arrivals = rows.map((row) => arrivalOf(index, row, now));
  const items = [...arrivals.filter(({ place }) => place === null), ...arrivals.filter(({ place }) => place !== null)];
  return { day: asked, timeZone, items, cautions: [...electricalCautions] };
}

function arrivalOf(index: InventoryIndex, row: StayRow, now: number): Arrival {
  const present = presentPlace(row, row.assignments, now);
  const assignment = present === null ? null : assignmentDocument(present);
  const stay = stayDocument(row, row.boat);
  return {
    stay,
    boat: boatDocument(row.boat),
    place: assignment === null ? null : placeOf(index, assignment),
    refused: refusalsOf(stay.needsBerth ?? [], assignment?.findings ?? []),
    toConfirm: assignment === null ? openQuestions(boatOf(row.boat)) : questionsOf(assignment),
  };
}

function placeOf(index: InventoryIndex, assignment: AssignmentDocument): Arrival['place'] {
  const { inventory, berths, docks, spaceUnits, outlets, adapterStock } = index;
  const berth = berths.get(assignment.berthId);
  const dockId = spaceUnits.get(berth?.unitIds[0] ?? '')?.dockId ?? '';
  const { connection, outletIds } = assignment.power ?? { connection: null, outletIds: [] };
  // A thing retired since goes by its id.
  return {
    berthLabel: berth?.label ?? assignment.berthId,
    dockLabel: docks.get(dockId)?.label ?? dockId,
    assignment,
    outlets: outletIds.map((id) => ({ id, label: outlets.get(id)?.label ?? id })),
    adapters: (connection?.hookUp.adapters ?? []).map(({ kindId, from, stockId }) => {
      const kind = adapterKind(kindId) ?? inventory.adapterKinds.find(({ id }) => id === kindId);
      const stockLabel = stockId === null ? null : (adapterStock.get(stockId)?.label ?? stockId);
      return { kindId, name: kind?.name ?? kindId, from, stockLabel };
    }),
  };
}

type Spoken = z.output<typeof findingSchema>;

/** What refuses, each once: an outlet that was lost is told of the stay and of the assignment alike. */
function refusalsOf(ofStay: readonly Spoken[], ofPlace: readonly Spoken[]): Spoken[] {
  const refusals = [...ofStay, ...ofPlace].filter(({ level }) => level === 'refuse');
  return [...new Map(refusals.map((finding) => [`${finding.rule} ${finding.message}`, finding])).values()];
}

/** Each question once, in the order of the findings. */
function questionsOf({ findings }: AssignmentDocument): MissingFact[] {
  const questions = new Map<string, MissingFact>();
  for (const finding of findings) {
    if (finding.level !== 'confirm') continue;
    for (const missing of missingFactsOf(finding)) {
      const { subject, fact, question } = missing;
      questions.set(`${subject.kind} ${subject.id} ${fact} ${question}`, missing);
    }
  }
  return [...questions.values()];
}

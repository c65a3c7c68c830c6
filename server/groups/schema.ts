import { z } from 'zod';
import { adjacencies } from '../../core/berths/groups/place-group.ts';
import { assignmentSchema } from '../assignments/schema.ts';
import type { StayGroup } from '../db/generated/client.ts';
import { id, instant, line } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { inventoryId } from '../inventory/schema.ts';
import { staySchema } from '../stays/schema.ts';
import { nowFitsSchema } from '../stays/waiting-list.ts';
import { berthIdsOf } from './stored-group.ts';

const adjacency = z
  .enum(adjacencies)
  .describe('`demand`: side by side or not at all; `wish`: in as few runs of neighbouring berths as can be.');
const berthIds = z
  .array(inventoryId)
  .max(60)
  .refine((ids) => new Set(ids).size === ids.length, 'A berth is named twice.');

const changeable = {
  name: line(100).describe('What people call it.'),
  contactName: line(100),
  phone: line(40).nullable(),
  note: z.string().max(2_000),
  from: instant.describe('Its berths are kept from this moment'),
  until: instant.describe('to this one.'),
  berthIds: berthIds.describe('Berths kept for it: nobody else is given them. On a face, all metres of the berth.'),
  adjacency,
  cutOff: instant.describe('From this moment on the berths that no member has are free again.'),
};

export const newGroupSchema = z
  .strictObject({
    ...changeable,
    phone: changeable.phone.default(null),
    note: changeable.note.default(''),
    berthIds: changeable.berthIds.default([]),
    adjacency: adjacency.default('wish'),
    cutOff: changeable.cutOff.nullable().default(null).describe('Null: when its time begins.'),
  })
  .meta({ id: 'NewGroup' });
export type NewGroup = z.output<typeof newGroupSchema>;

export const groupChangeSchema = z
  .strictObject({
    name: changeable.name.exactOptional(),
    contactName: changeable.contactName.exactOptional(),
    phone: changeable.phone.exactOptional(),
    note: changeable.note.exactOptional(),
    from: changeable.from.exactOptional(),
    until: changeable.until.exactOptional(),
    berthIds: changeable.berthIds.exactOptional(),
    adjacency: changeable.adjacency.exactOptional(),
    cutOff: changeable.cutOff.exactOptional(),
  })
  .refine((change) => Object.keys(change).length > 0, 'Name at least one field to change.')
  .meta({ id: 'GroupChange' });
export type GroupChange = z.output<typeof groupChangeSchema>;

export const groupSchema = z
  .strictObject({
    id,
    ...changeable,
    releasedAt: instant.nullable().describe('When what no member had was freed; null while its berths are kept.'),
    version: z.int(),
  })
  .meta({ id: 'Group', description: 'An event or a flotilla: its members, and the berths kept for them.' });
export type GroupDocument = z.output<typeof groupSchema>;

export const groupsSchema = z.strictObject({ items: z.array(groupSchema) });

export const groupWithMembersSchema = z
  .strictObject({
    group: groupSchema,
    members: z.array(z.strictObject({ stay: staySchema, berthIds: z.array(z.string()).describe('Earliest first.') })),
    findings: z
      .array(findingSchema)
      .describe('Who else has a berth of the block: a holder who came back, a closing, a boat found there.'),
  })
  .meta({ id: 'GroupWithMembers' });

export const membersSchema = z
  .strictObject({
    stayIds: z
      .array(id)
      .max(30)
      .refine((ids) => new Set(ids).size === ids.length, 'A stay is named twice.')
      .describe('All of them: who is left out is a member no more.'),
  })
  .meta({ id: 'GroupMembers' });

export const placementOfGroupSchema = z
  .strictObject({
    adjacency: adjacency.nullable().default(null).describe('Null: as the group has it.'),
    dryRun: z.boolean().default(false).describe('Tell where everybody would lie and change nothing.'),
  })
  .prefault({})
  .meta({ id: 'GroupPlacement' });
export type GroupPlacement = z.output<typeof placementOfGroupSchema>;

export const placedGroupSchema = z
  .strictObject({
    group: groupSchema,
    assignments: z.array(assignmentSchema).describe('Those made; empty on a dry run.'),
    places: z.array(z.strictObject({ stayId: id, berthId: z.string(), outletIds: z.array(z.string()) })),
    runs: z.int().describe('In how many runs of neighbouring berths they lie; 1: side by side.'),
    isProven: z.boolean().describe('Whether no better set of berths exists; else not every combination was tried.'),
  })
  .meta({ id: 'PlacedGroup' });
export type PlacedGroup = z.output<typeof placedGroupSchema>;

export const releasedGroupSchema = z
  .strictObject({ group: groupSchema, nowFits: nowFitsSchema })
  .meta({ id: 'ReleasedGroup' });

export function groupDocument(row: StayGroup): GroupDocument {
  return {
    id: row.id,
    name: row.name,
    contactName: row.contactName,
    phone: row.contactPhone,
    note: row.note,
    from: row.fromAt.toISOString(),
    until: row.untilAt.toISOString(),
    berthIds: berthIdsOf(row),
    adjacency: adjacency.parse(row.adjacency),
    cutOff: row.cutOffAt.toISOString(),
    releasedAt: row.releasedAt?.toISOString() ?? null,
    version: row.version,
  };
}

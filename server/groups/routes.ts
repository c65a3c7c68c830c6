import { z } from 'zod';
import { everyRole, type Role } from '../http/access.ts';
import { id, marinaParams } from '../http/fields.ts';
import { decodeCursor, pageOf, pageQuery } from '../http/page.ts';
import { defineRoute, type RouteDefinition } from '../http/route.ts';
import { stayDocument } from '../stays/schema.ts';
import { whoFits } from '../stays/waiting-list.ts';
import { othersOnBlock } from './block.ts';
import { placeMembers } from './place-members.ts';
import {
  groupChangeSchema,
  groupDocument,
  groupSchema,
  groupsSchema,
  groupWithMembersSchema,
  membersSchema,
  newGroupSchema,
  placedGroupSchema,
  placementOfGroupSchema,
  releasedGroupSchema,
} from './schema.ts';
import { setMembers } from './set-members.ts';
import { berthIdsOf, readGroup } from './stored-group.ts';
import { changeGroup, createGroup, releaseGroup } from './write-group.ts';

const url = '/v1/marinas/:marinaId/groups';
const tag = 'Groups';
const writers: readonly Role[] = ['harbormaster'];
const groupParams = z.strictObject({ marinaId: id, groupId: id });

export const routes: RouteDefinition[] = [
  defineRoute({
    method: 'POST',
    url,
    operationId: 'createGroup',
    summary: 'Enter an event or a flotilla, and keep a block of berths for it',
    description:
      'Nobody but its members is given a berth of the block until it is released, or until its cut-off frees what no member has. 409 names who has one of the berths.',
    tag,
    roles: writers,
    params: marinaParams,
    body: newGroupSchema,
    idempotent: true,
    example: {
      name: 'Sailing club autumn meet',
      contactName: 'R. Achterberg',
      from: '2030-09-13T12:00:00-04:00',
      until: '2030-09-15T12:00:00-04:00',
      berthIds: ['A1', 'A2', 'A3'],
      adjacency: 'wish',
      cutOff: '2030-09-06T12:00:00-04:00',
    },
    response: { 201: groupSchema },
    problems: ['double-use'],
  }).handle(async ({ principal, body, now, idempotency }, services) => {
    const group = await createGroup(services, { principal, idempotency, now, input: body });
    const location = `/v1/marinas/${principal.marinaId}/groups/${group.id}`;
    return { status: 201, body: group, version: group.version, location };
  }),
  defineRoute({
    method: 'GET',
    url,
    operationId: 'listGroups',
    summary: 'List groups',
    tag,
    roles: everyRole,
    params: marinaParams,
    query: z.strictObject(pageQuery),
    response: { 200: groupsSchema },
  }).handle(async ({ params, query }, { db }) => {
    const [after] = decodeCursor(query.cursor, z.tuple([id])) ?? [''];
    const rows = await db.prisma.stayGroup.findMany({
      where: { marinaId: params.marinaId, id: { gt: after } },
      orderBy: { id: 'asc' },
      take: query.limit + 1,
    });
    const page = pageOf(rows, query.limit, (row) => [row.id]);
    return { status: 200, body: { items: page.items.map(groupDocument) }, nextCursor: page.nextCursor };
  }),
  defineRoute({
    method: 'GET',
    url: `${url}/:groupId`,
    operationId: 'readGroup',
    summary: 'Read a group with its members and who else has a berth of its block',
    description: 'The ETag is the version of the group itself, for If-Match.',
    tag,
    roles: everyRole,
    params: groupParams,
    response: { 200: groupWithMembersSchema },
  }).handle(async ({ params: { marinaId, groupId } }, { db, inventories }) => {
    const { prisma } = db;
    const row = await readGroup(prisma, marinaId, groupId);
    const { index } = await inventories.inventoryOf(prisma, marinaId);
    const stays = await prisma.stay.findMany({
      where: { marinaId, groupId },
      include: { boat: true, assignments: { orderBy: [{ fromAt: 'asc' }, { id: 'asc' }] } },
      orderBy: [{ arrivalAt: 'asc' }, { id: 'asc' }],
    });
    const members = stays.map(({ boat, assignments, ...stay }) => ({
      stay: stayDocument(stay, boat),
      berthIds: [...new Set(assignments.map(({ berthId }) => berthId))],
    }));
    // What left the inventory since is nobody's any more.
    const berthIds = row.releasedAt === null ? berthIdsOf(row).filter((berthId) => index.berths.has(berthId)) : [];
    const block = { groupId, berthIds, from: row.fromAt.getTime(), until: row.untilAt.getTime() };
    const findings = await othersOnBlock(prisma, marinaId, index, block);
    const body = { group: groupDocument(row), members, findings };
    return { status: 200, body, version: row.version, versionOfPart: true };
  }),
  defineRoute({
    method: 'PATCH',
    url: `${url}/:groupId`,
    operationId: 'changeGroup',
    summary: 'Change a group, its time, its cut-off or its berths',
    tag,
    roles: writers,
    params: groupParams,
    body: groupChangeSchema,
    ifMatch: true,
    example: { cutOff: '2030-09-09T12:00:00-04:00' },
    response: { 200: groupSchema },
    problems: ['double-use', 'wrong-state'],
  }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
    const group = await changeGroup(services, { principal, ifVersion, now, groupId: params.groupId, change: body });
    return { status: 200, body: group, version: group.version };
  }),
  defineRoute({
    method: 'PUT',
    url: `${url}/:groupId/members`,
    operationId: 'setGroupMembers',
    summary: 'Say which stays belong to a group',
    tag,
    roles: writers,
    params: groupParams,
    body: membersSchema,
    ifMatch: true,
    example: { stayIds: ['5f0c2f7e-6f3d-4d7d-9d5e-0d8a2b1c3e4f'] },
    response: { 200: groupSchema },
    problems: ['wrong-state'],
  }).handle(async ({ principal, params, body, ifVersion, now }, services) => {
    const command = { principal, ifVersion, now, groupId: params.groupId, stayIds: body.stayIds };
    const group = await setMembers(services, command);
    return { status: 200, body: group, version: group.version };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:groupId/place`,
    operationId: 'placeGroup',
    summary: 'Give every member without a berth one, or none of them',
    description:
      'Berths of the block while it is kept, else any; each fits and has power beside all the others. 409 names who could not be placed and why.',
    tag,
    roles: writers,
    params: groupParams,
    body: placementOfGroupSchema,
    idempotent: true,
    example: { adjacency: 'demand' },
    response: { 200: placedGroupSchema },
    problems: ['refused', 'double-use', 'wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, body, ifVersion, idempotency, now }, services) => {
    const command = { principal, ifVersion, idempotency, now, groupId: params.groupId, input: body };
    const placed = await placeMembers(services, command);
    return { status: 200, body: placed, version: placed.group.version, versionOfPart: true };
  }),
  defineRoute({
    method: 'POST',
    url: `${url}/:groupId/release`,
    operationId: 'releaseGroup',
    summary: 'Free the berths of a block that no member has',
    description: 'What its cut-off does by the clock. Members keep what they have.',
    tag,
    roles: writers,
    params: groupParams,
    idempotent: true,
    response: { 200: releasedGroupSchema },
    problems: ['wrong-state', 'stale-version'],
  }).handle(async ({ principal, params, ifVersion, idempotency, now }, services) => {
    const command = { principal, ifVersion, idempotency, now, groupId: params.groupId };
    const group = await releaseGroup(services, command);
    const freed = { berthIds: group.berthIds, from: Date.parse(group.from), until: Date.parse(group.until) };
    const nowFits = await whoFits(services, { marinaId: principal.marinaId, now }, freed);
    return { status: 200, body: { group, nowFits }, version: group.version, versionOfPart: true };
  }),
];

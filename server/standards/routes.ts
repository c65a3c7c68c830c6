import { z } from 'zod';
import { adapterKinds } from '../../core/standards/adapter-kinds.ts';
import { conductorRows, conductorSource } from '../../core/standards/conductors.ts';
import { configurations } from '../../core/standards/configurations.ts';
import { demandPractices } from '../../core/standards/demand-practices.ts';
import { supplySystems } from '../../core/standards/supply-systems.ts';
import { definePublicRoute, type RouteDefinition } from '../http/route.ts';
import { adapterKindSchema, practiceSchema } from '../inventory/schema.ts';
import { conductorRowSchema, configurationSchema, sourceSchema, supplySystemSchema } from './schema.ts';

const tag = 'Standards';
const memory = 'What was recalled and not read in its source is marked fromMemory.';

/** Built-in tables: the same for every marina and the same until the service is updated. */
export const routes: RouteDefinition[] = [
  definePublicRoute({
    method: 'GET',
    url: '/v1/standards/configurations',
    operationId: 'listConfigurations',
    summary: 'List the contact patterns of outlets, plugs and inlets',
    description: `Outlet and plug of one pattern mate, of different ones never; mating proves no volts. ${memory}`,
    tag,
    response: { 200: z.strictObject({ items: z.array(configurationSchema) }) },
  }).handle(async () => ({ status: 200, body: { items: configurations } })),
  definePublicRoute({
    method: 'GET',
    url: '/v1/standards/supply-systems',
    operationId: 'listSupplySystems',
    summary: 'List the supply systems with their lines',
    description: memory,
    tag,
    response: { 200: z.strictObject({ items: z.array(supplySystemSchema) }) },
  }).handle(async () => ({ status: 200, body: { items: supplySystems } })),
  definePublicRoute({
    method: 'GET',
    url: '/v1/standards/practices',
    operationId: 'listBuiltInPractices',
    summary: 'List the built-in demand practices',
    description: `A marina's own are at its path. ${memory}`,
    tag,
    response: { 200: z.strictObject({ items: z.array(practiceSchema) }) },
  }).handle(async () => ({ status: 200, body: { items: demandPractices } })),
  definePublicRoute({
    method: 'GET',
    url: '/v1/standards/adapter-kinds',
    operationId: 'listBuiltInAdapterKinds',
    summary: 'List the built-in kinds of adapters with their conductors',
    description: `A kind listed here is known, not recommended. A marina's own are at its path. ${memory}`,
    tag,
    response: { 200: z.strictObject({ items: z.array(adapterKindSchema) }) },
  }).handle(async () => ({ status: 200, body: { items: adapterKinds } })),
  definePublicRoute({
    method: 'GET',
    url: '/v1/standards/conductors',
    operationId: 'listConductors',
    summary: 'List conductor sizes with resistances and ampacities as published',
    description: `Before any correction; not for flexible cords. Null where the tables print nothing. ${memory}`,
    tag,
    response: { 200: z.strictObject({ source: sourceSchema, items: z.array(conductorRowSchema) }) },
  }).handle(async () => ({ status: 200, body: { source: conductorSource, items: conductorRows } })),
];

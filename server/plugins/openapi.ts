import swagger from '@fastify/swagger';
import swaggerUi from '@fastify/swagger-ui';
import type { FastifyInstance } from 'fastify';
import type { OpenApiDocument } from '../http/openapi.ts';

/** Serves the API's description at `/v1/openapi.json` and a page to read it at `/v1/docs`. */
export async function addOpenApi(app: FastifyInstance, document: OpenApiDocument): Promise<void> {
  app.get('/v1/openapi.json', { config: { roles: 'public' } }, async (_request, reply) => {
    return reply.type('application/json; charset=utf-8').serializer(JSON.stringify).send(document);
  });
  await app.register(async (docs) => {
    docs.addHook('onRoute', (route) => {
      route.config = { ...route.config, roles: 'public' };
    });
    // The page asks this plugin for its document; it has nothing to add to ours.
    await docs.register(swagger, { openapi: {}, hideUntagged: true, transformObject: () => document });
    await docs.register(swaggerUi, { routePrefix: '/v1/docs' });
  });
}

import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import cookie from '@fastify/cookie';
import fastify, { type FastifyInstance, type FastifyRequest } from 'fastify';
import type { Config } from './config.ts';
import { addJsonBody } from './http/json-body.ts';
import { openApiDocument } from './http/openapi.ts';
import { registerRoutes } from './http/register-routes.ts';
import { addStreamBody } from './http/stream-body.ts';
import { allPages } from './pages/all-pages.ts';
import { apiDoor } from './pages/api-door.ts';
import { registerPages, sendProblemPage } from './pages/register-pages.tsx';
import { addAuthentication } from './plugins/authentication.ts';
import { requireDeclaredRoles } from './plugins/declared-roles.ts';
import { addDue } from './plugins/due.ts';
import { addErrorHandler, sendRawProblem } from './plugins/error-handler.ts';
import { addOpenApi } from './plugins/openapi.ts';
import { addProblemPages } from './plugins/problem-pages.ts';
import { addRateLimit } from './plugins/rate-limit.ts';
import { projectRoot } from './project-root.ts';
import { apiRoutes } from './routes.ts';
import type { Services } from './services.ts';

export type AppOptions = Pick<Config, 'logLevel' | 'rateLimitPerMinute' | 'trustProxy'>;

const bodyLimit = 5 * 1024 * 1024;

/**
 * Builds the service, ready but not listening. Rejects when a route declares no role.
 * The order of the steps is the order a request meets them.
 */
export async function buildApp(services: Services, options: AppOptions): Promise<FastifyInstance> {
  const app = fastify({
    bodyLimit,
    trustProxy: options.trustProxy,
    genReqId: () => randomUUID(),
    // An idle connection must not hold a stop; a request that runs is answered.
    forceCloseConnections: 'idle',
    routerOptions: { maxParamLength: 200 },
    // A path that the router cannot even read meets no hook and no error handler.
    frameworkErrors: (error, request, reply) => sendRawProblem(error, request.id, reply.raw),
    logger: { level: options.logLevel, serializers: { req: describeRequest } },
  });
  app.removeContentTypeParser('text/plain');
  addJsonBody(app);
  addStreamBody(app);
  requireDeclaredRoles(app);
  addErrorHandler(app, (problem, request, reply) => sendProblemPage(problem, request, reply, services));
  app.addHook('onSend', async (request, reply) => {
    reply.header('x-request-id', request.id);
    reply.header('x-content-type-options', 'nosniff');
    if (!reply.hasHeader('cache-control')) reply.header('cache-control', 'no-store');
  });
  await app.register(cookie);
  const refusals = await addRateLimit(app, options.rateLimitPerMinute);
  addAuthentication(app, services, refusals.ofToken);
  addDue(app, services);
  // Streams would keep the service from stopping.
  app.addHook('preClose', async () => services.events.close());
  app.addHook('preClose', () => services.background.stop());
  registerRoutes(app, apiRoutes, services);
  const openApi = apiDoor(apiRoutes, services);
  await registerPages(app, allPages, { services, openApi, countFailedSignIn: refusals.ofPassword });
  addProblemPages(app);
  await addOpenApi(app, openApiDocument(apiRoutes, packageVersion()));
  await app.ready();
  return app;
}

/** The version of the package, as the API's description states it. */
export function packageVersion(): string {
  const document: unknown = JSON.parse(readFileSync(join(projectRoot, 'package.json'), 'utf8'));
  const version = typeof document === 'object' && document !== null && 'version' in document ? document.version : null;
  return String(version);
}

/** What is logged of a request: no headers, and no token that stands in a path. */
function describeRequest(request: FastifyRequest) {
  return {
    method: request.method,
    url: request.url.replaceAll(/qw[a-z]*_[\w-]+/g, 'qw_...'),
    remoteAddress: request.ip,
  };
}

import type { FastifyInstance } from 'fastify';
import type { Role } from '../http/access.ts';

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Who may use the route. Every route of the service declares it, or the service does not start. */
    roles?: readonly Role[] | 'public';
    /** A page: its caller is known by the session cookie, not by a bearer token. */
    page?: boolean;
    /** Kinds of body that the route takes as a stream. */
    streams?: readonly string[] | undefined;
    /** A route of the API that a page opens by itself: without a bearer token the session cookie counts. */
    session?: boolean;
  }
}

/** Keeps the service from starting when any route, of whatever plugin, declares no role. Add it before all routes. */
export function requireDeclaredRoles(app: FastifyInstance): void {
  const routes: { readonly name: string; readonly isDeclared: () => boolean }[] = [];
  app.addHook('onRoute', (route) => {
    routes.push({
      name: `${[route.method].flat().join(', ')} ${route.url}`,
      // Looked at when all is registered: a plugin's own hooks may declare the role.
      isDeclared: () => route.config?.roles !== undefined,
    });
  });
  app.addHook('onReady', async () => {
    const missing = routes.filter((route) => !route.isDeclared()).map((route) => route.name);
    if (missing.length > 0) throw new Error(`These routes declare no role: ${missing.join('; ')}.`);
  });
}

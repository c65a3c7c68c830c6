import type { RouteDefinition } from '../http/route.ts';
import { collectionRoutes } from './collection-routes.ts';
import { diagnosticsRoutes } from './diagnostics-routes.ts';
import { documentRoutes } from './document-routes.ts';

export const routes: readonly RouteDefinition[] = [...documentRoutes, ...diagnosticsRoutes, ...collectionRoutes];

import { routes as assignments } from './assignments/routes.ts';
import { routes as berthOptions } from './berth-options/routes.ts';
import { routes as boaterSheets } from './boater-sheets/routes.ts';
import { routes as boats } from './boats/routes.ts';
import { boatLoad } from './calculations/boat-load.ts';
import { iecConductorSizing } from './calculations/iec-sizing.ts';
import { leakage } from './calculations/leakage.ts';
import { loadProbability } from './calculations/load-probability.ts';
import { inventoryReview } from './calculations/review.ts';
import { routes as calculations } from './calculations/routes.ts';
import { conductorSizing } from './calculations/sizing.ts';
import { routes as changes } from './changes/routes.ts';
import { routes as checkIns } from './check-ins/routes.ts';
import { routes as demand } from './demand/routes.ts';
import { routes as events } from './events/routes.ts';
import { routes as feeds } from './feeds/routes.ts';
import { routes as groups } from './groups/routes.ts';
import { routes as health } from './health/routes.ts';
import { absenceRoutes } from './holdings/absence-routes.ts';
import { routes as holdings } from './holdings/routes.ts';
import type { RouteDefinition } from './http/route.ts';
import { routes as inventory } from './inventory/routes.ts';
import { displayRoutes } from './marinas/display.ts';
import { routes as marinas } from './marinas/routes.ts';
import { routes as meters } from './meters/routes.ts';
import { routes as occupancy } from './occupancy/routes.ts';
import { routes as outOfService } from './out-of-service/routes.ts';
import { routes as plans } from './plans/routes.ts';
import { routes as probability } from './probability/routes.ts';
import { routes as standards } from './standards/routes.ts';
import { routes as stays } from './stays/routes.ts';
import { routes as studies } from './studies/routes.ts';
import { routes as tokens } from './tokens/routes.ts';
import { routes as users } from './users/routes.ts';
import { routes as volts } from './volts/routes.ts';

/** Every route of the API. A resource adds its `routes.ts` here; the API's description is made from the same list. */
export const apiRoutes: readonly RouteDefinition[] = [
  ...health,
  ...changes,
  ...events,
  ...feeds,
  ...tokens,
  ...users,
  ...boats,
  ...stays,
  ...marinas,
  ...displayRoutes,
  ...inventory,
  ...holdings,
  ...absenceRoutes,
  ...outOfService,
  ...groups,
  ...occupancy,
  ...demand,
  ...volts,
  ...berthOptions,
  ...assignments,
  ...plans,
  ...checkIns,
  ...meters,
  ...boaterSheets,
  ...studies,
  ...probability,
  ...standards,
  ...calculations,
  boatLoad,
  leakage,
  conductorSizing,
  iecConductorSizing,
  inventoryReview,
  loadProbability,
];

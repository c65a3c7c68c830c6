import type { RouteDefinition } from '../http/route.ts';
import { combinedCurrents } from './combined-currents.ts';
import { feederDemand } from './feeder-demand.ts';
import { hookUp } from './hook-up.ts';
import { powerFlow } from './power-flow.ts';

/** Core's computations without a marina, open to all, so that an engineer can check any figure. */
export const routes: readonly RouteDefinition[] = [feederDemand, hookUp, combinedCurrents, powerFlow];

import { z } from 'zod';
import { instant } from '../http/fields.ts';

const use = {
  from: instant,
  until: instant.nullable(),
  overdueSince: instant
    .nullable()
    .describe('By the book the boat left then, and nobody has entered that it did: it is taken to be there. Look.'),
  by: z
    .strictObject({
      kind: z.enum(['assignment', 'holding', 'outOfService', 'group']),
      id: z.string(),
      label: z.string().describe('Boat, holder, reason of the closing, or group.'),
      stayId: z.string().nullable(),
      stayState: z.string().nullable(),
      boatId: z.string().nullable(),
    })
    .meta({ id: 'OccupancyUser' }),
};

export const occupancySchema = z
  .strictObject({
    from: instant,
    until: instant,
    spaces: z.array(
      z.strictObject({
        unitId: z.string(),
        unitLabel: z.string(),
        fromM: z.number().nullable().describe('Metres of a face; null on a unit that is taken whole.'),
        untilM: z.number().nullable(),
        ...use,
      }),
    ),
    outlets: z.array(
      z.strictObject({
        outletId: z.string(),
        outletLabel: z.string(),
        statedVa: z.number().nullable(),
        ...use,
      }),
    ),
  })
  .meta({ id: 'Occupancy' });

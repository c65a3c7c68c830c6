import { z } from 'zod';
import { instant } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';
import type { Displaced } from './displace.ts';

export const displacedSchema = z
  .strictObject({
    stayId: z.string(),
    stayState: z.string(),
    boatId: z.string(),
    boatName: z.string(),
    contactName: z.string(),
    contactPhone: z.string().nullable(),
    assignmentId: z.string(),
    berthId: z.string(),
    lost: z
      .enum(['space', 'outlet'])
      .describe('`outlet`: it keeps its berth, but its hook-up is void and must be judged anew.'),
    from: instant.describe('From when on.'),
    was: z.strictObject({ from: instant, until: instant }).describe('The assignment before.'),
    findings: z.array(findingSchema),
  })
  .meta({ id: 'Displaced', description: 'A stay that lost its berth or outlet and now needs one.' });

export function displacedDocument(displaced: Displaced): z.output<typeof displacedSchema> {
  const { assignment: _, from, was, findings, ...who } = displaced;
  return {
    ...who,
    from: new Date(from).toISOString(),
    was: { from: new Date(was.from).toISOString(), until: new Date(was.until).toISOString() },
    findings: [...findings],
  };
}

import { z } from 'zod';

export const subjectSchema = z
  .strictObject({
    kind: z.enum([
      'berth',
      'spaceUnit',
      'outlet',
      'pedestal',
      'equipment',
      'boat',
      'inlet',
      'cordSet',
      'adapter',
      'stay',
      'holding',
      'outOfService',
      'group',
      'practice',
      'marina',
    ]),
    id: z.string(),
    label: z.string(),
  })
  .meta({ id: 'Subject' });

const value = z.union([z.number(), z.string()]).nullable();

const missing = z.strictObject({ subject: subjectSchema, fact: z.string(), question: z.string() });

/** One rule's word on one subject, as the API answers it. */
export const findingSchema = z
  .strictObject({
    rule: z.string().describe('Name of the rule: its area, a dot, and what it looks at.'),
    level: z.enum(['refuse', 'confirm', 'caution', 'note']).describe('`confirm`: a missing fact decides.'),
    subject: subjectSchema,
    actual: value.describe('What was found; null where there is no single value.'),
    limit: value.describe('What it was held against; null where it is unknown or no value.'),
    unit: z.string().nullable(),
    source: z.string().describe('Where the limit comes from.'),
    message: z.string(),
    missingFact: missing.exactOptional().describe('The fact that decides, with the question to ask.'),
    alsoMissing: z
      .array(missing)
      .readonly()
      .exactOptional()
      .describe('Further facts that would narrow the same doubt.'),
    mend: z.string().exactOptional().describe('What would lift a refusal.'),
  })
  .meta({ id: 'Finding' });

/** Findings as they are stored. */
export const findingsSchema = z.array(findingSchema);

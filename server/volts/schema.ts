import { z } from 'zod';
import { practiceUsedSchema } from '../demand/schema.ts';
import { instant } from '../http/fields.ts';
import { findingSchema } from '../http/finding-schema.ts';

export const placeAssessment = z
  .enum(['assessed', 'atBest', 'notAssessed'])
  .describe(
    '`atBest`: some load of the same service could not be joined, so volts may be lower and amperes higher. ' +
      '`notAssessed`: a datum of it or above it is missing, and no figure is given. Never read it as within.',
  );

export const pairVoltsSchema = z
  .strictObject({
    between: z.string().describe('`L1-N`, `L1-L2`: lines of a part or a pedestal, contacts of an outlet.'),
    voltageV: z.number(),
    nominalV: z.number(),
  })
  .meta({ id: 'PairVolts' });

const place = { assessment: placeAssessment, volts: z.array(pairVoltsSchema) };

const currents = z.array(
  z.strictObject({
    name: z.string().describe('`L1`, `N`: lines and the neutral; of a transformer, its windings.'),
    currentA: z.number(),
    loading: z.number().nullable().describe('Share of what is entered as its rating, 1 is full; null without one.'),
  }),
);

const power = z.strictObject({ powerW: z.number(), reactivePowerVar: z.number() });

export const voltsSchema = z
  .strictObject({
    at: instant,
    inventoryRevision: z.int(),
    basis: z.enum(['rated', 'stated']),
    practice: practiceUsedSchema.nullable().describe('By which the shares come; null on the stated basis.'),
    status: z
      .enum(['solved', 'invalid', 'singular', 'notConverged'])
      .describe('Anything but `solved` gives no figure; `problems` says where the trouble shows.'),
    problems: z.array(
      z.strictObject({
        reason: z.string(),
        elementId: z.string().nullable(),
        terminal: z.string().nullable(),
        message: z.string(),
      }),
    ),
    parts: z.array(
      z.strictObject({
        equipmentId: z.string(),
        label: z.string(),
        kind: z.enum(['service', 'transformer', 'panelboard', 'feeder', 'branchCircuit']),
        parentId: z.string().nullable(),
        ...place,
        currents,
        lossW: z.number().nullable(),
      }),
    ),
    pedestals: z
      .array(
        z.strictObject({
          pedestalId: z.string(),
          label: z.string(),
          dockId: z.string(),
          alongDockM: z.number().nullable().describe("Distance from the dock's shore end."),
          ...place,
        }),
      )
      .describe('Volts at the end of the conductor that feeds the pedestal, in the order of the inventory.'),
    outlets: z.array(
      z.strictObject({ outletId: z.string(), label: z.string(), pedestalId: z.string(), ...place, currents }),
    ),
    worst: z
      .strictObject({ outletId: z.string(), between: z.string(), share: z.number() })
      .nullable()
      .describe('The outlet with the lowest volts for its nominal ones.'),
    totals: z.strictObject({ supplied: power, consumed: power, lost: power }).nullable(),
    loads: z
      .array(
        z.strictObject({
          outletId: z.string(),
          usedBy: z.strictObject({ kind: z.enum(['assignment', 'holding']), id: z.string(), label: z.string() }),
          from: z
            .enum(['rated', 'stated'])
            .describe("`rated`: the outlet's rating times `share`, assumed. `stated`: what the boat says it draws."),
          share: z.number().nullable(),
          totalVa: z.number().nullable(),
        }),
      )
      .describe('Every load that the solve took, and whether anybody stated it.'),
    shares: z
      .array(
        z.strictObject({
          equipmentId: z.string(),
          label: z.string(),
          receptacles: z.int(),
          ratedShare: z.number(),
        }),
      )
      .describe('Share of their ratings that outlets in use on one supply are taken to draw at once.'),
    assumptions: z.array(z.string()),
    findings: z.array(findingSchema),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'Volts' });

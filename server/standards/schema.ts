import { z } from 'zod';

const lineName = z.enum(['L1', 'L2', 'L3']);
const perConduit = z.strictObject({ pvc: z.number(), aluminium: z.number(), steel: z.number() }).nullable();
const perMaterial = z.strictObject({ copper: perConduit, aluminium: perConduit });
const perTermination = z.strictObject({ 60: z.number(), 75: z.number(), 90: z.number() }).nullable();
const ohms = z.number().nullable();

export const sourceSchema = z
  .strictObject({
    title: z.string(),
    fromMemory: z.boolean().describe('Recalled, not read in the source.'),
  })
  .meta({ id: 'Source' });

export const configurationSchema = z
  .strictObject({
    id: z.string(),
    name: z.string(),
    family: z.enum(['NEMA WD 6', 'pin-and-sleeve', 'IEC 60309', 'marina']),
    poles: z.int(),
    wires: z.int(),
    ratedA: z.number(),
    labelV: z.string().describe("The label's volts; computation uses nominal volts of the supply."),
    terminals: z.array(z.enum(['L1', 'L2', 'L3', 'N', 'G'])),
    lineToNeutralV: z.number().nullable(),
    lineToLineV: z.number().nullable(),
    frequencyHz: z.array(z.number()),
    shorePower: z.boolean().describe('False for general-purpose patterns: they are no shore power.'),
    source: sourceSchema,
  })
  .meta({ id: 'Configuration' });

export const supplySystemSchema = z
  .strictObject({
    id: z.string(),
    name: z.string(),
    lines: z.array(z.strictObject({ name: lineName, voltageV: z.number(), angleDeg: z.number() })),
    hasNeutral: z.boolean(),
    frequencyHz: z.union([z.literal(50), z.literal(60)]),
    source: sourceSchema,
  })
  .meta({ id: 'SupplySystem', description: 'Volts line to neutral.' });

export const conductorRowSchema = z
  .strictObject({
    size: z.string(),
    sizeUnit: z.enum(['AWG', 'kcmil']),
    areaCmil: z.number(),
    dcResistanceOhmPerKft: z.strictObject({
      copperUncoatedSolid: ohms,
      copperUncoated: ohms,
      copperCoated: ohms,
      aluminiumSolid: ohms,
      aluminium: ohms,
    }),
    reactanceOhmPerKft: z.strictObject({ pvcOrAluminium: z.number(), steel: z.number() }).nullable(),
    acResistanceOhmPerKft: perMaterial,
    impedance085OhmPerKft: perMaterial,
    ampacityA: z
      .strictObject({ copper: perTermination, aluminium: perTermination })
      .describe('By the temperature rating of the terminals, degrees Celsius.'),
  })
  .meta({ id: 'ConductorRow', description: 'Ohms per 1000 ft as printed.' });

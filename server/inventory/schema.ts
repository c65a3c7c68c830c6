import { z } from 'zod';
import { line } from '../http/fields.ts';

/** The API's id of a thing in the inventory: chosen by the marina, kept for ever, safe in a path without escaping. */
export const inventoryId = z
  .string()
  .max(64)
  .regex(/^[A-Za-z0-9][A-Za-z0-9._~-]*$/, 'An id has 1 to 64 letters, digits, ".", "_", "~" or "-".')
  .meta({ example: 'B-07' });

/** What people call a thing. Spaces around it are cut off. */
export const label = line(80).trim();

export const timeZone = z
  .string()
  .max(64)
  .refine(isTimeZone, 'Use an IANA time zone, such as America/Chicago.')
  .meta({ example: 'America/Chicago' });

/** Whether it is an IANA name. Offsets such as +02:00 are accepted by Intl but know no summer time. */
function isTimeZone(name: string): boolean {
  try {
    return /^[A-Za-z]/.test(name) && new Intl.DateTimeFormat('en', { timeZone: name }) !== null;
  } catch {
    return false;
  }
}

export const metres = z.number().min(0).max(10_000);
export const anyMetres = z.number().min(-10_000).max(10_000);
export const amperes = z.number().positive().max(100_000);
export const unknownUnless = <T extends z.ZodType>(schema: T) => schema.nullable().default(null);

export const lineName = z.enum(['L1', 'L2', 'L3']);
const terminal = z.enum(['L1', 'L2', 'L3', 'N', 'G']);
const source = z.strictObject({ title: line(300), fromMemory: z.boolean().default(false) });
export const earthing = z.enum(['TN-S', 'TN-C-S', 'TT', 'groundedNeutral']);
const localDay = z.iso.date();

export const groundFaultSchema = z
  .strictObject({
    device: z.enum(['fitted', 'none', 'unknown']),
    settingMa: unknownUnless(z.number().positive().max(100_000)),
    delayMs: unknownUnless(z.number().min(0).max(100_000)),
  })
  .default({ device: 'unknown', settingMa: null, delayMs: null })
  .meta({ id: 'GroundFault', description: '`unknown` is a device nobody has looked for, and is not safe.' });

export const settingsSchema = z
  .strictObject({
    practiceId: inventoryId.default('nec-555-2020'),
    countingBasis: z.enum(['all', 'mostLoadedLine']).default('all'),
    refusingBasis: z.enum(['rated', 'stated']).default('rated'),
    overhangAllowedM: metres.default(0),
    beamClearanceM: metres.default(0.3),
    underKeelAllowanceM: metres.default(0.5),
    lowestTideM: unknownUnless(anyMetres),
    predictedLowTides: z
      .array(z.strictObject({ from: localDay, until: localDay, heightM: anyMetres }))
      .max(2_000)
      .default([]),
    tidalRangeM: metres.default(0),
    cordSlackM: metres.default(1),
    usualCordLengthsM: z.array(metres.positive()).min(1).max(20).default([7.6, 15.2]),
    cordsInSeriesAllowed: z.union([z.literal(1), z.literal(2)]).default(1),
    refuseCordBelowBreaker: z.boolean().default(false),
    turnoverMinutes: z.number().int().min(0).max(10_080).default(60),
    arrivalHour: z.number().int().min(0).max(23).default(14),
    departureHour: z.number().int().min(0).max(23).default(11),
    noShowHour: z.number().int().min(0).max(23).default(22),
    recallNoticeHours: z.number().min(0).max(10_000).default(48),
  })
  .meta({ id: 'MarinaSettings' });

export const practiceSchema = z
  .strictObject({
    id: inventoryId,
    name: label,
    rows: z
      .array(
        z.strictObject({
          from: z.number().int().positive(),
          to: z.number().int().positive().nullable(),
          factor: z.number().positive().max(1),
        }),
      )
      .min(1)
      .max(100),
    subMeterFactor: unknownUnless(z.number().positive().max(1)),
    twoVoltageRule: z.boolean().default(false),
    notes: z.array(z.string().max(500)).max(20).default([]),
    source,
  })
  .meta({ id: 'DemandPractice', description: "A marina's own demand practice, with its source." });

const fitting = z.strictObject({ id: z.string().min(1).max(10), configurationId: z.string().min(1).max(64) });
const contact = z.strictObject({ fitting: z.string().min(1).max(10), terminal });

export const adapterKindSchema = z
  .strictObject({
    id: inventoryId,
    name: label,
    plugs: z.array(fitting).min(1).max(4),
    connectors: z.array(fitting).min(1).max(4),
    conductors: z
      .array(
        z.strictObject({
          from: contact,
          to: contact,
          ratedA: amperes,
          ratedV: z.number().positive().max(1_000),
          breakerA: unknownUnless(amperes),
        }),
      )
      .max(40),
    interlock: z.boolean().default(false),
    source,
  })
  .meta({ id: 'AdapterKind', description: "A marina's own kind of adapter: which contact joins which." });

export const dockSchema = z
  .strictObject({
    id: inventoryId,
    label,
    kind: z.enum(['floating', 'fixed']),
    lengthM: unknownUnless(metres),
  })
  .meta({ id: 'Dock' });

export const conductorSchema = z.strictObject({
  material: z.enum(['copper', 'aluminium']),
  size: z.string().min(1).max(10),
  sizeUnit: z.enum(['AWG', 'kcmil', 'mm2']),
  parallelSets: z.number().int().min(1).max(20).default(1),
  lengthM: unknownUnless(metres),
});

export const equipmentSchema = z
  .strictObject({
    id: inventoryId,
    label,
    kind: z.enum(['service', 'transformer', 'panelboard', 'feeder', 'branchCircuit']),
    parentId: unknownUnless(inventoryId),
    systemId: unknownUnless(z.string().min(1).max(64)),
    lines: unknownUnless(z.array(lineName).min(1).max(3)),
    breakerA: unknownUnless(amperes),
    conductorAmpacityA: unknownUnless(amperes),
    neutralAmpacityA: unknownUnless(amperes),
    busA: unknownUnless(amperes),
    conductor: unknownUnless(conductorSchema),
    transformer: unknownUnless(
      z.strictObject({
        ratedKva: unknownUnless(z.number().positive().max(100_000)),
        connection: z.enum(['centreTapped', 'highLegBank', 'deltaWye', 'wyeWye']),
        percentR: unknownUnless(z.number().min(0).max(100)),
        percentX: unknownUnless(z.number().min(0).max(100)),
      }),
    ),
    groundFault: groundFaultSchema,
    otherLoads: z
      .array(
        z.strictObject({
          label,
          loadVa: z.strictObject({
            L1: z.number().min(0).max(1e8).exactOptional(),
            L2: z.number().min(0).max(1e8).exactOptional(),
            L3: z.number().min(0).max(1e8).exactOptional(),
          }),
        }),
      )
      .max(100)
      .default([]),
    earthing: unknownUnless(earthing),
  })
  .meta({ id: 'Equipment' });

export const pedestalSchema = z
  .strictObject({
    id: inventoryId,
    label,
    dockId: inventoryId,
    fedById: inventoryId,
    alongDockM: unknownUnless(metres),
  })
  .meta({ id: 'Pedestal' });

export const outletSchema = z
  .strictObject({
    id: inventoryId,
    label,
    pedestalId: inventoryId,
    fedById: unknownUnless(inventoryId),
    configurationId: z.string().min(1).max(64),
    lines: unknownUnless(z.array(lineName).min(1).max(3)),
    breakerA: unknownUnless(amperes),
    groundFault: groundFaultSchema,
    dedicatedBerthId: unknownUnless(inventoryId),
    subMetered: z.boolean().default(false),
    heightM: unknownUnless(metres),
  })
  .meta({ id: 'Outlet' });

export const spaceUnitSchema = z
  .strictObject({
    id: inventoryId,
    label,
    dockId: inventoryId,
    kind: z.enum(['slip', 'raftPlace', 'face']),
    faceLengthM: unknownUnless(metres.positive()),
  })
  .meta({ id: 'SpaceUnit', description: 'An exclusive unit of space: two boats are never on one at once.' });

export const mooring = z.enum(['fingerPier', 'pilings', 'alongside', 'rafted', 'sternTo']);
export const fingerOn = unknownUnless(z.enum(['left', 'right'])).describe(
  'Side of the finger pier for one who looks from the water at the inner end.',
);
export const orientations = z
  .array(z.enum(['bowIn', 'sternIn']))
  .min(1)
  .max(2)
  .default(['bowIn', 'sternIn']);

export const berthSchema = z
  .strictObject({
    id: inventoryId,
    label,
    unitIds: z.array(inventoryId).min(1).max(10),
    faceFromM: unknownUnless(metres),
    faceUntilM: unknownUnless(metres),
    mooring,
    fingerOn,
    lengthM: unknownUnless(metres),
    beamM: unknownUnless(metres),
    depthM: unknownUnless(anyMetres),
    orientations,
    reaches: z
      .array(
        z.strictObject({
          outletId: inventoryId,
          alongM: unknownUnless(anyMetres),
          acrossM: unknownUnless(anyMetres),
          detourM: metres.default(0),
        }),
      )
      .max(40)
      .default([]),
  })
  .meta({ id: 'Berth' });

export const adapterStockSchema = z
  .strictObject({
    id: inventoryId,
    label,
    adapterKindId: inventoryId,
    quantity: z.number().int().min(0).max(10_000),
  })
  .meta({ id: 'AdapterStock' });

/** One schema per collection, in the order in which each refers only to those before it. */
export const collectionSchemas = {
  practices: practiceSchema,
  adapterKinds: adapterKindSchema,
  docks: dockSchema,
  equipment: equipmentSchema,
  pedestals: pedestalSchema,
  outlets: outletSchema,
  spaceUnits: spaceUnitSchema,
  berths: berthSchema,
  adapterStock: adapterStockSchema,
} as const;

/** Most items of one kind: far above any marina, and low enough to be read and judged in a request. */
export const mostItems = 20_000;

/** A whole marina as one document, as `GET` answers it. */
export const inventorySchema = z
  .strictObject({
    name: label,
    timeZone,
    settings: settingsSchema,
    practices: z.array(practiceSchema).max(100).default([]),
    adapterKinds: z.array(adapterKindSchema).max(1_000).default([]),
    docks: z.array(dockSchema).max(1_000).default([]),
    equipment: z.array(equipmentSchema).max(mostItems).default([]),
    pedestals: z.array(pedestalSchema).max(mostItems).default([]),
    outlets: z.array(outletSchema).max(mostItems).default([]),
    spaceUnits: z.array(spaceUnitSchema).max(mostItems).default([]),
    berths: z.array(berthSchema).max(mostItems).default([]),
    adapterStock: z.array(adapterStockSchema).max(1_000).default([]),
  })
  .meta({ id: 'Inventory' });

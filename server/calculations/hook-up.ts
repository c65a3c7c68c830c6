import { z } from 'zod';
import { electricalCautions } from '../../core/cautions.ts';
import { calculateHookUp, type HookUpCalculation } from '../../core/electrical/hook-up/calculate.ts';
import { adapterKind, adapterKinds } from '../../core/standards/adapter-kinds.ts';
import { configuration, configurations } from '../../core/standards/configurations.ts';
import { supplySystem, supplySystems } from '../../core/standards/supply-systems.ts';
import { connectionSchema, hookUpSchema, verdictSchema } from '../berth-options/schema.ts';
import { acceptedSupply, isolationTransformer, neutralBond, ownSupply } from '../boats/schema.ts';
import { type InputError, Problem } from '../errors.ts';
import { findingSchema } from '../http/finding-schema.ts';
import { definePublicRoute } from '../http/route.ts';
import {
  adapterKindSchema,
  amperes,
  earthing,
  groundFaultSchema,
  inventoryId,
  lineName,
  unknownUnless,
} from '../inventory/schema.ts';
import { requireSoundKinds } from './own-kinds.ts';

const designation = z.string().min(1).max(64);

const cordSet = z.strictObject({
  id: inventoryId,
  lengthM: z.number().positive().max(1_000),
  configurationId: designation,
  ratedA: amperes,
});

const lineEnd = z.enum(['L1', 'L2', 'L3', 'N']);

const loadSchema = z
  .strictObject({
    inletId: inventoryId,
    from: lineName,
    to: lineEnd,
    demand: z.discriminatedUnion('model', [
      z.strictObject({ model: z.literal('resistive'), resistanceOhm: z.number().positive().max(1e9) }),
      z.strictObject({ model: z.literal('constantCurrent'), currentA: z.number().min(0).max(10_000) }),
      z.strictObject({
        model: z.literal('constantPower'),
        powerW: z.number().min(0).max(1e6),
        reactivePowerVar: z.number().min(-1e6).max(1e6).default(0),
      }),
    ]),
  })
  .meta({ id: 'HookUpLoad' });

const phasor = { magnitude: z.number(), angleDeg: z.number() };

const circuitSchema = z
  .strictObject({
    status: z
      .enum(['solved', 'notSolved'])
      .describe(
        '`notSolved`: lines or systems are unknown, an end is open, or a load gets no steady volts; see `why`.',
      ),
    why: z.string().nullable(),
    volts: z.array(
      z.strictObject({
        inletId: z.string(),
        between: z.array(lineEnd).length(2),
        ratedV: z.number(),
        unloaded: z.strictObject(phasor).nullable().describe('V; null where nothing settles it.'),
        loaded: z.strictObject(phasor).nullable(),
        loadA: z.number().describe('Drawn by what hangs here.'),
      }),
    ),
    contacts: z
      .array(
        z.strictObject({
          outletId: z.string(),
          contact: z.enum(['L1', 'L2', 'L3', 'N', 'G']),
          amperes: z.strictObject(phasor),
          breakerA: z.number().nullable(),
        }),
      )
      .describe('Currents out of each contact of each outlet, A.'),
    conductors: z.array(
      z.strictObject({ what: z.string(), elementId: z.string(), amperes: z.number(), ratedA: z.number() }),
    ),
    devices: z.array(
      z.strictObject({
        label: z.string(),
        device: z.enum(['fitted', 'none', 'unknown']),
        settingMa: z.number().nullable(),
        residualMa: z.number(),
      }),
    ),
    lossW: z.number().describe('In contacts, adapters and cords.'),
  })
  .meta({ id: 'HookUpCircuit', description: 'The circuit solved: volts at every load, amperes in every conductor.' });

const inputSchema = z
  .strictObject({
    outlets: z
      .array(
        z.strictObject({
          id: inventoryId,
          configurationId: designation,
          systemId: unknownUnless(designation),
          lines: unknownUnless(z.array(lineName).min(1).max(3)),
          breakerA: unknownUnless(amperes),
          groundFault: groundFaultSchema,
          earthing: unknownUnless(earthing),
          supplyId: unknownUnless(inventoryId).describe('One word for all outlets of one transformer or service.'),
        }),
      )
      .min(1)
      .max(12),
    inlets: z
      .array(
        z.strictObject({
          id: inventoryId,
          configurationIds: unknownUnless(z.array(designation).min(1).max(10)),
          mainBreakerA: unknownUnless(amperes),
          duty: unknownUnless(z.enum(['house', 'airConditioning', 'charger', 'notPower'])),
          needsLineToLine: unknownUnless(z.boolean()),
          transformer: unknownUnless(isolationTransformer.or(z.literal('none'))),
          accepts: unknownUnless(acceptedSupply),
        }),
      )
      .max(4),
    frequenciesHz: unknownUnless(
      z
        .array(z.union([z.literal(50), z.literal(60)]))
        .min(1)
        .max(2),
    ),
    neutralBond: unknownUnless(neutralBond),
    ownSupplies: unknownUnless(z.array(ownSupply).max(8)),
    loads: unknownUnless(z.array(loadSchema).max(24)).describe(
      'Loads to solve the circuit with; null: every leg at what its breakers pass. They change no verdict.',
    ),
    cordSets: unknownUnless(z.array(cordSet).max(20)),
    adapterKindIds: z.array(inventoryId).max(12).default([]).describe('Adapters at hand, built-in kinds or own ones.'),
    ownAdapterKinds: z.array(adapterKindSchema).max(12).default([]),
    refuseCordBelowBreaker: z.boolean().default(false),
    hookUp: unknownUnless(hookUpSchema).describe('The joints to judge; null: find the best ways.'),
    most: z.number().int().min(1).max(10).default(3).describe('Ways to find.'),
  })
  .meta({ id: 'HookUpCalculation', description: 'Null is unknown, and never judged as fine.' });

const resultSchema = z
  .strictObject({
    hookUps: z
      .array(
        z.strictObject({
          verdict: verdictSchema,
          findings: z.array(findingSchema),
          outletIds: z.array(z.string()),
          connection: connectionSchema,
          circuit: circuitSchema,
        }),
      )
      .describe('Best first; the one judged where joints were given.'),
    findings: z.array(findingSchema).describe('Why there is none, where there is none.'),
    truncated: z.boolean().describe('The search was cut short at its bound; the best found stand.'),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'HookUpResult' });

export const hookUp = definePublicRoute({
  method: 'POST',
  url: '/v1/calculations/hook-up',
  operationId: 'calculateHookUp',
  summary: 'Judge a hook-up, or find the best ones',
  description:
    'Stores nothing. The circuit is solved with the loads given, or with every leg at what its breakers pass. The example ' +
    'is a combiner on both lines of 120/240 V with 20 A and 10 A on its legs: by Kirchhoff 10 A are left in the neutral and ' +
    '15 A residual at each outlet, so that their ground-fault devices trip, and the answer refuses it.',
  tag: 'Calculations',
  body: inputSchema,
  example: combinerOnTwoLines(),
  response: { 200: resultSchema },
  problems: ['faulty-document'],
}).handle(async ({ body }) => {
  requireSoundKinds({ adapterKinds: body.ownAdapterKinds }, (pointer) =>
    pointer.replace('/adapterKinds', '/ownAdapterKinds'),
  );
  const errors = [...unknownIds(body), ...systemsOfOneSupply(body)];
  if (errors.length > 0) throw new Problem('invalid-input', errors[0]?.message ?? '', { errors });
  const { hookUps, findings, truncated } = calculateHookUp(body);
  return {
    status: 200,
    body: {
      hookUps: hookUps.map(({ hookUp, inlets, availableVa, circuit, ...judged }) => ({
        verdict: judged.verdict,
        findings: judged.findings,
        outletIds: judged.outletIds,
        connection: { hookUp, inlets, availableVa },
        circuit,
      })),
      findings,
      truncated,
      cautions: electricalCautions,
    },
  };
});

/** Designations that mean nothing here: the engine would take them as unknown, a calculator says so instead. */
function unknownIds(input: HookUpCalculation): InputError[] {
  const errors: InputError[] = [];
  const need = (isKnown: boolean, pointer: string, what: string, id: string, known: string) => {
    if (isKnown) return;
    errors.push({ in: 'body', pointer, message: `There is no ${what} "${id}". ${known}` });
  };
  const ids = (items: readonly { readonly id: string }[]) => items.map(({ id }) => id).join(', ');
  const pattern = (pointer: string, id: string) =>
    need(configuration(id) !== null, pointer, 'configuration', id, `Use one of: ${ids(configurations)}.`);
  const own = new Set(input.ownAdapterKinds.map(({ id }) => id));
  const kind = (pointer: string, id: string) => {
    const isKnown = own.has(id) || adapterKind(id) !== null;
    need(
      isKnown,
      pointer,
      'adapter kind',
      id,
      `Describe it under ownAdapterKinds, or use one of: ${ids(adapterKinds)}.`,
    );
  };
  input.outlets.forEach(({ configurationId, systemId }, i) => {
    pattern(`/outlets/${i}/configurationId`, configurationId);
    if (systemId === null) return;
    const isKnown = supplySystem(systemId) !== null;
    need(isKnown, `/outlets/${i}/systemId`, 'supply system', systemId, `Use one of: ${ids(supplySystems)}.`);
  });
  input.inlets.forEach(({ configurationIds }, i) => {
    configurationIds?.forEach((id, j) => {
      pattern(`/inlets/${i}/configurationIds/${j}`, id);
    });
  });
  input.cordSets?.forEach(({ configurationId }, i) => {
    pattern(`/cordSets/${i}/configurationId`, configurationId);
  });
  input.adapterKindIds.forEach((id, i) => {
    kind(`/adapterKindIds/${i}`, id);
  });
  return errors;
}

/** A transformer or service makes one system: of two that are stated, the calculator cannot know which is right. */
function systemsOfOneSupply({ outlets }: HookUpCalculation): InputError[] {
  return outlets.flatMap(({ systemId, supplyId }, i) => {
    if (systemId === null || supplyId === null) return [];
    const first = outlets.find((each) => each.supplyId === supplyId && each.systemId !== null);
    if (first === undefined || first.systemId === systemId) return [];
    const message = `Supply "${supplyId}" has the system "${first.systemId}" at outlet ${first.id} and "${systemId}" here. One supply makes one system: correct one, or name another supply.`;
    return [{ in: 'body', pointer: `/outlets/${i}/systemId`, message }];
  });
}

function combinerOnTwoLines(): z.input<typeof inputSchema> {
  const outlet = {
    configurationId: 'L5-30',
    systemId: '120/240-split-phase',
    breakerA: 30,
    groundFault: { device: 'fitted' as const, settingMa: 30 },
    earthing: 'groundedNeutral' as const,
    supplyId: 'transformer',
  };
  return {
    outlets: [
      { ...outlet, id: '7A', lines: ['L1'] },
      { ...outlet, id: '7B', lines: ['L2'] },
    ],
    inlets: [{ id: 'I1', configurationIds: ['SS2-50'], mainBreakerA: 50, duty: 'house', needsLineToLine: true }],
    frequenciesHz: [60],
    cordSets: [{ id: 'K1', lengthM: 15.2, configurationId: 'SS2-50', ratedA: 50 }],
    adapterKindIds: ['combiner-2xL5-30-to-SS2-50'],
    neutralBond: 'none',
    ownSupplies: [],
    loads: [
      { inletId: 'I1', from: 'L1', to: 'N', demand: { model: 'constantCurrent', currentA: 20 } },
      { inletId: 'I1', from: 'L2', to: 'N', demand: { model: 'constantCurrent', currentA: 10 } },
    ],
  };
}

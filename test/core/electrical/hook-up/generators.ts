import fc from 'fast-check';
import type { CordSet, Inlet, NeutralBond, OwnSupply } from '../../../../core/boats.ts';
import type { HookUpBoat } from '../../../../core/electrical/hook-up/hook-up.ts';
import type { SupplyOutlet } from '../../../../core/electrical/hook-up/supply-outlet.ts';
import type { Configuration, LineName } from '../../../../core/standards/configuration.ts';
import { configurations } from '../../../../core/standards/configurations.ts';
import { supplySystems } from '../../../../core/standards/supply-systems.ts';
import { boat, fact, inlet } from './support.ts';

const commonIds = [
  'L5-30',
  'L5-30',
  'L5-30',
  'SS2-50',
  'SS2-50',
  'SS1-50',
  'L14-30',
  'PS-100-125/250-3P4W',
  'L6-30',
  '5-20',
];
const patterns = configurations.filter(({ id }) => commonIds.includes(id));
const pattern = fc.constantFrom(...commonIds, 'PS-100-120/208-4P5W', 'IEC-32-2P+E-230-6h', 'IEC-32-3P+N+E-400-6h');
const systems = supplySystems.filter(({ hasNeutral }) => hasNeutral);

function patternOf(id: string): Configuration {
  const found = configurations.find((each) => each.id === id) ?? patterns[0];
  if (found === undefined) throw new Error(`no pattern ${id}`);
  return found;
}

/** An outlet of which everything is known. */
export function knownOutlet(id: string): fc.Arbitrary<SupplyOutlet> {
  return fc
    .record({
      configurationId: pattern,
      system: fc.constantFrom(...systems, ...systems.filter((each) => each.id === '120/240-split-phase')),
      shift: fc.nat(2),
      breakerA: fc.constantFrom(15, 20, 30, 50, 60, 100),
      device: fc.constantFrom('fitted', 'fitted', 'none') as fc.Arbitrary<'fitted' | 'none'>,
      settingMa: fc.constantFrom(5, 30, 100),
      supplyId: fc.constantFrom('T1', 'T1', 'T1', 'T2'),
      earthing: fc.constantFrom('TT', 'TN-S', 'TT', 'TN-S', 'TN-C-S') as fc.Arbitrary<SupplyOutlet['earthing']>,
      above: fc.constantFrom(null, 'F1', 'F2'),
    })
    .map(({ configurationId, system, shift, breakerA, device, settingMa, supplyId, earthing, above }) => {
      const wanted = patternOf(configurationId).terminals.filter((each) => each.startsWith('L')).length;
      const names = system.lines.map((line) => line.name);
      const lines = Array.from({ length: wanted }, (_, i): LineName => names[(i + shift) % names.length] ?? 'L1');
      return {
        id,
        label: id.toUpperCase(),
        configurationId,
        lines,
        system,
        earthing: system.frequencyHz === 50 || earthing === 'TN-C-S' ? earthing : 'groundedNeutral',
        breakerA,
        groundFault: { device, settingMa: device === 'fitted' ? settingMa : null, delayMs: 0 },
        supplyId,
        devicesAbove: above === null ? [] : [{ equipmentId: above, device: 'fitted' as const }],
      };
    });
}

function knownInlet(id: string, duties: readonly NonNullable<Inlet['duty']>['value'][]): fc.Arbitrary<Inlet> {
  return fc
    .record({
      configurationId: pattern,
      mainBreakerA: fc.constantFrom(20, 30, 50, 100),
      needsLineToLine: fc.boolean(),
      duty: fc.constantFrom(...duties),
      place: fc.constantFrom('none', 'none', 'none', 'aboard', 'dockBox') as fc.Arbitrary<
        'none' | 'aboard' | 'dockBox'
      >,
      legs: fc.constantFrom(1 as const, 2 as const),
      ratedVa: fc.constantFrom(null, 3_600, 12_000),
      isUniversal: fc.boolean(),
    })
    .map(({ configurationId, mainBreakerA, needsLineToLine, duty, place, legs, ratedVa, isUniversal }) => {
      const { lineToNeutralV, lineToLineV } = patternOf(configurationId);
      const primaryV = lineToLineV ?? lineToNeutralV;
      // Made for the pattern of its inlet, as mating promises; what is made for other volts has to be told.
      const transformer =
        place === 'none' || primaryV === null
          ? ('none' as const)
          : { place, primaryV, secondaryV: primaryV, legs: lineToLineV === null ? (1 as const) : legs, ratedVa };
      return inlet(id, configurationId, {
        mainBreakerA: fact(mainBreakerA),
        needsLineToLine: fact(transformer !== 'none' || needsLineToLine),
        duty: fact(duty),
        transformer: fact(transformer),
        accepts:
          duty === 'charger' && isUniversal ? fact({ lowestV: 100, highestV: 250, frequenciesHz: [50, 60] }) : null,
      });
    });
}

/** A boat of which everything is known, with 1 to `most` inlets. */
export function knownBoat(most: number): fc.Arbitrary<HookUpBoat> {
  // A boat whose only inlet is no power inlet wants no power: the caller names the plug it wants fed.
  const inlets = fc.oneof(
    fc.tuple(knownInlet('I1', ['house'])),
    most > 1
      ? fc.tuple(
          knownInlet('I1', ['house', 'airConditioning', 'charger']),
          knownInlet('I2', ['house', 'airConditioning', 'charger', 'notPower']),
        )
      : fc.tuple(knownInlet('I1', ['house'])),
  );
  const cords = fc.array(
    fc.record({ configurationId: pattern, ratedA: fc.constantFrom(30, 50, 100) }).map(
      ({ configurationId, ratedA }): CordSet => ({
        id: `${configurationId} ${ratedA}`,
        lengthM: 15,
        configurationId,
        ratedA: Math.min(ratedA, patternOf(configurationId).ratedA),
      }),
    ),
    { maxLength: 3 },
  );
  return fc
    .record({
      inlets,
      cords,
      frequenciesHz: fc.constantFrom([60], [60], [60], [50], [50, 60]),
      every: fc.boolean(),
      neutralBond: fc.constantFrom<NeutralBond>('none', 'none', 'none', 'none', 'ownSupply', 'ownSupply', 'always'),
      ownSupplies: fc.constantFrom<readonly OwnSupply[]>(
        [],
        [],
        [],
        [{ kind: 'generator', transfer: 'switched' }],
        [{ kind: 'generator', transfer: 'switched' }],
        [{ kind: 'inverter', transfer: 'parallel' }],
      ),
    })
    .map(({ inlets: list, cords: some, frequenciesHz, every, neutralBond, ownSupplies }) =>
      boat(list, {
        frequenciesHz: fact(frequenciesHz),
        neutralBond: fact(neutralBond),
        ownSupplies: fact(ownSupplies),
        ...(every ? {} : { cordSets: fact(some) }),
      }),
    );
}

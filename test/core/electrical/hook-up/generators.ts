import fc from 'fast-check';
import type { CordSet, Inlet } from '../../../../core/boats.ts';
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
      earthing: fc.constantFrom('TT', 'TN-S', 'TN-C-S') as fc.Arbitrary<SupplyOutlet['earthing']>,
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
        // In the 60 Hz practice the neutral is grounded by code, and nobody is asked for it.
        earthing: system.frequencyHz === 50 ? earthing : 'groundedNeutral',
        breakerA,
        groundFault: { device, settingMa: device === 'fitted' ? settingMa : null, delayMs: 0 },
        supplyId,
        devicesAbove: above === null ? [] : [{ equipmentId: above, device: 'fitted' as const }],
      };
    });
}

function knownInlet(id: string, duties: readonly ('house' | 'airConditioning' | 'notPower')[]): fc.Arbitrary<Inlet> {
  return fc
    .record({
      configurationId: pattern,
      mainBreakerA: fc.constantFrom(20, 30, 50, 100),
      needsLineToLine: fc.boolean(),
      duty: fc.constantFrom(...duties),
    })
    .map(({ configurationId, mainBreakerA, needsLineToLine, duty }) =>
      inlet(id, configurationId, {
        mainBreakerA: fact(mainBreakerA),
        needsLineToLine: fact(needsLineToLine),
        duty: fact(duty),
      }),
    );
}

/** A boat of which everything is known, with 1 to `most` inlets. */
export function knownBoat(most: number): fc.Arbitrary<HookUpBoat> {
  // A boat whose only inlet is no power inlet wants no power: the caller names the plug it wants fed.
  const inlets = fc.oneof(
    fc.tuple(knownInlet('I1', ['house'])),
    most > 1
      ? fc.tuple(
          knownInlet('I1', ['house', 'airConditioning']),
          knownInlet('I2', ['house', 'airConditioning', 'notPower']),
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
    .record({ inlets, cords, frequenciesHz: fc.constantFrom([60], [60], [60], [50], [50, 60]), every: fc.boolean() })
    .map(({ inlets: list, cords: some, frequenciesHz, every }) =>
      boat(list, {
        frequenciesHz: fact(frequenciesHz),
        ...(every ? {} : { cordSets: fact(some) }),
      }),
    );
}

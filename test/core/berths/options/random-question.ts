import fc from 'fast-check';
import type { OutletUse, SpaceUse } from '../../../../core/berths/occupancy.ts';
import { noWishes, type OptionsQuestion } from '../../../../core/berths/options/options.ts';
import type { Boat, Inlet, NeutralBond, OwnSupply } from '../../../../core/boats.ts';
import type { MaybeFact } from '../../../../core/facts.ts';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import type { Berth, Inventory } from '../../../../core/inventory/inventory.ts';
import { demandPractice } from '../../../../core/standards/demand-practices.ts';
import { sampleInventory, sampleSettings } from '../../../support/sample-inventory.ts';

const hour = 3_600_000;
const day = 24 * hour;
export const arrival = Date.UTC(2030, 5, 4, 19);
export const departure = arrival + 3 * day;

export function told<T>(value: T): MaybeFact<T> {
  return { value, origin: 'phone', at: 0 };
}

function maybe<T>(known: fc.Arbitrary<T>): fc.Arbitrary<MaybeFact<T>> {
  return fc.oneof({ weight: 7, arbitrary: known.map(told) }, { weight: 1, arbitrary: fc.constant(null) });
}

const said: readonly (readonly string[])[] = [['L5-30'], ['L5-30'], ['SS2-50'], ['SS1-50', 'SS2-50'], ['L14-30']];

function anyInlet(id: string): fc.Arbitrary<Inlet> {
  return fc.record({
    id: fc.constant(id),
    configurationIds: fc.oneof(
      { weight: 6, arbitrary: fc.constantFrom(...said).map(told) },
      { weight: 1, arbitrary: fc.constant(null) },
    ),
    mainBreakerA: maybe(fc.constantFrom(20, 30, 50)),
    fromBowM: maybe(fc.constantFrom(1, 5, 9)),
    side: maybe(fc.constantFrom('port' as const, 'starboard' as const, 'centre' as const)),
    duty: maybe(fc.constantFrom('house' as const, 'house' as const, 'airConditioning' as const)),
    needsLineToLine: maybe(fc.boolean()),
  });
}

export const anyBoat: fc.Arbitrary<Boat> = fc.record({
  id: fc.constant('boat'),
  name: fc.constant('Wren'),
  lengthOverallM: maybe(fc.constantFrom(9, 11.8, 12.3, 15)),
  beamM: maybe(fc.constantFrom(3, 3.6, 4.4)),
  hull: maybe(fc.constantFrom('monohull' as const, 'multihull' as const)),
  draftM: maybe(fc.constantFrom(1.4, 1.9, 2.3)),
  wantsPower: fc.constantFrom(told(true), told(true), told(true), told(false), null),
  airConditioning: fc.constant(null),
  frequenciesHz: maybe(fc.constant([60])),
  neutralBond: maybe(fc.constantFrom<NeutralBond>('none', 'none', 'none', 'none', 'ownSupply', 'ownSupply', 'always')),
  ownSupplies: maybe(
    fc.constantFrom<readonly OwnSupply[]>(
      [],
      [],
      [],
      [{ kind: 'generator', transfer: 'switched' }],
      [{ kind: 'generator', transfer: 'switched' }],
      [{ kind: 'inverter', transfer: null }],
      [{ kind: 'inverter', transfer: 'parallel' }],
    ),
  ),
  inlets: fc.oneof(
    { weight: 3, arbitrary: fc.tuple(anyInlet('I1')) },
    { weight: 2, arbitrary: fc.tuple(anyInlet('I1'), anyInlet('I2')) },
    { weight: 1, arbitrary: fc.constant([]) },
  ),
  cordSets: maybe(
    fc
      .array(
        fc.record({
          lengthM: fc.constantFrom(7.62, 15.24),
          configurationId: fc.constantFrom('L5-30', 'L5-30', 'SS2-50', 'SS1-50'),
          ratedA: fc.constant(30),
        }),
        { minLength: 1, maxLength: 3 },
      )
      .map((cords) => cords.map((cord, i) => ({ id: `c${i + 1}`, ...cord }))),
  ),
  adapterKindIds: maybe(
    fc.array(fc.constantFrom('step-down-SS2-50-to-L5-30-breaker', 'splitter-SS2-50-to-2xL5-30-breakers'), {
      maxLength: 1,
    }),
  ),
  appliances: fc.constant(null),
  statedLoadVa: maybe(fc.constantFrom(900, 2_400)),
});

interface RandomBerth {
  readonly lengthM: number | null;
  readonly beamM: number | null;
  readonly depthM: number | null;
  readonly outlets: readonly { readonly id: string; readonly alongM: number | null; readonly acrossM: number }[];
  readonly orientations: Berth['orientations'];
}

const outletsOfDock = {
  A: ['a1a', 'a1b', 'a1c', 'a2a', 'a2b', 'a2c', 'a3a', 'a3b', 'a4a', 'a4b'],
  B: ['b1a', 'b1b', 'b2a', 'b2b', 'b2c'],
} as const;

function anyBerth(dock: 'A' | 'B', onFace: boolean): fc.Arbitrary<RandomBerth> {
  return fc.record({
    lengthM: fc.constantFrom(12, 12, 15, 15, 15, null),
    beamM: fc.constantFrom(4.4, 5, 5, 9, 9, null),
    depthM: fc.constantFrom(2.4, 2.4, 3, 3, 3, null),
    outlets: fc.uniqueArray(
      fc.record({
        id: fc.constantFrom(...outletsOfDock[dock]),
        alongM: onFace ? fc.constantFrom(3, 12, 22) : fc.constantFrom(0.5, 6, 14, null),
        acrossM: fc.constantFrom(0.5, 2, 9),
      }),
      { selector: ({ id }) => id, maxLength: 3 },
    ),
    orientations: fc.constantFrom(['bowIn'] as const, ['bowIn', 'sternIn'] as const, ['sternIn', 'bowIn'] as const),
  });
}

/** Berths of the sample that are kept: slips, two slips together with each of them, and two ranges of one face. */
const kept = ['A1', 'A5', 'A6', 'A5-A6', 'B2', 'BF-1', 'BF-2'] as const;

const anyBerths = fc.tuple(...kept.map((id) => anyBerth(id.startsWith('A') ? 'A' : 'B', id.startsWith('BF'))));

const anyInventory: fc.Arbitrary<Inventory> = fc
  .record({
    berths: anyBerths,
    ids: fc.subarray([...kept], { minLength: 2, maxLength: 4 }),
    primaryKnown: fc.boolean(),
    feederA: fc.constantFrom(20, 45, 80, 200, null),
    /** Like outlets to choose from: the second of dock A then hangs on the first one's line. */
    alikeLines: fc.boolean(),
    stock: fc.nat(2),
    refusingBasis: fc.constantFrom('rated' as const, 'rated' as const, 'stated' as const),
    strict: fc.boolean(),
  })
  .map(({ berths, ids, primaryKnown, feederA, alikeLines, stock, refusingBasis, strict }) => {
    const sample = sampleInventory();
    return sampleInventory({
      settings: { ...sampleSettings, refusingBasis, refuseCordBelowBreaker: strict },
      equipment: sample.equipment.map((part) =>
        primaryKnown && part.id === 'xfmr-a'
          ? { ...part, lines: ['L1' as const, 'L2' as const] }
          : part.kind === 'feeder' && part.breakerA !== null
            ? { ...part, breakerA: feederA, conductorAmpacityA: null, neutralAmpacityA: null }
            : part,
      ),
      outlets: sample.outlets.map((outlet) =>
        alikeLines && outlet.id === 'a1b' ? { ...outlet, lines: ['L1' as const] } : outlet,
      ),
      berths: sample.berths.flatMap((berth) => {
        if (!ids.some((id) => id === berth.id)) return [];
        const drawn = berths[kept.map(String).indexOf(berth.id)];
        if (drawn === undefined) return [];
        const { lengthM, beamM, depthM, outlets, orientations } = drawn;
        const reaches = outlets.map(({ id, alongM, acrossM }) => ({ outletId: id, alongM, acrossM, detourM: 0 }));
        return [
          {
            ...berth,
            lengthM: berth.faceFromM === null ? lengthM : berth.lengthM,
            beamM,
            depthM,
            orientations,
            reaches,
          },
        ];
      }),
      adapterStock: [
        { id: 'stock', label: '50 to 30', adapterKindId: 'step-down-SS2-50-to-L5-30-breaker', quantity: stock },
      ],
    });
  });

const by = (kind: SpaceUse['by']['kind'], id: string) => ({ kind, id, label: `${kind} ${id}` });
const kinds = fc.constantFrom('assignment' as const, 'holding' as const, 'outOfService' as const);
const period = fc
  .record({ from: fc.integer({ min: -4, max: 4 }), days: fc.integer({ min: 1, max: 5 }) })
  .map(({ from, days }) => ({
    from: arrival + from * day,
    until: arrival + (from + days) * day,
  }));

export const anySpaceUse: fc.Arbitrary<SpaceUse> = fc
  .record({
    unitId: fc.constantFrom('A1', 'A5', 'A6', 'B2', 'BF', 'BF'),
    at: fc.nat(30),
    lengthM: fc.integer({ min: 4, max: 14 }),
    kind: kinds,
    period,
    id: fc.nat(9),
  })
  .map(({ unitId, at, lengthM, kind, period: { from, until }, id }) => ({
    unitId,
    fromM: unitId === 'BF' ? at : 0,
    untilM: unitId === 'BF' ? at + lengthM : 1,
    from,
    until,
    by: by(kind, `${id}`),
  }));

export const anyOutletUse: fc.Arbitrary<OutletUse> = fc
  .record({
    outletId: fc.constantFrom(...outletsOfDock.A, ...outletsOfDock.B),
    statedVa: fc.constantFrom(null, 1_200, 3_000),
    leakageMa: fc.constantFrom(null, 4, 17, 35),
    kind: kinds,
    period,
    id: fc.nat(9),
  })
  .map(({ outletId, statedVa, leakageMa, kind, period: { from, until }, id }) => {
    const read = leakageMa === null ? {} : { leakageMa };
    return { outletId, statedVa, from, until, by: by(kind, `${id}`), ...read };
  });

/** A small marina with random measures, reaches, limits and uses, and a boat of which much is unknown. */
export const anyQuestion: fc.Arbitrary<OptionsQuestion> = fc
  .record({
    inventory: anyInventory,
    boat: anyBoat,
    spaceUses: fc.array(anySpaceUse, { maxLength: 4 }),
    outletUses: fc.array(anyOutletUse, { maxLength: 6 }),
    stockOut: fc.boolean(),
    wishes: fc.record({
      dockId: fc.constantFrom(null, 'dock-a', 'dock-b'),
      berthId: fc.constantFrom(null, 'A6'),
      orientation: fc.constantFrom(null, 'bowIn' as const, 'sternIn' as const),
      mooring: fc.constantFrom(null, 'floating' as const),
    }),
  })
  .map(({ inventory, boat, spaceUses, outletUses, stockOut, wishes }) => ({
    ...questionOf(inventory, boat),
    wishes,
    spaceUses,
    outletUses,
    stockUses: stockOut ? [{ stockId: 'stock', quantity: 1, assignmentId: 'x', from: arrival, until: departure }] : [],
  }))
  .map((question) => Object.assign(question, { [fc.toStringMethod]: () => inWords(question) }));

/** A counterexample without the look-ups. */
function inWords({ index, boat, spaceUses, outletUses, stockUses, wishes }: OptionsQuestion): string {
  const { settings, equipment, outlets, berths, adapterStock } = index.inventory;
  const feeders = equipment.filter(({ kind }) => kind === 'feeder').map(({ id, breakerA }) => ({ id, breakerA }));
  const lines = outlets.map(({ id, configurationId, lines: on }) => `${id} ${configurationId} ${on?.join('+')}`);
  return JSON.stringify(
    { settings, feeders, lines, berths, adapterStock, boat, spaceUses, outletUses, stockUses, wishes },
    null,
    1,
  );
}

export function questionOf(inventory: Inventory, boat: Boat): OptionsQuestion {
  const practice = demandPractice(inventory.settings.practiceId);
  if (practice === null || practice === undefined) throw new Error('no practice');
  return {
    index: indexInventory(inventory),
    practice,
    boat,
    period: { from: arrival, until: departure },
    occupiedUntil: departure + hour,
    localDays: { from: '2030-06-04', until: '2030-06-08' },
    wishes: noWishes,
    spaceUses: [],
    outletUses: [],
    stockUses: [],
  };
}

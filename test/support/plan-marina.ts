import type { OutletUse, SpaceUse } from '../../core/berths/occupancy.ts';
import { noWishes, type Wishes } from '../../core/berths/options/options.ts';
import type { PlanQuestion, PlanSettings, PlanStay } from '../../core/berths/plan/question.ts';
import { planScene } from '../../core/berths/plan/scene.ts';
import type { Boat, NeutralBond } from '../../core/boats.ts';
import { indexInventory } from '../../core/inventory/index-inventory.ts';
import type { Berth, Equipment, Inventory, Outlet, Pedestal, SpaceUnit } from '../../core/inventory/inventory.ts';
import { demandPractice } from '../../core/standards/demand-practices.ts';
import { sampleInventory, sampleSettings } from './sample-inventory.ts';

const hour = 3_600_000;
const day = 24 * hour;
/** Midnight before the first arrivals. */
export const planStart = Date.UTC(2030, 6, 1, 4);

export interface PlanMarina {
  readonly seed: number;
  readonly docks: number;
  /** Of each dock; two to a pedestal. */
  readonly slips: number;
  readonly stays: number;
  readonly nights: number;
  /** Breaker of each dock's feeder, A. */
  readonly feederA: number;
  /** Pairs of slips that may be let together, on each dock. */
  readonly pairs?: number;
  /** A face of so many metres on each dock. */
  readonly faceM?: number;
  /** Share of the slips that somebody holds for part of the time. */
  readonly held?: number;
  /** How many of the stays are promised a place already. */
  readonly promised?: number;
  readonly stepDowns?: number;
  readonly refusingBasis?: 'rated' | 'stated';
  readonly priorities?: number;
  /** Share of the stays whose boater wishes for a dock, a berth or an orientation. */
  readonly wishing?: number;
  readonly settings?: Partial<PlanSettings>;
  readonly system?: '120/240-split-phase' | '208Y/120';
}

/** Numbers from 0 to 1, the same for the same seed. */
export function randomOf(seed: number): () => number {
  let state = seed * 2_654_435_761 + 1;
  return () => {
    state = (Math.imul(state ^ (state >>> 15), 2_246_822_519) + 3_266_489_917) >>> 0;
    const mixed = Math.imul(state ^ (state >>> 13), 1_274_126_177) >>> 0;
    return ((mixed ^ (mixed >>> 16)) >>> 0) / 2 ** 32;
  };
}

const pedestalKinds = [
  ['L5-30', 'L5-30', 'SS2-50'],
  ['L5-30', 'SS2-50', 'SS2-50'],
  ['L5-30', 'L5-30', 'L5-30'],
] as const;

/** An invented marina and the stays that ask for it. */
export function planQuestion(given: PlanMarina): PlanQuestion {
  const random = randomOf(given.seed);
  const pick = <T>(items: readonly T[]): T => items[Math.floor(random() * items.length)] as T;
  const inventory = marinaOf(given);
  const practice = demandPractice(inventory.settings.practiceId);
  if (practice === null) throw new Error('no practice');
  const index = indexInventory(inventory);
  const spaceUses: SpaceUse[] = [];
  const outletUses: OutletUse[] = [];
  for (const { id, unitIds, reaches, faceFromM } of inventory.berths) {
    if (faceFromM !== null || unitIds.length > 1 || random() >= (given.held ?? 0)) continue;
    const from = planStart + Math.floor(random() * given.nights) * day;
    const until = from + (1 + Math.floor(random() * given.nights)) * day;
    const by = { kind: 'holding', id: `h-${id}`, label: `Holder of ${id}` } as const;
    for (const unitId of unitIds) spaceUses.push({ unitId, fromM: 0, untilM: 1, from, until, by });
    const outletId = reaches[0]?.outletId ?? '';
    const isTaken = outletUses.some((use) => use.outletId === outletId && use.from < until && from < use.until);
    if (!isTaken) outletUses.push({ outletId, from, until, by, statedVa: null });
  }
  const kinds = boatKinds(random);
  const stays = Array.from({ length: given.stays }, (_, i): PlanStay => {
    const from = Math.floor(random() * given.nights);
    const nights = 1 + Math.floor(random() * random() * Math.min(7, given.nights));
    const boat = pick(kinds);
    const arrival = planStart + from * day + 15 * hour;
    const departure = planStart + (from + nights) * day + 11 * hour;
    return {
      id: `s${i}`,
      label: `Boat ${i}`,
      boat: { ...boat, id: `b${i}`, name: `Boat ${i}` },
      wishes: given.wishing === undefined ? noWishes : wishesOf(given, given.wishing, random),
      period: { from: arrival, until: departure },
      occupiedUntil: departure + hour,
      localDays: { from: dayOf(from), until: dayOf(from + nights + 1) },
      nights,
      priority: 1 + Math.floor(random() * (given.priorities ?? 1)),
      promised: false,
      present: null,
      // Noon of each day inside it: an hour after others leave.
      movesAt: Array.from({ length: nights - 1 }, (_, k) => planStart + (from + k + 1) * day + 12 * hour),
      part: null,
    };
  });
  const question: PlanQuestion = {
    index,
    practice,
    stays,
    settings: { serve: 'boats', movePromised: true, moveInside: false, ...given.settings },
    spaceUses,
    outletUses,
    stockUses: [],
  };
  return (given.promised ?? 0) > 0 ? withPromises(question, given.promised ?? 0, random) : question;
}

function wishesOf({ docks, slips }: PlanMarina, share: number, random: () => number): Wishes {
  if (random() >= share) return noWishes;
  const [dock, slip] = [Math.floor(random() * docks), Math.floor(random() * slips)];
  const of = Math.floor(random() * 3);
  return {
    ...noWishes,
    dockId: of === 0 ? `d${dock}` : null,
    berthId: of === 1 ? `b-${dock}-${slip}` : null,
    orientation: of === 2 ? (random() < 0.5 ? 'bowIn' : 'sternIn') : null,
  };
}

function dayOf(offset: number): string {
  return new Date(planStart + offset * day).toISOString().slice(0, 10);
}

/** Gives some stays a place of today at random, as a desk would have: not twice, and nothing looked at twice. */
function withPromises(question: PlanQuestion, count: number, random: () => number): PlanQuestion {
  const scene = planScene(question);
  const taken: { key: string; from: number; until: number }[] = [
    ...question.spaceUses.map(({ unitId, from, until }) => ({ key: unitId, from, until })),
    ...question.outletUses.map(({ outletId, from, until }) => ({ key: outletId, from, until })),
  ];
  let left = count;
  const stays = question.stays.map((stay): PlanStay => {
    if (left === 0) return stay;
    const { from, until } = scene.periodOf(stay);
    const berths = [...question.index.inventory.berths].sort(() => random() - 0.5);
    for (const berth of berths) {
      if (berth.faceFromM !== null) continue;
      for (const way of scene.judge.ways(stay, berth).ways) {
        const outletIds = scene.outletIdsOf(berth, way);
        const keys = [...berth.unitIds, ...outletIds];
        if (taken.some((use) => keys.includes(use.key) && use.from < until && from < use.until)) continue;
        if (way.adapters.some(({ from: owner }) => owner === 'stock')) continue;
        for (const key of keys) taken.push({ key, from, until });
        left -= 1;
        const { orientation, adapters, statedVa } = way;
        const cords = way.cordsM.map(({ inletId, lengthM }) => ({ outletId: outletIds[0] ?? '', inletId, lengthM }));
        return {
          ...stay,
          promised: true,
          present: { berthId: berth.id, orientation, place: null, outletIds, adapters, cords, statedVa },
        };
      }
    }
    return stay;
  });
  return { ...question, stays };
}

export function told<T>(value: T) {
  return { value, origin: 'phone', at: 0 } as const;
}

function boatKinds(random: () => number): Boat[] {
  const lengths = [8.5, 9.5, 10.5, 11.5, 12.5, 13.5];
  return lengths.flatMap((lengthM) =>
    ['L5-30', 'SS2-50', 'L5-30x2', 'none'].map((plug): Boat => {
      const inlet = (id: string, configurationId: string) => ({
        id,
        configurationIds: told([configurationId]),
        mainBreakerA: told(configurationId === 'SS2-50' ? 50 : 30),
        fromBowM: told(lengthM - 2),
        side: told('starboard' as const),
        duty: told('house' as const),
        needsLineToLine: told(false),
      });
      const configurationId = plug === 'SS2-50' ? 'SS2-50' : 'L5-30';
      const inlets =
        plug === 'none'
          ? []
          : plug === 'L5-30x2'
            ? [inlet('I1', 'L5-30'), inlet('I2', 'L5-30')]
            : [inlet('I1', configurationId)];
      const cord = { lengthM: random() < 0.8 ? 15.24 : 7.62, configurationId, ratedA: plug === 'SS2-50' ? 50 : 30 };
      return {
        id: '',
        name: '',
        lengthOverallM: told(lengthM),
        beamM: told(3 + lengthM / 20),
        hull: told('monohull'),
        draftM: told(1.2 + lengthM / 20),
        wantsPower: told(plug !== 'none'),
        airConditioning: null,
        frequenciesHz: told([60]),
        neutralBond: told<NeutralBond>('none'),
        ownSupplies: told([]),
        inlets,
        cordSets: told(inlets.map((_, i) => ({ ...cord, id: `c${i}` }))),
        adapterKindIds: told(random() < 0.3 ? ['step-down-SS2-50-to-L5-30-breaker'] : []),
        appliances: null,
        statedLoadVa: random() < 0.5 ? told(1_500 + Math.floor(random() * 4) * 500) : null,
      };
    }),
  );
}

/** Docks of like slips: longer ones on the next dock, two slips to a pedestal of three outlets. */
function marinaOf({
  docks,
  slips,
  feederA,
  pairs = 0,
  faceM = 0,
  stepDowns = 0,
  refusingBasis,
  system,
}: PlanMarina): Inventory {
  const equipment: Equipment[] = [
    part('service', 'service', null, { systemId: '480Y/277', breakerA: 4_000, busA: 4_000 }),
  ];
  const pedestals: Pedestal[] = [];
  const outlets: Outlet[] = [];
  const spaceUnits: SpaceUnit[] = [];
  const berths: Berth[] = [];
  const isWye = system === '208Y/120';
  for (let d = 0; d < docks; d++) {
    equipment.push(
      part(`transformer-${d}`, 'transformer', 'service', {
        systemId: system ?? '120/240-split-phase',
        lines: isWye ? null : ['L1', 'L2'],
        transformer: { ratedKva: 500, connection: isWye ? 'deltaWye' : 'centreTapped', percentR: 1.2, percentX: 3 },
      }),
      part(`feeder-${d}`, 'feeder', `transformer-${d}`, { breakerA: feederA }),
    );
    const lengthM = [10, 12, 14][d % 3] ?? 12;
    const base = { faceFromM: null, faceUntilM: null, mooring: 'fingerPier', fingerOn: null, depthM: 3 } as const;
    const orientations = ['bowIn', 'sternIn'] as const;
    for (let s = 0; s < slips; s++) {
      const p = Math.floor(s / 2);
      const pedestalId = `p-${d}-${p}`;
      const kind = pedestalKinds[p % pedestalKinds.length] ?? pedestalKinds[0];
      if (s % 2 === 0) {
        pedestals.push({
          id: pedestalId,
          label: pedestalId,
          dockId: `d${d}`,
          fedById: `feeder-${d}`,
          alongDockM: p * 8,
        });
        kind.forEach((configurationId, o) => {
          const lines = (['L1', 'L2', 'L3'] as const).slice(0, isWye ? 3 : 2);
          const at = (i: number) => lines[i % lines.length] ?? 'L1';
          outlets.push({
            id: `${pedestalId}-${o}`,
            label: 'ABC'[o] ?? '',
            pedestalId,
            fedById: null,
            configurationId,
            lines: configurationId === 'SS2-50' ? [at(p), at(p + 1)] : [at(p + o)],
            breakerA: configurationId === 'SS2-50' ? 50 : 30,
            groundFault: { device: 'fitted', settingMa: 30, delayMs: 0 },
            dedicatedBerthId: null,
            subMetered: false,
            heightM: 0.9,
          });
        });
      }
      const id = `u-${d}-${s}`;
      spaceUnits.push({ id, label: id, dockId: `d${d}`, kind: 'slip', faceLengthM: null });
      const acrossM = s % 2 === 0 ? 2 : -2;
      const reaches = kind.map((_, o) => ({ outletId: `${pedestalId}-${o}`, alongM: 0.5, acrossM, detourM: 0 }));
      berths.push({
        ...base,
        id: `b-${d}-${s}`,
        label: `b-${d}-${s}`,
        unitIds: [id],
        lengthM,
        beamM: 4.6,
        orientations,
        reaches,
      });
    }
    for (let i = 0; i < pairs; i++) {
      const [a, b] = [2 * i, 2 * i + 1];
      const first = berths.find(({ id }) => id === `b-${d}-${a}`);
      berths.push({
        ...base,
        id: `pair-${d}-${i}`,
        label: `pair-${d}-${i}`,
        unitIds: [`u-${d}-${a}`, `u-${d}-${b}`],
        lengthM: lengthM + 2,
        beamM: 9.2,
        orientations,
        reaches: first?.reaches ?? [],
      });
    }
    if (faceM > 0) {
      spaceUnits.push({ id: `face-${d}`, label: `face-${d}`, dockId: `d${d}`, kind: 'face', faceLengthM: faceM });
      berths.push({
        ...base,
        id: `f-${d}`,
        label: `f-${d}`,
        unitIds: [`face-${d}`],
        faceFromM: 0,
        faceUntilM: faceM,
        mooring: 'alongside',
        fingerOn: null,
        lengthM: faceM,
        beamM: 6,
        orientations,
        reaches: outlets
          .filter(({ pedestalId }) => pedestalId.startsWith(`p-${d}-`))
          .slice(0, 6)
          .map(({ id }, i) => ({ outletId: id, alongM: ((i + 0.5) * faceM) / 6, acrossM: 0.6, detourM: 0 })),
      });
    }
  }
  return sampleInventory({
    name: 'Plan Harbor',
    settings: {
      ...sampleSettings,
      predictedLowTides: [],
      tidalRangeM: 0.5,
      refusingBasis: refusingBasis ?? 'rated',
    },
    docks: Array.from(
      { length: docks },
      (_, d) => ({ id: `d${d}`, label: `D${d}`, kind: 'floating', lengthM: 200 }) as const,
    ),
    equipment,
    pedestals,
    outlets,
    spaceUnits,
    berths,
    adapterStock:
      stepDowns === 0
        ? []
        : [{ id: 'stock', label: '50 to 30', adapterKindId: 'step-down-SS2-50-to-L5-30-breaker', quantity: stepDowns }],
    practices: [],
    adapterKinds: [],
  });
}

function part(id: string, kind: Equipment['kind'], parentId: string | null, given: Partial<Equipment>): Equipment {
  return {
    id,
    label: id,
    kind,
    parentId,
    systemId: null,
    lines: null,
    breakerA: null,
    conductorAmpacityA: null,
    neutralAmpacityA: null,
    busA: null,
    conductor: null,
    transformer: null,
    groundFault: { device: 'none', settingMa: null, delayMs: null },
    otherLoads: [],
    earthing: 'groundedNeutral',
    ...given,
  };
}

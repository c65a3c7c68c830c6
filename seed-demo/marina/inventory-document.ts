import type { Berth, MarinaSettings, Outlet, Reach, SpaceUnit } from '../../core/inventory/inventory.ts';
import type { InventoryDocument } from '../../core/inventory/patterns.ts';
import { addDays } from '../days.ts';
import type { Random } from '../random.ts';
import { facePattern, slipPatterns } from './docks.ts';
import { demoEquipment, fitted30 } from './equipment.ts';

/** First and last pedestal with guest slips, by dock; the slips of all others have holders. */
export const guestPedestals = { A: [30, 32], B: [29, 32], C: [27, 30], D: [23, 25] } as const;

const faceLengthM = 120;
const facePedestals = [41, 42, 43, 44, 45, 46];
const facePedestalAtM = (pedestal: number) => 10 + (pedestal - 41) * 20;
const faceOutlets = facePedestals.flatMap((pedestal) => {
  const letters = pedestal === 41 || pedestal === 46 ? ['A', 'B', 'C', 'D', 'E'] : ['A', 'B', 'C', 'D'];
  return letters.map((letter) => ({ outletId: `D${pedestal}${letter}`, atM: facePedestalAtM(pedestal) }));
});

const rafts = [1, 2, 3, 4, 5];

/** The invented marina on the day `today`: patterns for what is alike, plain items for the rest. */
export function inventoryDocument(today: string, random: Random): InventoryDocument {
  return {
    name: 'Ostrel Haven',
    timeZone: 'America/New_York',
    settings: settings(today, random),
    practices: [],
    adapterKinds: [],
    docks: [
      { id: 'A', label: 'A', kind: 'floating', lengthM: 295 },
      { id: 'B', label: 'B', kind: 'floating', lengthM: 340 },
      { id: 'C', label: 'C', kind: 'fixed', lengthM: 365 },
      { id: 'D', label: 'D', kind: 'fixed', lengthM: 350 },
    ],
    equipment: demoEquipment,
    pedestals: [],
    outlets: [faceOutlet100(41), faceOutlet100(46)],
    spaceUnits: [face, ...rafts.map(raftPlace)],
    berths: [
      faceBerth('DF-inner', 0, 60),
      faceBerth('DF-outer', 60, faceLengthM),
      ...rafts.map(raftBerth),
      together('B', 31, 14, 9.2, 2.9, ['A', 'B', 'C', 'D']),
      together('B', 32, 14, 9.2, 2.9, ['A', 'B', 'C', 'D']),
      together('C', 29, 15, 10.4, 3.2, ['A', 'B', 'C', 'D']),
      together('C', 30, 15, 10.4, 3.2, ['A', 'B', 'C', 'D']),
      together('D', 25, 21, 12.4, 3.6, ['A', 'B', 'C', 'D']),
    ],
    adapterStock: [
      stock('step-down-SS2-50-to-L5-30-breaker', '50 A to 30 A with breaker', 6),
      stock('step-down-SS1-50-to-L5-30', '50 A 125 V to 30 A', 2),
      stock('SS2-50-to-SS1-50', '50 A 125/250 V to 50 A 125 V', 3),
      stock('splitter-SS2-50-to-2xL5-30-breakers', '50 A to two 30 A with breakers', 3),
    ],
    patterns: [...slipPatterns, facePattern],
  };
}

function settings(today: string, random: Random): MarinaSettings {
  const weeks = Array.from({ length: 30 }, (_, week) => week - 20);
  return {
    practiceId: 'nec-555-2020',
    countingBasis: 'all',
    refusingBasis: 'rated',
    overhangAllowedM: 0.4,
    beamClearanceM: 0.25,
    underKeelAllowanceM: 0.3,
    lowestTideM: -0.5,
    predictedLowTides: weeks.map((week) => ({
      from: addDays(today, week * 7),
      until: addDays(today, week * 7 + 7),
      heightM: random.stepped(-0.35, 0.1, 0.05),
    })),
    tidalRangeM: 1.2,
    cordSlackM: 0.8,
    // 12, 25, 50 and 75 ft.
    usualCordLengthsM: [3.66, 7.62, 15.24, 22.86],
    cordsInSeriesAllowed: 1,
    refuseCordBelowBreaker: false,
    turnoverMinutes: 60,
    arrivalHour: 14,
    departureHour: 11,
    noShowHour: 22,
    recallNoticeHours: 48,
  };
}

const face: SpaceUnit = { id: 'DF', label: 'face of dock D', dockId: 'D', kind: 'face', faceLengthM };

function faceBerth(id: string, faceFromM: number, faceUntilM: number): Berth {
  return {
    id,
    label: id,
    unitIds: ['DF'],
    faceFromM,
    faceUntilM,
    mooring: 'alongside',
    fingerOn: null,
    lengthM: faceUntilM - faceFromM,
    beamM: 8,
    depthM: 4.2,
    orientations: ['bowIn', 'sternIn'],
    reaches: faceOutlets
      .filter(({ atM }) => atM > faceFromM && atM < faceUntilM)
      .map(({ outletId, atM }) => ({ outletId, alongM: atM, acrossM: 0.6, detourM: 0 })),
  };
}

function faceOutlet100(pedestal: number): Outlet {
  return {
    id: `D${pedestal}E`,
    label: 'E',
    pedestalId: `P-D${pedestal}`,
    fedById: null,
    configurationId: 'PS-100-125/250-3P4W',
    lines: ['L1', 'L2'],
    breakerA: 100,
    groundFault: fitted30,
    dedicatedBerthId: null,
    subMetered: true,
    heightM: 0.9,
  };
}

/** Small boats outside those that lie along the back of the face; their cords go round by the ladder. */
function raftPlace(n: number): SpaceUnit {
  return { id: `DR${n}`, label: `DR${n}`, dockId: 'D', kind: 'raftPlace', faceLengthM: null };
}

function raftBerth(n: number): Berth {
  const pedestal = 40 + n;
  return {
    id: `DR${n}`,
    label: `DR${n}`,
    unitIds: [`DR${n}`],
    faceFromM: null,
    faceUntilM: null,
    mooring: 'rafted',
    fingerOn: null,
    lengthM: 9.5,
    beamM: 3.8,
    depthM: 3.4,
    orientations: ['bowIn'],
    reaches: [{ outletId: `D${pedestal}B`, alongM: 0, acrossM: 1.5, detourM: 4.5 }],
  };
}

/** Both slips of one well for one wide boat: the pedestal stands at the head in the middle. */
function together(
  dock: string,
  pedestal: number,
  lengthM: number,
  beamM: number,
  depthM: number,
  letters: readonly string[],
): Berth {
  const [left, right] = [`${dock}${pedestal * 2 - 1}`, `${dock}${pedestal * 2}`];
  const id = `${left}-${right}`;
  return {
    id,
    label: id,
    unitIds: [left, right],
    faceFromM: null,
    faceUntilM: null,
    mooring: dock === 'B' ? 'fingerPier' : 'pilings',
    fingerOn: null,
    lengthM,
    beamM,
    depthM,
    orientations: ['bowIn', 'sternIn'],
    reaches: letters.map((letter): Reach => {
      return { outletId: `${dock}${pedestal}${letter}`, alongM: -0.4, acrossM: 0, detourM: 0 };
    }),
  };
}

function stock(adapterKindId: string, label: string, quantity: number) {
  return { id: `stock-${adapterKindId}`, label, adapterKindId, quantity };
}

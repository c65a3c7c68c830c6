import type { Source } from './source.ts';

export const iecAmpacitySource: Source = {
  title: 'IEC 60364-5-52 Tables B.52.2 and B.52.4, method B1: copper in PVC, 70 C, in conduit, at 30 C',
  fromMemory: true,
};
export const iecResistanceSource: Source = {
  title: 'IEC 60228 class 2 copper at 20 C; reactance 0.08 ohm/km (IEC 60364-5-52 Annex G)',
  fromMemory: true,
};
export const iecTemperatureSource: Source = {
  title: 'IEC 60364-5-52 Table B.52.14, PVC in air',
  fromMemory: true,
};
export const iecGroupingSource: Source = {
  title: 'IEC 60364-5-52 Table B.52.17, circuits bunched together',
  fromMemory: true,
};
export const iecDeviceSource: Source = {
  title: 'IEC 60364-4-43 433.1: load current <= device <= ampacity; ratings of IEC 60898-1 and IEC 60947-2',
  fromMemory: true,
};
export const iecProtectiveSource: Source = {
  title: 'IEC 60364-5-54 Table 54.2, protective conductors',
  fromMemory: true,
};
export const iecDropSource: Source = {
  title: 'IEC 60364-5-52 Table G.52.1: 3 % for lighting, 5 % for other uses, from a public low-voltage supply',
  fromMemory: true,
};

/** One nominal cross-section: amperes for two and for three loaded conductors, ohms per km at 20 C. */
export interface IecConductorRow {
  readonly areaMm2: number;
  readonly twoLoadedA: number;
  readonly threeLoadedA: number;
  readonly ohmPerKmAt20C: number;
}

/** Thinnest first. */
export const iecConductorRows: readonly IecConductorRow[] = (
  [
    [1.5, 17.5, 15.5, 12.1],
    [2.5, 24, 21, 7.41],
    [4, 32, 28, 4.61],
    [6, 41, 36, 3.08],
    [10, 57, 50, 1.83],
    [16, 76, 68, 1.15],
    [25, 101, 89, 0.727],
    [35, 125, 110, 0.524],
    [50, 151, 134, 0.387],
    [70, 192, 171, 0.268],
    [95, 232, 207, 0.193],
    [120, 269, 239, 0.153],
    [150, 300, 262, 0.124],
    [185, 341, 296, 0.0991],
    [240, 400, 346, 0.0754],
    [300, 458, 394, 0.0601],
  ] as const
).map(([areaMm2, twoLoadedA, threeLoadedA, ohmPerKmAt20C]) => ({ areaMm2, twoLoadedA, threeLoadedA, ohmPerKmAt20C }));

export const iecReactanceOhmPerKm = 0.08;

/** Standard ratings of breakers, A, ascending. */
export const iecDevicesA: readonly number[] = [
  6, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630,
];

const temperatureRows: readonly (readonly [toC: number, factor: number])[] = [
  [10, 1.22],
  [15, 1.17],
  [20, 1.12],
  [25, 1.06],
  [30, 1],
  [35, 0.94],
  [40, 0.87],
  [45, 0.79],
  [50, 0.71],
  [55, 0.61],
  [60, 0.5],
];

/** In whole rows, the warmer one; null where PVC may not be used. */
export function iecTemperatureFactor(ambientC: number): number | null {
  return temperatureRows.find(([toC]) => ambientC <= toC)?.[1] ?? null;
}

const groupingRows: readonly (readonly [to: number, factor: number])[] = [
  [1, 1],
  [2, 0.8],
  [3, 0.7],
  [4, 0.65],
  [5, 0.6],
  [6, 0.57],
  [7, 0.54],
  [8, 0.52],
  [9, 0.5],
  [12, 0.45],
  [16, 0.41],
  [20, 0.38],
];

/** Of circuits or cables bunched together; null beyond the table. */
export function iecGroupingFactor(circuits: number): number | null {
  return groupingRows.find(([to]) => circuits <= to)?.[1] ?? null;
}

/** The protective conductor beside a line conductor of the same material, mm2: a standard size, never below the table. */
export function iecProtectiveMm2(lineMm2: number): number {
  const leastMm2 = lineMm2 <= 16 ? lineMm2 : lineMm2 <= 35 ? 16 : lineMm2 / 2;
  return iecConductorRows.find(({ areaMm2 }) => areaMm2 >= leastMm2)?.areaMm2 ?? lineMm2;
}

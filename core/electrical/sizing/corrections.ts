import type { Source } from '../../standards/source.ts';

/** Temperature of insulation or terminals, degrees Celsius: the columns of the ampacity table. */
export type ColumnC = 60 | 75 | 90;

export const temperatureSource: Source = {
  title: 'NEC Table 310.15(B)(1), ambient temperatures other than 30 C (read in public copies of the table)',
  fromMemory: false,
};
export const countSource: Source = {
  title: 'NEC Table 310.15(C)(1), more than three current-carrying conductors (read in public copies of the table)',
  fromMemory: false,
};

/** Up to and with `toC`; null where the insulation is not for this ambient. */
const temperatureRows: readonly { readonly toC: number; readonly factor: Readonly<Record<ColumnC, number | null>> }[] =
  [
    { toC: 10, factor: { 60: 1.29, 75: 1.2, 90: 1.15 } },
    { toC: 15, factor: { 60: 1.22, 75: 1.15, 90: 1.12 } },
    { toC: 20, factor: { 60: 1.15, 75: 1.11, 90: 1.08 } },
    { toC: 25, factor: { 60: 1.08, 75: 1.05, 90: 1.04 } },
    { toC: 30, factor: { 60: 1, 75: 1, 90: 1 } },
    { toC: 35, factor: { 60: 0.91, 75: 0.94, 90: 0.96 } },
    { toC: 40, factor: { 60: 0.82, 75: 0.88, 90: 0.91 } },
    { toC: 45, factor: { 60: 0.71, 75: 0.82, 90: 0.87 } },
    { toC: 50, factor: { 60: 0.58, 75: 0.75, 90: 0.82 } },
    { toC: 55, factor: { 60: 0.41, 75: 0.67, 90: 0.76 } },
    { toC: 60, factor: { 60: null, 75: 0.58, 90: 0.71 } },
    { toC: 65, factor: { 60: null, 75: 0.47, 90: 0.65 } },
    { toC: 70, factor: { 60: null, 75: 0.33, 90: 0.58 } },
    { toC: 75, factor: { 60: null, 75: null, 90: 0.5 } },
    { toC: 80, factor: { 60: null, 75: null, 90: 0.41 } },
    { toC: 85, factor: { 60: null, 75: null, 90: 0.29 } },
  ];

/** Factor for the ambient, in whole rows as printed; null where the insulation may not be used there. */
export function temperatureFactor(ambientC: number, insulationC: ColumnC): number | null {
  return temperatureRows.find(({ toC }) => ambientC <= toC)?.factor[insulationC] ?? null;
}

const countRows = [
  { to: 3, factor: 1 },
  { to: 6, factor: 0.8 },
  { to: 9, factor: 0.7 },
  { to: 20, factor: 0.5 },
  { to: 30, factor: 0.45 },
  { to: 40, factor: 0.4 },
  { to: Number.POSITIVE_INFINITY, factor: 0.35 },
] as const;

/** Factor for the current-carrying conductors in one raceway or cable. */
export function countFactor(currentCarrying: number): number {
  return countRows.find(({ to }) => currentCarrying <= to)?.factor ?? 0.35;
}

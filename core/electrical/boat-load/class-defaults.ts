import type { LoadAppliance } from './boat-load.ts';

/**
 * What is assumed aboard where nobody has said. The amperes are the larger ends of ranges in owners' manuals and
 * liveaboard load lists; which appliances a length has is this project's own assumption. An answer that uses it says so.
 */
export const classDefaultSource =
  "amperes at 120 V: owners' manuals and liveaboard load lists; what a length has aboard: assumption of this project";

interface Kind {
  readonly name: string;
  readonly amperesAt120V: number;
  readonly motor?: boolean;
  readonly continuous?: boolean;
  readonly fixed?: boolean;
  readonly use?: LoadAppliance['use'];
}

const charger: Kind = { name: 'battery charger', amperesAt120V: 22, continuous: true };
const smallCharger: Kind = { name: 'battery charger', amperesAt120V: 15, continuous: true };
const refrigerator: Kind = { name: 'refrigerator', amperesAt120V: 5, motor: true };
const lighting: Kind = { name: 'lighting', amperesAt120V: 4, continuous: true };
const microwave: Kind = { name: 'microwave oven', amperesAt120V: 15 };
const coffeeMaker: Kind = { name: 'coffee maker', amperesAt120V: 10 };
const television: Kind = { name: 'television', amperesAt120V: 1.5 };
const waterHeater: Kind = { name: 'water heater', amperesAt120V: 15, continuous: true, fixed: true };
const heatPump: Kind = {
  name: 'reverse-cycle heat pump',
  amperesAt120V: 12,
  motor: true,
  continuous: true,
  use: 'heatingAndCooling',
};

interface LengthClass {
  /** Up to and with this length overall; the last is for everything longer. */
  readonly toLengthM: number;
  readonly kinds: readonly Kind[];
  readonly heatPumps: number;
}

const lengthClasses: readonly LengthClass[] = [
  { toLengthM: 8, kinds: [smallCharger, lighting], heatPumps: 0 },
  { toLengthM: 11, kinds: [smallCharger, lighting, refrigerator, coffeeMaker], heatPumps: 1 },
  { toLengthM: 14, kinds: [charger, lighting, refrigerator, microwave, waterHeater, television], heatPumps: 2 },
  {
    toLengthM: 18,
    kinds: [charger, lighting, refrigerator, refrigerator, microwave, waterHeater, coffeeMaker, television],
    heatPumps: 3,
  },
  {
    toLengthM: Number.POSITIVE_INFINITY,
    kinds: [
      charger,
      charger,
      lighting,
      lighting,
      refrigerator,
      refrigerator,
      microwave,
      waterHeater,
      waterHeater,
      coffeeMaker,
      television,
    ],
    heatPumps: 5,
  },
];

/**
 * Appliances assumed for a length overall, m, spread evenly over the legs, on an unknown inlet. Air conditioning that is unknown counts as
 * aboard. An unknown or impossible length takes the largest class.
 */
export function classDefaultAppliances(
  lengthOverallM: number | null,
  airConditioning: boolean | null,
): LoadAppliance[] {
  const lengthM = lengthOverallM !== null && lengthOverallM > 0 ? lengthOverallM : Number.POSITIVE_INFINITY;
  const found = lengthClasses.find(({ toLengthM }) => lengthM <= toLengthM) ?? lengthClasses.at(-1);
  if (found === undefined) return [];
  const heatPumps =
    airConditioning === false ? 0 : airConditioning === true ? Math.max(1, found.heatPumps) : found.heatPumps;
  return [...found.kinds, ...Array.from({ length: heatPumps }, () => heatPump)].map(
    ({ name, amperesAt120V, motor = false, continuous = false, fixed = false, use = 'always' }) => ({
      name,
      loadVa: 120 * amperesAt120V,
      inletId: null,
      legs: 'even' as const,
      motor,
      continuous,
      fixed,
      use,
    }),
  );
}

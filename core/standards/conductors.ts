import type { Source } from './source.ts';

type ConductorMaterial = 'copper' | 'aluminium';
type ConduitKind = 'pvc' | 'aluminium' | 'steel';
/** Temperature rating of the insulation or the terminals, degrees Celsius: the columns of Table 310.16. */
type TerminationC = 60 | 75 | 90;

/**
 * One size with its published figures, in ohms per 1000 ft as printed. Null where the tables print none. Table 9 is for
 * three single conductors in conduit at 75 C and 60 Hz; ampacities are for at most three current-carrying conductors
 * in raceway, cable or earth at 30 C ambient. They are not for flexible cords.
 */
export interface ConductorRow {
  readonly size: string;
  readonly sizeUnit: 'AWG' | 'kcmil';
  readonly areaCmil: number;
  readonly dcResistanceOhmPerKft: {
    readonly copperUncoatedSolid: number | null;
    readonly copperUncoated: number | null;
    readonly copperCoated: number | null;
    readonly aluminiumSolid: number | null;
    readonly aluminium: number | null;
  };
  /** The reactance is that of both materials; it differs only in steel conduit. */
  readonly reactanceOhmPerKft: { readonly pvcOrAluminium: number; readonly steel: number } | null;
  readonly acResistanceOhmPerKft: Record<ConductorMaterial, ByConduit | null>;
  /** Effective impedance at 0.85 power factor. */
  readonly impedance085OhmPerKft: Record<ConductorMaterial, ByConduit | null>;
  readonly ampacityA: Record<ConductorMaterial, Readonly<Record<TerminationC, number>> | null>;
}

type ByConduit = Readonly<Record<ConduitKind, number>>;
type Three = readonly [number, number, number];

/** Figures of one row in the tables' own order of columns: PVC, aluminium, steel conduit; 60, 75, 90 C. */
interface PrintedRow {
  readonly dc: readonly [number | null, number | null, number | null, number | null, number | null];
  readonly ac: {
    readonly x: readonly [number, number];
    readonly rCu: Three;
    readonly rAl: Three | null;
    readonly zCu: Three;
    readonly zAl: Three | null;
  } | null;
  readonly copperA: Three;
  readonly aluminiumA: Three | null;
}

export const conductorSource: Source = {
  title: 'NEC Chapter 9 Tables 8 and 9, Table 310.16',
  fromMemory: false,
};

/** Every size from 14 AWG to 1000 kcmil, thinnest first. */
export const conductorRows: readonly ConductorRow[] = [
  row('14', 'AWG', 4110, {
    dc: [3.07, 3.14, 3.19, 5.06, 5.17],
    ac: { x: [0.058, 0.073], rCu: [3.1, 3.1, 3.1], rAl: null, zCu: [2.7, 2.7, 2.7], zAl: null },
    copperA: [15, 20, 25],
    aluminiumA: null,
  }),
  row('12', 'AWG', 6530, {
    dc: [1.93, 1.98, 2.01, 3.18, 3.25],
    ac: { x: [0.054, 0.068], rCu: [2, 2, 2], rAl: [3.2, 3.2, 3.2], zCu: [1.7, 1.7, 1.7], zAl: [2.8, 2.8, 2.8] },
    copperA: [20, 25, 30],
    aluminiumA: [15, 20, 25],
  }),
  row('10', 'AWG', 10380, {
    dc: [1.21, 1.24, 1.26, 2, 2.04],
    ac: { x: [0.05, 0.063], rCu: [1.2, 1.2, 1.2], rAl: [2, 2, 2], zCu: [1.1, 1.1, 1.1], zAl: [1.8, 1.8, 1.8] },
    copperA: [30, 35, 40],
    aluminiumA: [25, 30, 35],
  }),
  row('8', 'AWG', 16510, {
    dc: [0.764, 0.778, 0.786, 1.26, 1.28],
    ac: {
      x: [0.052, 0.065],
      rCu: [0.78, 0.78, 0.78],
      rAl: [1.3, 1.3, 1.3],
      zCu: [0.69, 0.69, 0.7],
      zAl: [1.1, 1.1, 1.1],
    },
    copperA: [40, 50, 55],
    aluminiumA: [35, 40, 45],
  }),
  row('6', 'AWG', 26240, {
    dc: [null, 0.491, 0.51, null, 0.808],
    ac: {
      x: [0.051, 0.064],
      rCu: [0.49, 0.49, 0.49],
      rAl: [0.81, 0.81, 0.81],
      zCu: [0.44, 0.45, 0.45],
      zAl: [0.71, 0.72, 0.72],
    },
    copperA: [55, 65, 75],
    aluminiumA: [40, 50, 55],
  }),
  row('4', 'AWG', 41740, {
    dc: [null, 0.308, 0.321, null, 0.508],
    ac: {
      x: [0.048, 0.06],
      rCu: [0.31, 0.31, 0.31],
      rAl: [0.51, 0.51, 0.51],
      zCu: [0.29, 0.29, 0.3],
      zAl: [0.46, 0.46, 0.46],
    },
    copperA: [70, 85, 95],
    aluminiumA: [55, 65, 75],
  }),
  row('3', 'AWG', 52620, {
    dc: [null, 0.245, 0.254, null, 0.403],
    ac: {
      x: [0.047, 0.059],
      rCu: [0.25, 0.25, 0.25],
      rAl: [0.4, 0.41, 0.4],
      zCu: [0.23, 0.24, 0.24],
      zAl: [0.37, 0.37, 0.37],
    },
    copperA: [85, 100, 115],
    aluminiumA: [65, 75, 85],
  }),
  row('2', 'AWG', 66360, {
    dc: [null, 0.194, 0.201, null, 0.319],
    ac: {
      x: [0.045, 0.057],
      rCu: [0.19, 0.2, 0.2],
      rAl: [0.32, 0.32, 0.32],
      zCu: [0.19, 0.19, 0.2],
      zAl: [0.3, 0.3, 0.3],
    },
    copperA: [95, 115, 130],
    aluminiumA: [75, 90, 100],
  }),
  row('1', 'AWG', 83690, {
    dc: [null, 0.154, 0.16, null, 0.253],
    ac: {
      x: [0.046, 0.057],
      rCu: [0.15, 0.16, 0.16],
      rAl: [0.25, 0.26, 0.25],
      zCu: [0.16, 0.16, 0.16],
      zAl: [0.24, 0.24, 0.25],
    },
    copperA: [110, 130, 145],
    aluminiumA: [85, 100, 115],
  }),
  row('1/0', 'AWG', 105600, {
    dc: [null, 0.122, 0.127, null, 0.201],
    ac: {
      x: [0.044, 0.055],
      rCu: [0.12, 0.13, 0.12],
      rAl: [0.2, 0.21, 0.2],
      zCu: [0.13, 0.13, 0.13],
      zAl: [0.19, 0.2, 0.2],
    },
    copperA: [125, 150, 170],
    aluminiumA: [100, 120, 135],
  }),
  row('2/0', 'AWG', 133100, {
    dc: [null, 0.0967, 0.101, null, 0.159],
    ac: {
      x: [0.043, 0.054],
      rCu: [0.1, 0.1, 0.1],
      rAl: [0.16, 0.16, 0.16],
      zCu: [0.11, 0.11, 0.11],
      zAl: [0.16, 0.16, 0.16],
    },
    copperA: [145, 175, 195],
    aluminiumA: [115, 135, 150],
  }),
  row('3/0', 'AWG', 167800, {
    dc: [null, 0.0766, 0.0797, null, 0.126],
    ac: {
      x: [0.042, 0.052],
      rCu: [0.077, 0.082, 0.079],
      rAl: [0.13, 0.13, 0.13],
      zCu: [0.088, 0.092, 0.094],
      zAl: [0.13, 0.13, 0.14],
    },
    copperA: [165, 200, 225],
    aluminiumA: [130, 155, 175],
  }),
  row('4/0', 'AWG', 211600, {
    dc: [null, 0.0608, 0.0626, null, 0.1],
    ac: {
      x: [0.041, 0.051],
      rCu: [0.062, 0.067, 0.063],
      rAl: [0.1, 0.11, 0.1],
      zCu: [0.074, 0.078, 0.08],
      zAl: [0.11, 0.11, 0.11],
    },
    copperA: [195, 230, 260],
    aluminiumA: [150, 180, 205],
  }),
  row('250', 'kcmil', 250000, {
    dc: [null, 0.0515, 0.0535, null, 0.0847],
    ac: {
      x: [0.041, 0.052],
      rCu: [0.052, 0.057, 0.054],
      rAl: [0.085, 0.09, 0.086],
      zCu: [0.066, 0.07, 0.073],
      zAl: [0.094, 0.098, 0.1],
    },
    copperA: [215, 255, 290],
    aluminiumA: [170, 205, 230],
  }),
  row('300', 'kcmil', 300000, {
    dc: [null, 0.0429, 0.0446, null, 0.0707],
    ac: {
      x: [0.041, 0.051],
      rCu: [0.044, 0.049, 0.045],
      rAl: [0.071, 0.076, 0.072],
      zCu: [0.059, 0.063, 0.065],
      zAl: [0.082, 0.086, 0.088],
    },
    copperA: [240, 285, 320],
    aluminiumA: [195, 230, 260],
  }),
  row('350', 'kcmil', 350000, {
    dc: [null, 0.0367, 0.0382, null, 0.0605],
    ac: {
      x: [0.04, 0.05],
      rCu: [0.038, 0.043, 0.039],
      rAl: [0.061, 0.066, 0.063],
      zCu: [0.053, 0.058, 0.06],
      zAl: [0.073, 0.077, 0.08],
    },
    copperA: [260, 310, 350],
    aluminiumA: [210, 250, 280],
  }),
  row('400', 'kcmil', 400000, {
    dc: [null, 0.0321, 0.0331, null, 0.0529],
    ac: {
      x: [0.04, 0.049],
      rCu: [0.033, 0.038, 0.035],
      rAl: [0.054, 0.059, 0.055],
      zCu: [0.049, 0.053, 0.056],
      zAl: [0.066, 0.071, 0.073],
    },
    copperA: [280, 335, 380],
    aluminiumA: [225, 270, 305],
  }),
  row('500', 'kcmil', 500000, {
    dc: [null, 0.0258, 0.0265, null, 0.0424],
    ac: {
      x: [0.039, 0.048],
      rCu: [0.027, 0.032, 0.029],
      rAl: [0.043, 0.048, 0.045],
      zCu: [0.043, 0.048, 0.05],
      zAl: [0.057, 0.061, 0.064],
    },
    copperA: [320, 380, 430],
    aluminiumA: [260, 310, 350],
  }),
  row('600', 'kcmil', 600000, {
    dc: [null, 0.0214, 0.0223, null, 0.0353],
    ac: {
      x: [0.039, 0.048],
      rCu: [0.023, 0.028, 0.025],
      rAl: [0.036, 0.041, 0.038],
      zCu: [0.04, 0.044, 0.047],
      zAl: [0.051, 0.055, 0.058],
    },
    copperA: [350, 420, 475],
    aluminiumA: [285, 340, 385],
  }),
  row('700', 'kcmil', 700000, {
    dc: [null, 0.0184, 0.0189, null, 0.0303],
    ac: null,
    copperA: [385, 460, 520],
    aluminiumA: [315, 375, 425],
  }),
  row('750', 'kcmil', 750000, {
    dc: [null, 0.0171, 0.0176, null, 0.0282],
    ac: {
      x: [0.038, 0.048],
      rCu: [0.019, 0.024, 0.021],
      rAl: [0.029, 0.034, 0.031],
      zCu: [0.036, 0.04, 0.043],
      zAl: [0.045, 0.049, 0.052],
    },
    copperA: [400, 475, 535],
    aluminiumA: [320, 385, 435],
  }),
  row('800', 'kcmil', 800000, {
    dc: [null, 0.0161, 0.0166, null, 0.0265],
    ac: null,
    copperA: [410, 490, 555],
    aluminiumA: [330, 395, 445],
  }),
  row('900', 'kcmil', 900000, {
    dc: [null, 0.0143, 0.0147, null, 0.0235],
    ac: null,
    copperA: [435, 520, 585],
    aluminiumA: [355, 425, 480],
  }),
  row('1000', 'kcmil', 1000000, {
    dc: [null, 0.0129, 0.0132, null, 0.0212],
    ac: {
      x: [0.037, 0.046],
      rCu: [0.015, 0.019, 0.018],
      rAl: [0.023, 0.027, 0.025],
      zCu: [0.032, 0.036, 0.04],
      zAl: [0.039, 0.042, 0.046],
    },
    copperA: [455, 545, 615],
    aluminiumA: [375, 445, 500],
  }),
];

function row(size: string, sizeUnit: ConductorRow['sizeUnit'], areaCmil: number, printed: PrintedRow): ConductorRow {
  const [copperUncoatedSolid, copperUncoated, copperCoated, aluminiumSolid, aluminium] = printed.dc;
  const { ac } = printed;
  return {
    size,
    sizeUnit,
    areaCmil,
    dcResistanceOhmPerKft: { copperUncoatedSolid, copperUncoated, copperCoated, aluminiumSolid, aluminium },
    reactanceOhmPerKft: ac === null ? null : { pvcOrAluminium: ac.x[0], steel: ac.x[1] },
    acResistanceOhmPerKft: { copper: byConduit(ac?.rCu), aluminium: byConduit(ac?.rAl) },
    impedance085OhmPerKft: { copper: byConduit(ac?.zCu), aluminium: byConduit(ac?.zAl) },
    ampacityA: { copper: byTermination(printed.copperA), aluminium: byTermination(printed.aluminiumA) },
  };
}

function byConduit(three: Three | null | undefined): ByConduit | null {
  return three ? { pvc: three[0], aluminium: three[1], steel: three[2] } : null;
}

function byTermination(three: Three | null): Readonly<Record<TerminationC, number>> | null {
  return three && { 60: three[0], 75: three[1], 90: three[2] };
}

const bySize = new Map(conductorRows.map((found) => [`${found.size} ${found.sizeUnit}`, found]));

/** The row of a size such as `4/0` AWG or `250` kcmil, or null where the tables have none (mm2 sizes among them). */
export function conductorRow(size: string, sizeUnit: 'AWG' | 'kcmil' | 'mm2'): ConductorRow | null {
  return bySize.get(`${size} ${sizeUnit}`) ?? null;
}

/** 1000 ft is 0.3048 km exactly. */
const kmPerKft = 0.3048;

/** Ohms per kilometre from the printed ohms per 1000 ft. */
export function ohmPerKm(ohmPerKft: number): number {
  return ohmPerKft / kmPerKft;
}

import type { Source } from '../../../standards/source.ts';

export const editionIds = ['2011', '2017', '2020'] as const;
export type EditionId = (typeof editionIds)[number];

/** What one edition of the code asks of pedestals and feeders, as far as it is known here, clause by clause. */
export interface Edition {
  readonly id: EditionId;
  readonly name: string;
  readonly rating: { readonly leastA: number; readonly source: Source };
  /** Locking up to 50 A, pin-and-sleeve from 60 A on. */
  readonly type: Source;
  readonly ownCircuit: Source;
  readonly height: { readonly leastM: number; readonly source: Source };
  readonly disconnect: Source;
  readonly groundFault: {
    /** Device of the receptacle itself, mA; null where the edition asks for none there. */
    readonly outletMa: number | null;
    /** Device anywhere between the source and the receptacle (outletMa null), or at feeders, mA. */
    readonly supplyMa: number;
    readonly source: Source;
  };
  /** A device to measure leakage where more receptacles than this supply shore power; null where none is asked for. */
  readonly leakageMeasurement: { readonly moreThan: number; readonly source: Source } | null;
  /** Most volts between lines on piers; null where this is not known here. */
  readonly distribution: { readonly mostV: number; readonly source: Source } | null;
}

const leastA = 30;
/** 12 in. */
const leastM = 0.3048;

function older(id: '2011' | '2017', supplyMa: number): Edition {
  const article = `NEC ${id}`;
  return {
    id,
    name: `NFPA 70 (NEC) ${id}, article 555`,
    rating: { leastA, source: { title: `${article}, 555.19(A)(4)`, fromMemory: true } },
    type: { title: `${article}, 555.19(A)(4)`, fromMemory: true },
    ownCircuit: { title: `${article}, 555.19(A)(3) (clause number from memory)`, fromMemory: false },
    height: { leastM, source: { title: `${article}, 555.19(A)(1)`, fromMemory: true } },
    disconnect: { title: `${article}, 555.17`, fromMemory: true },
    groundFault: {
      outletMa: null,
      supplyMa,
      source: { title: `${article}, 555.3 (clause number from memory)`, fromMemory: false },
    },
    leakageMeasurement: null,
    distribution: null,
  };
}

const from2020: Edition = {
  id: '2020',
  name: 'NFPA 70 (NEC) 2020 and later, article 555',
  rating: { leastA, source: { title: 'NEC 555.33 (2020 on)', fromMemory: false } },
  type: { title: 'NEC 555.33 (2020 on)', fromMemory: false },
  ownCircuit: { title: 'NEC 555.33 (read in an older edition)', fromMemory: false },
  height: { leastM, source: { title: 'NEC 555.33 (2020 on)', fromMemory: false } },
  disconnect: { title: 'NEC 555.36 (2020 on), in sight within 30 in', fromMemory: true },
  groundFault: { outletMa: 30, supplyMa: 100, source: { title: 'NEC 555.35 (2020 on)', fromMemory: false } },
  leakageMeasurement: { moreThan: 3, source: { title: 'NEC 555.35 (2020 on)', fromMemory: false } },
  distribution: {
    mostV: 250,
    source: {
      title: 'NEC 555.5 (2020 on; clause number from memory); the edition in force decides',
      fromMemory: false,
    },
  },
};

export const editions: Readonly<Record<EditionId, Edition>> = {
  '2011': older('2011', 100),
  '2017': older('2017', 30),
  '2020': from2020,
};

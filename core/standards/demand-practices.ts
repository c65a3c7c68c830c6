import type { DemandPractice } from './demand-practice.ts';

/**
 * The table was read row by row in published quizzes and electricians' examples, not in the code's own text: rows 5-8
 * and 51-70 in one public table only, and 1-4 in one worked answer.
 */
const nec555: DemandPractice = {
  id: 'nec-555-2020',
  name: 'NEC article 555, demand factors for shore-power receptacles',
  rows: [
    { from: 1, to: 4, factor: 1 },
    { from: 5, to: 8, factor: 0.9 },
    { from: 9, to: 14, factor: 0.8 },
    { from: 15, to: 30, factor: 0.7 },
    { from: 31, to: 40, factor: 0.6 },
    { from: 41, to: 50, factor: 0.5 },
    { from: 51, to: 70, factor: 0.4 },
    { from: 71, to: null, factor: 0.3 },
  ],
  subMeterFactor: 0.9,
  twoVoltageRule: true,
  notes: [
    'Ratings enter at 100 %, at nominal volts (120, 208, 240), not at the volts of the label.',
    'Each panel, feeder and service uses the count of its own receptacles.',
    'Loads that are not shore-power receptacles are added outside the factor.',
    'The factor for energy meters at each slip (0.9) is from memory.',
    'The factors may be too low in extreme heat or cold with heating, air conditioning or refrigeration (from memory).',
    'The table stands in Table 555.12 of the 2002 to 2017 editions; later editions than 2020 move it: check the adopted one.',
  ],
  source: { title: 'NFPA 70 (NEC) 2020, Table 555.6', fromMemory: false },
};

const fullLoad: DemandPractice = {
  id: 'full-load',
  name: 'Every rating at 100 %',
  rows: [{ from: 1, to: null, factor: 1 }],
  subMeterFactor: null,
  twoVoltageRule: false,
  notes: ['For marinas under rules that publish no demand factors for shore power.'],
  source: { title: 'no factor: the sum of the ratings', fromMemory: false },
};

/** The built-in demand-factor practices. A marina may add its own. */
export const demandPractices: readonly DemandPractice[] = [nec555, fullLoad];

const byId = new Map(demandPractices.map((practice) => [practice.id, practice]));

/** The built-in practice with this id, or null where there is none. */
export function demandPractice(id: string): DemandPractice | null {
  return byId.get(id) ?? null;
}

import type { Season } from '../../electrical/boat-load/boat-load.ts';

export type PartOfDay = 'morning' | 'afternoon' | 'evening' | 'night';
export const partsOfDay: readonly PartOfDay[] = ['morning', 'afternoon', 'evening', 'night'];

/** How often an appliance aboard is on at a moment of such an hour, as a share of the boats that have it. */
export interface DutyCycle {
  readonly name: string;
  /** Parts of a name, in small letters, that mean this appliance. */
  readonly words: readonly string[];
  readonly summer: Readonly<Record<PartOfDay, number>>;
  readonly winter: Readonly<Record<PartOfDay, number>>;
}

/**
 * No published table of duty cycles aboard was found: every figure is an assumption of this project, chosen on the high
 * side, and a marina with meters should put its own in place. The seasons are the hottest and the coldest weeks.
 */
export const dutyCycleSource = 'assumption of this project: no published duty cycles aboard were found';

export const dutyCycles: readonly DutyCycle[] = [
  {
    name: 'reverse-cycle heat pump',
    words: ['heat pump', 'air condition', 'reverse-cycle', 'reverse cycle', 'chiller'],
    summer: { morning: 0.45, afternoon: 0.85, evening: 0.75, night: 0.55 },
    winter: { morning: 0.7, afternoon: 0.4, evening: 0.65, night: 0.7 },
  },
  {
    name: 'electric heater',
    words: ['heater', 'heating'],
    summer: { morning: 0.05, afternoon: 0, evening: 0.05, night: 0.1 },
    winter: { morning: 0.6, afternoon: 0.35, evening: 0.6, night: 0.6 },
  },
  {
    name: 'water heater',
    words: ['water heater', 'hot water'],
    summer: { morning: 0.3, afternoon: 0.1, evening: 0.3, night: 0.1 },
    winter: { morning: 0.35, afternoon: 0.15, evening: 0.35, night: 0.15 },
  },
  {
    name: 'battery charger',
    words: ['charger', 'inverter'],
    summer: { morning: 0.35, afternoon: 0.4, evening: 0.5, night: 0.3 },
    winter: { morning: 0.35, afternoon: 0.4, evening: 0.5, night: 0.3 },
  },
  {
    name: 'refrigerator',
    words: ['refrigerator', 'fridge', 'freezer', 'ice maker'],
    summer: { morning: 0.4, afternoon: 0.55, evening: 0.5, night: 0.4 },
    winter: { morning: 0.3, afternoon: 0.3, evening: 0.3, night: 0.25 },
  },
  {
    name: 'lighting',
    words: ['light', 'lamp'],
    summer: { morning: 0.15, afternoon: 0.1, evening: 0.7, night: 0.15 },
    winter: { morning: 0.4, afternoon: 0.25, evening: 0.85, night: 0.15 },
  },
  {
    name: 'microwave oven',
    words: ['microwave', 'oven', 'range', 'hob', 'cooktop', 'stove', 'grill'],
    summer: { morning: 0.06, afternoon: 0.04, evening: 0.1, night: 0.01 },
    winter: { morning: 0.06, afternoon: 0.04, evening: 0.1, night: 0.01 },
  },
  {
    name: 'coffee maker',
    words: ['coffee', 'kettle', 'toaster'],
    summer: { morning: 0.15, afternoon: 0.03, evening: 0.03, night: 0.01 },
    winter: { morning: 0.15, afternoon: 0.03, evening: 0.03, night: 0.01 },
  },
  {
    name: 'television',
    words: ['television', 'tv', 'computer'],
    summer: { morning: 0.1, afternoon: 0.15, evening: 0.6, night: 0.1 },
    winter: { morning: 0.1, afternoon: 0.2, evening: 0.65, night: 0.1 },
  },
];

/**
 * The chance that an appliance of this name is on; null where the name means none of the table: count it as always on.
 * The longest word that matches decides ("water heater" before "heater"). `either` season takes the larger.
 */
export function dutyCycleOf(name: string, season: Season, at: PartOfDay): { name: string; chance: number } | null {
  const said = name.toLowerCase();
  let best: { readonly cycle: DutyCycle; readonly length: number } | null = null;
  for (const cycle of dutyCycles) {
    for (const word of cycle.words) {
      if (said.includes(word) && word.length > (best?.length ?? 0)) best = { cycle, length: word.length };
    }
  }
  if (best === null) return null;
  const { cycle } = best;
  const chance =
    season === 'either'
      ? Math.max(cycle.summer[at], cycle.winter[at])
      : season === 'summer'
        ? cycle.summer[at]
        : cycle.winter[at];
  return { name: cycle.name, chance };
}

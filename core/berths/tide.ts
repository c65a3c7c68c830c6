import type { MarinaSettings } from '../inventory/inventory.ts';

/**
 * Local days that a stay touches, `YYYY-MM-DD`, `from` included and `until` excluded: a stay from Friday noon to Sunday
 * noon touches Friday, Saturday and Sunday, and `until` is Monday.
 */
export interface LocalDays {
  readonly from: string;
  readonly until: string;
}

/** The lowest tide known for a stay, m against the depths' datum. */
export interface LowTide {
  /** Lowest of what is known; null where nothing is. More knowledge can only lower it. */
  readonly heightM: number | null;
  /** First local day for which neither a prediction nor a lowest tide is on record; null where every day has one. */
  readonly unknownFrom: string | null;
  readonly source: string;
}

/**
 * Lowest predicted low water of the stay's days. A day without prediction counts with the marina's lowest tide. Work it
 * out once for a stay and hand it to every berth.
 */
export function lowestTide(
  days: LocalDays,
  settings: Pick<MarinaSettings, 'lowestTideM' | 'predictedLowTides'>,
): LowTide {
  let heightM: number | null = null;
  let uncovered: string | null = null;
  let day = days.from;
  const entries = settings.predictedLowTides.filter((entry) => entry.from < days.until && days.from < entry.until);
  for (const entry of entries.sort((a, b) => (a.from < b.from ? -1 : a.from > b.from ? 1 : 0))) {
    if (entry.from > day) uncovered ??= day;
    if (entry.until > day) day = entry.until;
    heightM = heightM === null ? entry.heightM : Math.min(heightM, entry.heightM);
  }
  if (day < days.until) uncovered ??= day;

  if (uncovered === null) return { heightM, unknownFrom: null, source: "marina's predicted low tides" };
  if (settings.lowestTideM === null) {
    return { heightM, unknownFrom: uncovered, source: "marina's predicted low tides, incomplete" };
  }
  heightM = heightM === null ? settings.lowestTideM : Math.min(heightM, settings.lowestTideM);
  return { heightM, unknownFrom: null, source: "marina's setting for the lowest tide" };
}

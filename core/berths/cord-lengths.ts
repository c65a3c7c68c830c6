import type { CordSet } from '../boats.ts';
import type { MarinaSettings } from '../inventory/inventory.ts';
import type { Configuration } from '../standards/configuration.ts';
import { ceilCm, exceeds } from './metres.ts';

/** Longest single length of a cord from an outlet of the IEC kind, m. BS 7671 section 709 and national guides. */
const iecLongestCordM = 25;

/** What cords may be used from an outlet: which lengths people own, and how many in a row. */
export interface CordRule {
  readonly usualLengthsM: readonly number[];
  readonly inSeries: 1 | 2;
  /** Longest single cord that may be used at all; null where nothing limits it. */
  readonly longestCordM: number | null;
  /** Source of that limit, for findings. */
  readonly source: string;
}

/** An outlet of the IEC kind takes one length of at most 25 m whatever the marina's setting for cords in series. */
export function cordRule(
  family: Configuration['family'],
  settings: Pick<MarinaSettings, 'usualCordLengthsM' | 'cordsInSeriesAllowed'>,
): CordRule {
  if (family === 'IEC 60309') {
    return {
      usualLengthsM: settings.usualCordLengthsM.filter((lengthM) => lengthM <= iecLongestCordM),
      inSeries: 1,
      longestCordM: iecLongestCordM,
      source: 'BS 7671 section 709: one length of at most 25 m',
    };
  }
  return {
    usualLengthsM: settings.usualCordLengthsM,
    inSeries: settings.cordsInSeriesAllowed,
    longestCordM: null,
    source: "marina's setting for usual cord lengths",
  };
}

/** Whether a single cord of this length may be used at all. */
export function mayBeUsed(lengthM: number, rule: CordRule): boolean {
  return rule.longestCordM === null || !exceeds(lengthM, rule.longestCordM);
}

/** Beyond this no cord that people own or may use reaches, m; Infinity where nothing says so. */
export function longestUsableM(rule: CordRule): number {
  if (rule.longestCordM !== null) return rule.longestCordM;
  return rule.usualLengthsM.length === 0 ? Number.POSITIVE_INFINITY : Math.max(...rule.usualLengthsM) * rule.inSeries;
}

/**
 * Cord length to bring for a way, m: the shortest usual cord, else the shortest sum of two where two are allowed, else
 * (no usual length fits, yet a longer cord may be used) the way itself. Null where no cord may be used.
 */
export function cordForWayM(wayM: number, rule: CordRule): number | null {
  if (exceeds(wayM, longestUsableM(rule))) return null;
  let single = Number.POSITIVE_INFINITY;
  for (const lengthM of rule.usualLengthsM) if (!exceeds(wayM, lengthM)) single = Math.min(single, lengthM);
  if (single < Number.POSITIVE_INFINITY) return single;

  let sum = Number.POSITIVE_INFINITY;
  if (rule.inSeries === 2) {
    for (const a of rule.usualLengthsM) {
      for (const b of rule.usualLengthsM) if (!exceeds(wayM, a + b)) sum = Math.min(sum, a + b);
    }
  }
  if (sum < Number.POSITIVE_INFINITY) return sum;
  return Number.isFinite(wayM) ? ceilCm(wayM) : null;
}

/** The longest way that cords aboard cover, alone and with the practice's two in series, m; 0 without a usable cord. */
export function reachOfCordsM(
  cordSets: readonly CordSet[],
  rule: CordRule,
): { readonly singleM: number; readonly seriesM: number } {
  let longest = 0;
  let second = 0;
  for (const { lengthM } of cordSets) {
    if (!mayBeUsed(lengthM, rule)) continue;
    if (lengthM > longest) {
      second = longest;
      longest = lengthM;
    } else if (lengthM > second) second = lengthM;
  }
  return { singleM: longest, seriesM: rule.inSeries === 2 ? longest + second : longest };
}

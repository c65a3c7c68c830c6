import { breakerForConductorSource, largestBreakerA, standardBreakerSource } from '../../standards/breaker-sizes.ts';
import { conductorRow, conductorSource } from '../../standards/conductors.ts';
import type { LineName } from '../../standards/configuration.ts';
import { configuration } from '../../standards/configurations.ts';
import { citation, type Source } from '../../standards/source.ts';
import type { InventoryIndex } from '../index-inventory.ts';
import type { Equipment } from '../inventory.ts';
import { startsSupply } from '../supplies.ts';
import { checkEach, equipmentSubject, type InventoryCheck, judgement, missing, outletSubject } from './check.ts';

const necFeederGroundFault: Source = { title: 'NEC 555.35 (2020 on): 100 mA at feeders', fromMemory: false };

const all = ({ inventory }: InventoryIndex): readonly Equipment[] => inventory.equipment;

const breakerAboveConductor = checkEach(
  'demand.breakerAboveConductor',
  'breakers beyond the next standard size above their conductor',
  `${citation(breakerForConductorSource)}; ${citation(standardBreakerSource)}`,
  all,
  (part) => {
    const { breakerA, conductorAmpacityA } = part;
    if (breakerA === null || conductorAmpacityA === null) return null;
    const limitA = largestBreakerA(conductorAmpacityA);
    if (breakerA <= limitA) return null;
    return {
      level: 'caution',
      subject: equipmentSubject(part),
      actual: breakerA,
      limit: limitA,
      unit: 'A',
      message: `The breaker of ${part.label} (${breakerA} A) is larger than its conductor of ${conductorAmpacityA} A may have (${limitA} A). Have both checked by an electrician.`,
    };
  },
);

/** Terminals are usually rated 75 C, so the 75 C column is the most that a conductor may be counted at. */
const ampacityAboveTable = checkEach(
  'demand.ampacityAboveTable',
  'stated conductor ampacities above the 75 C column for the size',
  citation(conductorSource),
  all,
  (part) => {
    const { conductor, conductorAmpacityA } = part;
    if (conductor === null || conductorAmpacityA === null) return null;
    const tableA = conductorRow(conductor.size, conductor.sizeUnit)?.ampacityA[conductor.material]?.[75];
    if (tableA === undefined) return null;
    const limitA = tableA * conductor.parallelSets;
    if (conductorAmpacityA <= limitA) return null;
    return {
      level: 'caution',
      subject: equipmentSubject(part),
      actual: conductorAmpacityA,
      limit: limitA,
      unit: 'A',
      message: `The ampacity of ${part.label} is stated as ${conductorAmpacityA} A, but ${conductor.parallelSets} x ${conductor.size} ${conductor.sizeUnit} ${conductor.material} carries ${limitA} A at 75 C. Correct the ampacity or the size.`,
    };
  },
);

const conductorNotInTable = checkEach(
  'demand.conductorNotInTable',
  'conductor sizes that the tables do not have',
  citation(conductorSource),
  all,
  (part) => {
    const { conductor } = part;
    if (conductor === null || conductor.sizeUnit === 'mm2') return null;
    if (conductorRow(conductor.size, conductor.sizeUnit) !== null) return null;
    return {
      level: 'note',
      subject: equipmentSubject(part),
      actual: `${conductor.size} ${conductor.sizeUnit}`,
      message: `The conductor of ${part.label} (${conductor.size} ${conductor.sizeUnit}) is in no table here: its resistance and ampacity cannot be checked. Maybe the size or its unit is mistyped.`,
    };
  },
);

const notAssessed = checkEach(
  'demand.notAssessed',
  'equipment without any limit, whose demand cannot be judged',
  judgement,
  all,
  (part) => {
    const limits = [part.breakerA, part.conductorAmpacityA, part.neutralAmpacityA, part.busA];
    if (part.transformer?.ratedKva != null || limits.some((limit) => limit !== null)) return null;
    // A transformer's own question is its rating.
    if (part.kind === 'transformer') return null;
    return missing(
      equipmentSubject(part),
      'breakerA',
      `How many amperes are on the handle of the breaker of ${part.label}?`,
      `${part.label} has no limit at all: its demand is not assessed, and no boat can be said to be within it. Enter at least its breaker.`,
    );
  },
);

const transformerRating = checkEach(
  'demand.transformerRatingUnknown',
  'transformers whose kVA nobody has stated',
  judgement,
  ({ inventory }) => inventory.equipment.filter((part) => part.kind === 'transformer'),
  (part) => {
    if (part.transformer !== null && part.transformer.ratedKva !== null) return null;
    return missing(
      equipmentSubject(part),
      'transformer.ratedKva',
      `How many kVA are on the nameplate of ${part.label}?`,
      `The rating of ${part.label} is unknown: its windings are not assessed. Read its nameplate and enter the kVA.`,
    );
  },
);

const breakerAboveParent = checkEach(
  'demand.breakerAboveParent',
  'breakers larger than the one above them on the same supply',
  'common practice',
  ({ inventory }) => inventory.equipment.filter((part) => !startsSupply(part)),
  (part, index) => {
    const above = breakerAbove(part, index);
    if (part.breakerA === null || above === null || part.breakerA <= above.breakerA) return null;
    return {
      level: 'caution',
      subject: equipmentSubject(part),
      actual: part.breakerA,
      limit: above.breakerA,
      unit: 'A',
      message: `The breaker of ${part.label} (${part.breakerA} A) is larger than that of ${above.label} above it (${above.breakerA} A), which trips first. Correct the entry, or expect the larger outage.`,
    };
  },
);

/** Nearest known breaker above a part, as far as its own supply reaches: across a transformer amperes do not compare. */
function breakerAbove(part: Equipment, { equipment }: InventoryIndex): { label: string; breakerA: number } | null {
  let step = part.parentId === null ? undefined : equipment.get(part.parentId);
  while (step !== undefined && step.kind !== 'transformer') {
    if (step.breakerA !== null) return { label: step.label, breakerA: step.breakerA };
    step = step.parentId === null ? undefined : equipment.get(step.parentId);
  }
  return null;
}

const outletBreakerAboveFeed = checkEach(
  'demand.outletBreakerAboveFeed',
  'outlet breakers larger than the breaker that feeds their pedestal',
  'common practice',
  ({ inventory }) => inventory.outlets,
  (outlet, index) => {
    const feed = index.pathOfOutlet.get(outlet.id)?.[0];
    if (outlet.breakerA === null || feed === undefined || feed.breakerA === null) return null;
    if (outlet.breakerA <= feed.breakerA || feed.kind === 'transformer') return null;
    const subject = outletSubject(outlet, index);
    return {
      level: 'caution',
      subject,
      actual: outlet.breakerA,
      limit: feed.breakerA,
      unit: 'A',
      message: `The breaker of outlet ${subject.label} (${outlet.breakerA} A) is larger than that of ${feed.label} (${feed.breakerA} A), which trips first. Correct the entry, or expect a dark pedestal.`,
    };
  },
);

const feederGroundFault = checkEach(
  'demand.groundFaultSetting',
  'feeders and branch circuits with an unknown ground-fault device or a setting above 100 mA',
  citation(necFeederGroundFault),
  ({ inventory }) => inventory.equipment.filter(({ kind }) => kind === 'feeder' || kind === 'branchCircuit'),
  (part, index) => {
    if (index.systemOfEquipment.get(part.id)?.frequencyHz === 50) return null;
    const { device, settingMa } = part.groundFault;
    const subject = equipmentSubject(part);
    if (device === 'unknown' || (device === 'fitted' && settingMa === null)) {
      return missing(
        subject,
        device === 'unknown' ? 'groundFault.device' : 'groundFault.settingMa',
        `Does ${part.label} have a ground-fault device, and what is it set to, in mA?`,
        `The ground-fault protection of ${part.label} is unknown: the leakage of its boats has no known limit. Look at the device and enter its setting.`,
      );
    }
    if (settingMa === null || settingMa <= 100) return null;
    return {
      level: 'caution',
      subject,
      actual: settingMa,
      limit: 100,
      unit: 'mA',
      message: `The ground-fault device of ${part.label} is set to ${settingMa} mA, above 100 mA. Ask an electrician which edition applies here and have it set.`,
    };
  },
);

/** Share by which the most loaded line may pass the mean of the lines. No published figure was found. */
const imbalanceShare = 0.25;
/** Fewer outlets than this cannot be spread well. */
const leastOutletsToBalance = 6;

const balance = checkEach(
  'demand.linesUnbalanced',
  'equipment whose outlets load one line by more than 25 % above the mean of its lines',
  'common practice: the share is judgement',
  all,
  (part, index) => {
    const connected = connectedByLine(part, index);
    if (connected === null) return null;
    const amperes = [...connected.values()];
    const meanA = amperes.reduce((sum, value) => sum + value, 0) / amperes.length;
    const limitA = (1 + imbalanceShare) * meanA;
    const mostA = Math.max(...amperes);
    if (mostA <= limitA) return null;
    const shown = [...connected].map(([line, value]) => `${line} ${value} A`).join(', ');
    return {
      level: 'caution',
      subject: equipmentSubject(part),
      actual: mostA,
      limit: Math.round(limitA),
      unit: 'A',
      message: `The outlets below ${part.label} load its lines unevenly: ${shown} connected. Move outlets to the lines with less when the pedestals are next opened.`,
    };
  },
);

/** Connected amperes of the outlets on a part's own supply, by line; null where there is nothing to balance. */
function connectedByLine(part: Equipment, index: InventoryIndex): Map<LineName, number> | null {
  const system = index.systemOfEquipment.get(part.id);
  const own = part.kind === 'transformer' ? null : part.lines;
  const lines = own ?? system?.lines.map((line) => line.name) ?? [];
  if (lines.length < 2) return null;
  const connected = new Map<LineName, number>(lines.map((line) => [line, 0]));
  let counted = 0;
  for (const outlet of index.outletsBelow.get(part.id) ?? []) {
    const path = index.pathOfOutlet.get(outlet.id) ?? [];
    // Below another transformer the lines have other meanings.
    if (path.slice(0, path.indexOf(part)).some(startsSupply)) continue;
    const ratedA = configuration(outlet.configurationId)?.ratedA;
    if (outlet.lines === null || ratedA === undefined) continue;
    counted += 1;
    for (const line of outlet.lines) connected.set(line, (connected.get(line) ?? 0) + ratedA);
  }
  return counted < leastOutletsToBalance ? null : connected;
}

export const equipmentChecks: readonly InventoryCheck[] = [
  breakerAboveConductor,
  ampacityAboveTable,
  conductorNotInTable,
  notAssessed,
  transformerRating,
  breakerAboveParent,
  outletBreakerAboveFeed,
  feederGroundFault,
  balance,
];

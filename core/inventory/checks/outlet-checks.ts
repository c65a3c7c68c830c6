import { configuration } from '../../standards/configurations.ts';
import { citation, type Source } from '../../standards/source.ts';
import type { InventoryIndex } from '../index-inventory.ts';
import type { Outlet } from '../inventory.ts';
import { startsSupply } from '../supplies.ts';
import { checkEach, type InventoryCheck, judgement, missing, outletSubject } from './check.ts';

const necGroundFault: Source = {
  title: 'NEC 555.35 (2020 on): 30 mA at each shore-power receptacle',
  fromMemory: false,
};
const iecGroundFault: Source = {
  title: 'IEC 60364-7-709 and BS 7671 section 709: 30 mA up to 63 A, 300 mA above (the latter from memory)',
  fromMemory: false,
};
const receptacles: Source = { title: 'NEC 555.33 and 240.4, receptacle on a circuit of its own', fromMemory: true };
const datasheetVolts: Source = { title: 'NEMA WD 6 and IEC 60309, volts of the configuration', fromMemory: false };

const all = ({ inventory }: InventoryIndex): readonly Outlet[] => inventory.outlets;

const breakerAboveRating = checkEach(
  'outlet.breakerAboveRating',
  'breakers larger than the outlet that they protect',
  citation(receptacles),
  all,
  (outlet, index) => {
    const ratedA = configuration(outlet.configurationId)?.ratedA;
    if (outlet.breakerA === null || ratedA === undefined || outlet.breakerA <= ratedA) return null;
    const subject = outletSubject(outlet, index);
    return {
      level: 'caution',
      subject,
      actual: outlet.breakerA,
      limit: ratedA,
      unit: 'A',
      message: `The breaker of outlet ${subject.label} (${outlet.breakerA} A) is larger than the outlet (${outlet.configurationId}, ${ratedA} A) and does not protect it. Have it checked and replaced.`,
    };
  },
);

const breakerBelowRating = checkEach(
  'outlet.breakerBelowRating',
  'outlets rated larger than their breaker',
  citation(receptacles),
  all,
  (outlet, index) => {
    const ratedA = configuration(outlet.configurationId)?.ratedA;
    if (outlet.breakerA === null || ratedA === undefined || outlet.breakerA >= ratedA) return null;
    const subject = outletSubject(outlet, index);
    return {
      level: 'caution',
      subject,
      actual: ratedA,
      limit: outlet.breakerA,
      unit: 'A',
      message: `Outlet ${subject.label} (${outlet.configurationId}, ${ratedA} A) stands behind a breaker of ${outlet.breakerA} A: a boat gets less than its plug promises. Correct the entry or the breaker.`,
    };
  },
);

const breakerUnknown = checkEach(
  'outlet.breakerUnknown',
  'outlets whose breaker nobody has stated',
  judgement,
  all,
  (outlet, index) => {
    if (outlet.breakerA !== null) return null;
    const subject = outletSubject(outlet, index);
    return missing(
      subject,
      'breakerA',
      `How many amperes are on the handle of the breaker of outlet ${subject.label}?`,
      `The breaker of outlet ${subject.label} is unknown, and with it what protects a cord there. Read its handle and enter it.`,
    );
  },
);

const linesUnknown = checkEach(
  'outlet.linesUnknown',
  'outlets whose lines nobody has stated',
  judgement,
  all,
  (outlet, index) => {
    if (outlet.lines !== null) return null;
    const subject = outletSubject(outlet, index);
    return missing(
      subject,
      'lines',
      `Which line of the panel feeds each line contact of outlet ${subject.label}?`,
      `The lines of outlet ${subject.label} are unknown: its load cannot be put on a line, nor two outlets joined. Have it traced and enter it.`,
    );
  },
);

const groundFaultUnknown = checkEach(
  'outlet.groundFaultUnknown',
  'outlets without a ground-fault device, or with an unknown one',
  citation(necGroundFault),
  all,
  (outlet, index) => {
    const { device, settingMa } = outlet.groundFault;
    const subject = outletSubject(outlet, index);
    if (device === 'none') {
      return {
        level: 'caution',
        subject,
        actual: 'none',
        message: `Outlet ${subject.label} has no ground-fault device: a fault aboard can reach the water. Have one fitted.`,
      };
    }
    if (device === 'fitted' && settingMa !== null) return null;
    const [fact, what] =
      device === 'unknown' ? ['groundFault.device', 'ground-fault device'] : ['groundFault.settingMa', 'setting'];
    return missing(
      subject,
      fact,
      `What does the ground-fault device of outlet ${subject.label} say, in mA?`,
      `The ${what} of outlet ${subject.label} is unknown, which is not safe. Look at the device and enter its setting.`,
    );
  },
);

/** The edition's setting for one outlet, mA, and where it stands. */
function wantedSetting(outlet: Outlet, index: InventoryIndex): { limitMa: number; source: Source } {
  const fedById = index.pathOfOutlet.get(outlet.id)?.[0]?.id;
  const system = fedById === undefined ? null : index.systemOfEquipment.get(fedById);
  if (system?.frequencyHz !== 50) return { limitMa: 30, source: necGroundFault };
  const ratedA = configuration(outlet.configurationId)?.ratedA ?? 0;
  return { limitMa: ratedA > 63 ? 300 : 30, source: iecGroundFault };
}

const groundFaultSetting: InventoryCheck = {
  name: 'outlet.groundFaultSetting',
  looksFor: 'ground-fault settings at outlets above what the standards want',
  check: (index) =>
    index.inventory.outlets.flatMap((outlet) => {
      const { settingMa } = outlet.groundFault;
      const { limitMa, source } = wantedSetting(outlet, index);
      if (settingMa === null || settingMa <= limitMa) return [];
      const subject = outletSubject(outlet, index);
      return [
        {
          rule: 'outlet.groundFaultSetting' as const,
          level: 'caution' as const,
          subject,
          actual: settingMa,
          limit: limitMa,
          unit: 'mA',
          source: citation(source),
          message: `The ground-fault device of outlet ${subject.label} is set to ${settingMa} mA, above ${limitMa} mA. Ask an electrician which edition applies here and have it set.`,
        },
      ];
    }),
};

const earthing = checkEach(
  'outlet.combinedNeutralEarth',
  'outlets on a combined neutral-earth (TN-C-S) supply, or on one of unknown earthing',
  'BS 7671, 709.411.4',
  ({ inventory }) => inventory.equipment.filter(startsSupply),
  (part, index) => {
    const fed = (index.outletsBelow.get(part.id) ?? []).filter(
      (outlet) => index.pathOfOutlet.get(outlet.id)?.find(startsSupply) === part,
    ).length;
    if (fed === 0 || (part.earthing !== null && part.earthing !== 'TN-C-S')) return null;
    const subject = { kind: 'equipment', id: part.id, label: part.label } as const;
    if (part.earthing === null) {
      return missing(
        subject,
        'earthing',
        `How is the supply from ${part.label} earthed (neutral grounded there, TN-S, TN-C-S, TT)?`,
        `The earthing of ${part.label} is unknown, and it feeds ${fed} outlets. Ask the electrician or the utility and enter it.`,
      );
    }
    return {
      level: 'refuse',
      subject,
      actual: part.earthing,
      message: `The supply from ${part.label} has neutral and earth combined (TN-C-S) and feeds ${fed} outlets: it may not feed boats. Have it separated (TT, or an isolating transformer).`,
    };
  },
);

/** Share by which volts may be off before they are another nominal voltage: 208 V is 13 % below 240 V. */
const voltageShare = 0.1;

const lineToNeutral = checkEach(
  'outlet.lineToNeutralVoltage',
  'outlets whose lines have other volts to neutral than their plug is for (a high leg)',
  citation(datasheetVolts),
  all,
  (outlet, index) => {
    const wantedV = configuration(outlet.configurationId)?.lineToNeutralV ?? null;
    const fedById = index.pathOfOutlet.get(outlet.id)?.[0]?.id;
    const system = fedById === undefined ? null : index.systemOfEquipment.get(fedById);
    if (wantedV === null || !system || outlet.lines === null) return null;
    const off = system.lines.find(
      (line) => outlet.lines?.includes(line.name) && Math.abs(line.voltageV - wantedV) > voltageShare * wantedV,
    );
    if (off === undefined) return null;
    const subject = outletSubject(outlet, index);
    const actualV = Math.round(off.voltageV);
    return {
      level: 'refuse',
      subject,
      actual: actualV,
      limit: wantedV,
      unit: 'V',
      message: `Outlet ${subject.label} (${outlet.configurationId}) would give ${actualV} V to neutral on ${off.name} of ${system.id}, but is for ${wantedV} V. Take it out of service until its lines are corrected.`,
    };
  },
);

export const outletChecks: readonly InventoryCheck[] = [
  breakerAboveRating,
  breakerBelowRating,
  breakerUnknown,
  linesUnknown,
  groundFaultUnknown,
  groundFaultSetting,
  lineToNeutral,
  earthing,
];

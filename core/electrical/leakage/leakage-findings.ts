import type { Finding, FindingLevel, RuleName, Subject } from '../../findings.ts';
import { citation } from '../../standards/source.ts';
import type { BoatLeakage, DeviceLeakage, LeakagePlace } from './leakage.ts';
import { boatLimitMa, boatLimitSource, tripShare, tripShareSource } from './limits.ts';

const readings = 'clamp readings, summed';
const byHand = 'trips entered by hand';

const trips = (subject: Subject, count: number, who = ''): Finding[] =>
  count === 0
    ? []
    : [
        {
          rule: 'leakage.trips',
          level: 'caution',
          subject,
          actual: count,
          limit: 0,
          unit: null,
          source: byHand,
          message: `${count} ${count === 1 ? 'trip is' : 'trips are'} entered against ${subject.label}${who}. Find the cause before more is connected.`,
        },
      ];

/** One boat against the most that a boat may leak. */
export function boatFindings({ boat, leakageMa, unreadOutlets, trips: count }: BoatLeakage): Finding[] {
  const findings: Finding[] = [];
  if (leakageMa > boatLimitMa) {
    findings.push({
      rule: 'leakage.boatAboveLimit',
      level: 'refuse',
      subject: boat,
      actual: leakageMa,
      limit: boatLimitMa,
      unit: 'mA',
      source: citation(boatLimitSource),
      message: `${boat.label} leaks ${shown(leakageMa)} mA, above ${boatLimitMa} mA. Disconnect it; nobody goes into the water; it needs a marine electrician.`,
      mend: `a reading of at most ${boatLimitMa} mA after repair`,
    });
  }
  if (unreadOutlets > 0) {
    findings.push({
      rule: 'leakage.notRead',
      level: 'confirm',
      subject: boat,
      actual: null,
      limit: boatLimitMa,
      unit: 'mA',
      source: citation(boatLimitSource),
      message: `The leakage of ${boat.label} is unknown on ${unreadOutlets} of its outlets. Clamp lines and neutral together, without the protective conductor, with its loads on.`,
      missingFact: {
        subject: boat,
        fact: 'leakageMa',
        question: `What does a clamp around lines and neutral of ${boat.label} show with its loads on, in mA?`,
      },
    });
  }
  return [...findings, ...trips(boat, count)];
}

/** One device: its sum against its setting, and what is missing. */
export function deviceFindings(device: DeviceLeakage): Finding[] {
  return [
    ...settingFinding(device),
    ...sumFinding(device),
    ...boundFinding(device),
    ...trips(device.subject, device.trips, whoTripped(device)),
  ];
}

/** Whom the trips are put down to, as far as anybody knows. */
function whoTripped({ contributors }: DeviceLeakage): string {
  const named = contributors.filter(({ trips: count }) => count > 0).sort((a, b) => b.trips - a.trips);
  if (named.length === 0) return '';
  return ` (${named.map(({ boat, trips: count }) => `${boat.label} ${count}`).join(', ')})`;
}

function settingFinding({ subject, settingMa, boats }: DeviceLeakage): Finding[] {
  if (settingMa !== null || boats === 0) return [];
  return [
    {
      rule: 'leakage.settingUnknown',
      level: 'confirm',
      subject,
      actual: null,
      limit: null,
      unit: 'mA',
      source: "the marina's inventory",
      message: `The ground-fault device or the setting of ${subject.label} is unknown, so the leakage below it is not assessed. Look at the device and enter its setting.`,
      missingFact: {
        subject,
        fact: 'groundFault.settingMa',
        question: `Has ${subject.label} a ground-fault device, and what is it set to, in mA?`,
      },
    },
  ];
}

function sumFinding({ subject, settingMa, sumMa, assessment, contributors, noBound }: DeviceLeakage): Finding[] {
  if (settingMa === null || (assessment !== 'over' && assessment !== 'mayTrip')) return [];
  const [most] = contributors;
  const who = most === undefined ? '' : ` ${most.boat.label} leaks most (${shown(most.leakageMa)} mA).`;
  const bound = noBound.length === 0 ? 'at most' : 'as read';
  const said = (rule: RuleName, level: FindingLevel, limit: number, source: string, message: string): Finding => ({
    rule,
    level,
    subject,
    actual: sumMa,
    limit,
    unit: 'mA',
    source,
    message,
  });
  if (assessment === 'mayTrip') {
    const limit = tripShare * settingMa;
    const message = `The boats below ${subject.label} leak ${shown(sumMa)} mA (${bound}), above half of its setting of ${settingMa} mA, from where it may trip.${who}`;
    return [said('leakage.aboveHalfSetting', 'caution', limit, citation(tripShareSource), message)];
  }
  const message = `The boats below ${subject.label} leak ${shown(sumMa)} mA (${bound}), and it trips at ${settingMa} mA.${who} Connect no more boats below it.`;
  const over = said('leakage.overSetting', 'refuse', settingMa, readings, message);
  return [most === undefined ? over : { ...over, mend: `less leakage below it: begin with ${most.boat.label}` }];
}

const boundWords: Record<DeviceLeakage['noBound'][number], string> = {
  notRead: 'some boats were not read',
  loadsOff: 'loads were off or nobody noted whether they were on',
  notTogether: 'the readings were not taken together',
};

function boundFinding({ subject, sumMa, settingMa, noBound }: DeviceLeakage): Finding[] {
  if (noBound.length === 0) return [];
  return [
    {
      rule: 'leakage.noBound',
      level: 'confirm',
      subject,
      actual: sumMa,
      limit: settingMa,
      unit: 'mA',
      source: 'a sum of readings bounds the device only where they were taken together with loads on (derived)',
      message: `The sum of ${shown(sumMa)} mA under ${subject.label} is no upper bound: ${noBound.map((each) => boundWords[each]).join(', ')}. Read all boats below it again in one round, loads on.`,
      missingFact: {
        subject,
        fact: 'leakageMa',
        question: `What do all boats below ${subject.label} show in one round with their loads on, in mA?`,
      },
    },
  ];
}

/** An outlet in use that is known to have no device. */
export function outletFindings({ subject }: LeakagePlace): Finding[] {
  return [
    {
      rule: 'leakage.noDevice',
      level: 'caution',
      subject,
      actual: 'none',
      limit: null,
      unit: null,
      source: 'NEC 555.35 (2020 on)',
      message: `Outlet ${subject.label} has no ground-fault device of its own: a fault aboard can reach the water. Have one fitted.`,
    },
  ];
}

const shown = (milliamperes: number): number => Math.round(milliamperes * 10) / 10;

import type { SupplyOutlet } from '../electrical/hook-up/supply-outlet.ts';
import { outletSubject } from '../electrical/hook-up/trace.ts';
import { boatFindings } from '../electrical/leakage/leakage-findings.ts';
import { boatLimitMa, boatLimitSource, tripShare, tripShareSource } from '../electrical/leakage/limits.ts';
import type { Finding, Subject } from '../findings.ts';
import { citation } from '../standards/source.ts';
import { voltsFindings } from './judge-volts.ts';
import { waterCurrentMa, waterCurrentSource } from './limits.ts';
import { type AskedReading, type Reading, type ReadingName, readingsToTake } from './readings.ts';

export interface ReadingsQuestion {
  readonly boat: Subject;
  readonly outlets: readonly SupplyOutlet[];
  readonly readings: readonly Reading[];
  /** Readings without which the marina lets no boat be powered. */
  readonly mandatory: readonly ReadingName[];
}

/**
 * The readings at the outlets in use against their limits. A reading that is missing never counts as a pass: where the
 * marina demands it, the check-in stays unconfirmed; else it is a condition, with its reason.
 */
export function judgeReadings(question: ReadingsQuestion): Finding[] {
  const { outlets } = question;
  return [
    ...outlets.flatMap((outlet) => readingsToTake(outlet).flatMap((asked) => missing(question, outlet, asked))),
    ...outlets.flatMap((outlet) => voltsFindings(outlet, readingsOf(question, outlet))),
    ...leakageFindings(question),
  ];
}

const readingsOf = ({ readings }: ReadingsQuestion, { id }: SupplyOutlet) =>
  readings.filter(({ outletId }) => outletId === id);

function missing({ readings, mandatory }: ReadingsQuestion, outlet: SupplyOutlet, asked: AskedReading): Finding[] {
  const { name, contact, label, unit } = asked;
  const taken = readings.find((each) => {
    return each.outletId === outlet.id && each.name === name && each.contact === contact;
  });
  if (taken !== undefined && taken.value !== null) return [];
  const reason = taken?.notMeasuredBecause ?? null;
  const isMandatory = mandatory.includes(name);
  const subject = outletSubject(outlet);
  const what = `${label}, outlet ${outlet.label}`;
  const said = reason === null ? 'nobody has said why' : reason;
  const base = { subject, actual: reason, limit: null, unit, source: "the marina's setting: mandatory readings" };
  if (!isMandatory && reason !== null)
    return [
      {
        rule: 'checkin.notMeasured',
        level: 'caution',
        ...base,
        message: `Not measured: ${what} (${said}). That is no pass; measure it as soon as it can be.`,
      },
    ];
  return [
    {
      rule: isMandatory ? 'checkin.mandatoryNotMeasured' : 'checkin.notMeasured',
      level: 'confirm',
      ...base,
      message: isMandatory
        ? `Not measured: ${what} (${said}). The marina lets no boat be powered without it.`
        : `Not measured: ${what}. Measure it, or say why not.`,
      missingFact: {
        subject,
        fact: `readings.${name}.${contact ?? ''}`,
        question: `What does the meter show: ${what}?`,
      },
    },
  ];
}

function leakageFindings(question: ReadingsQuestion): Finding[] {
  const { boat, outlets, readings } = question;
  const valuesOf = (name: ReadingName) =>
    readings.flatMap(({ name: of, value }) => (of === name && value !== null ? [value] : []));
  const leaking = valuesOf('leakageMa');
  const findings: Finding[] = [];
  if (leaking.length > 0) {
    const leakageMa = leaking.reduce((sum, value) => sum + value, 0);
    findings.push(...boatFindings({ boat, leakageMa, unreadOutlets: 0, trips: 0 }));
  }
  for (const outlet of outlets) findings.push(...mayTrip(outlet, readingsOf(question, outlet)));
  const intoWater = Math.max(0, ...valuesOf('leakageWithGroundMa'));
  return [...findings, ...throughWater(boat, intoWater)];
}

/** The outlet's own device sees this boat alone. */
function mayTrip(outlet: SupplyOutlet, readings: readonly Reading[]): Finding[] {
  const { settingMa } = outlet.groundFault;
  const read = readings.find(({ name }) => name === 'leakageMa')?.value ?? null;
  if (settingMa === null || read === null || read <= tripShare * settingMa || read > boatLimitMa) return [];
  return [
    {
      rule: 'leakage.aboveHalfSetting',
      level: 'caution',
      subject: outletSubject(outlet),
      actual: read,
      limit: tripShare * settingMa,
      unit: 'mA',
      source: citation(tripShareSource),
      message: `The boat leaks ${read} mA on outlet ${outlet.label}, above half of its device's ${settingMa} mA, from where it may trip.`,
    },
  ];
}

/** What the clamp around all conductors shows leaves, or enters, through the water. */
function throughWater(boat: Subject, intoWaterMa: number): Finding[] {
  if (intoWaterMa <= waterCurrentMa) return [];
  const isRefused = intoWaterMa > boatLimitMa;
  const limit = isRefused ? boatLimitMa : waterCurrentMa;
  const base = { subject: boat, actual: intoWaterMa, limit, unit: 'mA' };
  const message = `A clamp around all conductors of ${boat.label}, ground included, shows ${intoWaterMa} mA (limit ${limit} mA): that current goes through the water. Nobody swims here; a marine electrician finds its way.`;
  if (!isRefused)
    return [{ rule: 'leakage.throughWater', level: 'caution', ...base, source: citation(waterCurrentSource), message }];
  return [
    {
      rule: 'leakage.throughWater',
      level: 'refuse',
      ...base,
      source: citation(boatLimitSource),
      message,
      mend: `a reading of at most ${waterCurrentMa} mA after repair`,
    },
  ];
}

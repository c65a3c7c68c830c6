import type { SupplyOutlet } from '../electrical/hook-up/supply-outlet.ts';
import { outletSubject } from '../electrical/hook-up/trace.ts';
import type { Finding } from '../findings.ts';
import type { LineName } from '../standards/configuration.ts';
import { citation } from '../standards/source.ts';
import { meterToleranceV, neutralToGround, polaritySource, voltsBand } from './limits.ts';
import { type AskedReading, type Reading, type ReadingName, readingsToTake } from './readings.ts';

const electrician = 'another outlet; this one out of service until an electrician has looked at it';

/** Volts read at one outlet, each against its band, and all of them against each other. */
export function voltsFindings(outlet: SupplyOutlet, readings: readonly Reading[]): Finding[] {
  const readAt = (name: ReadingName, contact: LineName | null) =>
    readings.find((each) => each.name === name && each.contact === contact)?.value ?? null;
  const asked = readingsToTake(outlet).filter(({ unit }) => unit === 'V');
  const neutralV = readAt('neutralToGroundV', null);
  const wiring: Finding[] = [];
  for (const { name, contact } of asked)
    if (name === 'lineToNeutralV')
      wiring.push(
        ...againstEachOther(outlet, contact, {
          lineToNeutralV: readAt(name, contact),
          lineToGroundV: readAt('lineToGroundV', contact),
          neutralToGroundV: neutralV,
        }),
      );
  return [
    ...asked.flatMap((each) => inBand(outlet, each, readAt(each.name, each.contact))),
    // Exchanged conductors lift the neutral too; that is said once, as what it is.
    ...(wiring.some(({ rule }) => rule === 'checkin.polarity') ? [] : neutralLifted(outlet, neutralV)),
    ...wiring,
  ];
}

function inBand(outlet: SupplyOutlet, { name, label, nominal }: AskedReading, value: number | null): Finding[] {
  // Line to ground is held against the other two volts; the neutral has a limit of its own.
  if (value === null || (name !== 'lineToNeutralV' && name !== 'lineToLineV')) return [];
  const subject = outletSubject(outlet);
  const { system } = outlet;
  const what = `${label} at outlet ${outlet.label}`;
  if (system === null || nominal === null)
    return [
      {
        rule: 'checkin.voltsNotJudged',
        level: 'confirm',
        subject,
        actual: value,
        limit: null,
        unit: 'V',
        source: 'what is unknown is unconfirmed',
        message: `${what} reads ${value} V, and nobody has stated which supply or lines it has. Ask the desk.`,
        missingFact: { subject, fact: 'lines', question: `Which lines and supply stand on outlet ${outlet.label}?` },
      },
    ];
  const { clear, bearable, source } = voltsBand(system.frequencyHz);
  const isWithin = ([least, most]: readonly [number, number]) => least * nominal <= value && value <= most * nominal;
  if (isWithin(clear)) return [];
  const isBearable = isWithin(bearable);
  const [least, most] = (isBearable ? clear : bearable).map((share) => Math.round(share * nominal * 10) / 10);
  const base = { subject, actual: value, limit: `${least} to ${most}`, unit: 'V', source: citation(source) };
  const said = `${what} reads ${value} V; ${least} to ${most} V is right for ${system.name}.`;
  if (isBearable)
    return [
      {
        rule: 'checkin.volts',
        level: 'caution',
        ...base,
        message: `${said} Motors run hot on low volts: run less at once, and tell the desk.`,
      },
    ];
  return [
    {
      rule: 'checkin.volts',
      level: 'refuse',
      ...base,
      message: `${said} ${wrongVolts(name, value)} Connect nothing.`,
      mend: electrician,
    },
  ];
}

function wrongVolts(name: ReadingName, value: number): string {
  if (value < 10 && name === 'lineToLineV')
    return 'Both contacts are on one line, and the neutral would carry the sum of both legs.';
  if (value < 10) return 'The outlet is dead, or its breaker is off.';
  return 'The supply is not what is entered, or it is at fault.';
}

function neutralLifted(outlet: SupplyOutlet, value: number | null): Finding[] {
  const { cautionV, refuseV, source } = neutralToGround;
  if (value === null || value <= cautionV) return [];
  const isRefused = value > refuseV;
  const limit = isRefused ? refuseV : cautionV;
  const base = { subject: outletSubject(outlet), actual: value, limit, unit: 'V', source: citation(source) };
  const said = `Neutral to ground at outlet ${outlet.label} reads ${value} V (limit ${limit} V).`;
  if (!isRefused)
    return [
      {
        rule: 'checkin.neutralToGround',
        level: 'caution',
        ...base,
        message: `${said} The neutral is loaded or poorly joined: tell the desk.`,
      },
    ];
  return [
    {
      rule: 'checkin.neutralToGround',
      level: 'refuse',
      ...base,
      message: `${said} The neutral may be open. Connect nothing.`,
      mend: electrician,
    },
  ];
}

interface ThreeVolts {
  readonly lineToNeutralV: number | null;
  readonly lineToGroundV: number | null;
  readonly neutralToGroundV: number | null;
}

/** Exchanged conductors, and a ground contact that leads nowhere. */
function againstEachOther(outlet: SupplyOutlet, contact: LineName | null, volts: ThreeVolts): Finding[] {
  const { lineToNeutralV, lineToGroundV, neutralToGroundV } = volts;
  if (lineToNeutralV === null || lineToGroundV === null || neutralToGroundV === null) return [];
  const subject = outletSubject(outlet);
  const base = { subject, unit: 'V', source: citation(polaritySource) };
  const where = `outlet ${outlet.label}${contact === null ? '' : `, ${contact}`}`;
  if (neutralToGroundV > lineToGroundV + meterToleranceV)
    return [
      {
        rule: 'checkin.polarity',
        level: 'refuse',
        ...base,
        actual: neutralToGroundV,
        limit: lineToGroundV,
        message: `At ${where} the neutral stands at ${neutralToGroundV} V to ground and the line at ${lineToGroundV} V: line and neutral are exchanged. Connect nothing.`,
        mend: electrician,
      },
    ];
  const least = lineToNeutralV - neutralToGroundV - meterToleranceV;
  const most = lineToNeutralV + neutralToGroundV + meterToleranceV;
  if (least <= lineToGroundV && lineToGroundV <= most) return [];
  return [
    {
      rule: 'checkin.groundOpen',
      level: 'refuse',
      ...base,
      actual: lineToGroundV,
      limit: lineToNeutralV,
      message: `At ${where} line to ground reads ${lineToGroundV} V, line to neutral ${lineToNeutralV} V and neutral to ground ${neutralToGroundV} V: they cannot all be true of sound wiring. The ground may be open. Connect nothing.`,
      mend: electrician,
    },
  ];
}

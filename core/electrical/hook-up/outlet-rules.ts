import type { Finding } from '../../findings.ts';
import { configuration } from '../../standards/configurations.ts';
import { frequencyOfOutlet } from './frequency.ts';
import type { HookUpContext } from './hook-up.ts';
import type { SupplyOutlet } from './supply-outlet.ts';
import { outletSubject } from './trace.ts';

const nec555 = 'NEC 555.35 (2020): 30 mA at each shore-power receptacle';
const bs7671 = 'BS 7671 section 709: 30 mA residual-current device at each outlet';

/** What is known of one outlet by itself, before anything is connected. */
export function judgeOutlet(outlet: SupplyOutlet, context: HookUpContext): Finding[] {
  return [
    ...shorePower(outlet),
    ...breaker(outlet),
    ...groundFault(outlet),
    ...lines(outlet),
    ...earthing(outlet),
    ...frequencyOfOutlet(outlet, context),
  ];
}

function shorePower(outlet: SupplyOutlet): Finding[] {
  const pattern = configuration(outlet.configurationId);
  if (pattern === null || pattern.shorePower) return [];
  return [
    {
      rule: 'hookup.notShorePower',
      level: 'refuse',
      subject: outletSubject(outlet),
      actual: pattern.id,
      limit: null,
      unit: null,
      source: 'NEC 555.33: shore power is 30 A at least, locking at 30 and 50 A, pin-and-sleeve from 60 A',
      message: `Outlet ${outlet.label} is ${pattern.name}: it is no shore power. Use a shore-power outlet of 30 A or more.`,
      mend: 'a shore-power outlet: 30 or 50 A locking, or pin-and-sleeve',
    },
  ];
}

function breaker(outlet: SupplyOutlet): Finding[] {
  const pattern = configuration(outlet.configurationId);
  const base = { subject: outletSubject(outlet), limit: pattern?.ratedA ?? null, unit: 'A' };
  if (outlet.breakerA === null)
    return [
      {
        rule: 'hookup.breakerUnknown',
        level: 'confirm',
        ...base,
        actual: null,
        source: 'common practice: conductors are judged against the breaker that protects them',
        message: `The breaker of outlet ${outlet.label} is unknown. Read its rating before connecting.`,
        missingFact: missing(
          outlet,
          'breakerA',
          `What is marked on the breaker of outlet ${outlet.label}, in amperes?`,
        ),
      },
    ];
  if (pattern === null || outlet.breakerA <= pattern.ratedA) return [];
  return [
    {
      rule: 'hookup.breakerAboveOutlet',
      level: 'refuse',
      ...base,
      actual: outlet.breakerA,
      source: 'NEC 210.21(B) (from memory): a single receptacle is rated no less than its branch circuit',
      message: `The breaker of outlet ${outlet.label} (${outlet.breakerA} A) is larger than the outlet (${pattern.ratedA} A) and does not protect it. Have it changed by an electrician.`,
      mend: `a breaker of at most ${pattern.ratedA} A on outlet ${outlet.label}`,
    },
  ];
}

function groundFault(outlet: SupplyOutlet): Finding[] {
  const { device, settingMa } = outlet.groundFault;
  const source = outlet.system?.frequencyHz === 50 ? bs7671 : nec555;
  const base = { subject: outletSubject(outlet), limit: 30, unit: 'mA', source };
  if (device === 'none')
    return [
      {
        rule: 'hookup.groundFaultNone',
        level: 'caution',
        ...base,
        actual: 'none',
        message: `Outlet ${outlet.label} has no ground-fault device of its own (30 mA). Older installations may lack it; local code decides. Keep swimmers out of the water.`,
      },
    ];
  if (device === 'unknown')
    return [
      {
        rule: 'hookup.groundFaultUnknown',
        level: 'confirm',
        ...base,
        actual: 'unknown',
        message: `Nobody has looked whether outlet ${outlet.label} has a ground-fault device. Look before connecting.`,
        missingFact: missing(
          outlet,
          'groundFault.device',
          `Has outlet ${outlet.label} a ground-fault device (a test button, a marked mA setting)?`,
        ),
      },
    ];
  if (settingMa === null)
    return [
      {
        rule: 'hookup.groundFaultSettingUnknown',
        level: 'confirm',
        ...base,
        actual: null,
        message: `The setting of the ground-fault device of outlet ${outlet.label} is unknown. Read it (limit 30 mA).`,
        missingFact: missing(
          outlet,
          'groundFault.settingMa',
          `What setting is marked on the ground-fault device of outlet ${outlet.label}, in mA?`,
        ),
      },
    ];
  if (settingMa <= 30) return [];
  return [
    {
      rule: 'hookup.groundFaultSetting',
      level: 'caution',
      ...base,
      actual: settingMa,
      message: `The ground-fault device of outlet ${outlet.label} is set to ${settingMa} mA, above 30 mA. Local code decides; keep swimmers out of the water.`,
    },
  ];
}

function lines(outlet: SupplyOutlet): Finding[] {
  const base = { level: 'confirm' as const, subject: outletSubject(outlet), actual: null, limit: null, unit: null };
  const source = 'common practice: which line an outlet is on is measured before connecting';
  const findings: Finding[] = [];
  if (outlet.lines === null)
    findings.push({
      rule: 'hookup.linesUnknown',
      ...base,
      source,
      message: `Nobody has stated which line feeds outlet ${outlet.label}. Measure it before connecting.`,
      missingFact: missing(
        outlet,
        'lines',
        `Which lines (L1, L2, L3) stand on the contacts of outlet ${outlet.label}?`,
      ),
    });
  if (outlet.system === null)
    findings.push({
      rule: 'hookup.systemUnknown',
      ...base,
      source: 'common practice: mating proves neither volts nor frequency',
      message: `The supply system of outlet ${outlet.label} is unknown, so its volts and frequency are. Measure before connecting.`,
      missingFact: missing(outlet, 'system', `What volts and frequency does outlet ${outlet.label} supply?`),
    });
  else if (outlet.lines?.some((name) => !outlet.system?.lines.some((line) => line.name === name)))
    findings.push({
      rule: 'hookup.linesImpossible',
      ...base,
      actual: outlet.lines.join(', '),
      limit: outlet.system.lines.map((line) => line.name).join(', '),
      source,
      message: `Outlet ${outlet.label} is entered on ${outlet.lines.join(', ')}, which its supply (${outlet.system.name}) does not have. Measure and correct it.`,
      missingFact: missing(outlet, 'lines', `Which lines stand on the contacts of outlet ${outlet.label}?`),
    });
  return findings;
}

function earthing(outlet: SupplyOutlet): Finding[] {
  const base = {
    subject: outletSubject(outlet),
    limit: null,
    unit: null,
    source: 'BS 7671 709.411.4: a combined neutral-earth (TN-C-S) feeds no boat',
  };
  if (outlet.earthing === 'TN-C-S')
    return [
      {
        rule: 'hookup.earthing',
        level: 'refuse',
        ...base,
        actual: 'TN-C-S',
        message: `Outlet ${outlet.label} is on a combined neutral-earth supply (TN-C-S), which feeds no boat. Use an outlet with earthing of its own (TT or TN-S).`,
        mend: 'an outlet on a TT or TN-S supply',
      },
    ];
  // At any frequency: that the neutral is grounded at the service alone is code in one practice, and no fact of a dock.
  if (outlet.earthing !== null) return [];
  return [
    {
      rule: 'hookup.earthingUnknown',
      level: 'confirm',
      ...base,
      actual: null,
      message: `The earthing of the supply of outlet ${outlet.label} is unknown. Ask the marina's electrician.`,
      missingFact: missing(
        outlet,
        'earthing',
        `Is the neutral of outlet ${outlet.label} grounded at its service or transformer alone, or is the supply TT, TN-S or TN-C-S?`,
      ),
    },
  ];
}

function missing(outlet: SupplyOutlet, fact: string, question: string) {
  return { subject: outletSubject(outlet), fact, question };
}

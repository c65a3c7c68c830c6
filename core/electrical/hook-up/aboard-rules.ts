import { transformerOf } from '../../boats.ts';
import type { Finding, Subject } from '../../findings.ts';
import type { HookUpBoat } from './hook-up.ts';
import type { TracedInlet } from './trace.ts';

/** Neutral joined to ground aboard, and generators or inverters that may feed the dock. */
export function judgeAboard(traced: TracedInlet, boat: HookUpBoat): Finding[] {
  return [...bond(traced, boat), ...ownSupplies(boat)];
}

/**
 * A joint aboard sends part of the neutral current through ground and water. A ground-fault device would find it, but a
 * device has failed before: where nobody has asked, the answer decides.
 */
function bond(traced: TracedInlet, boat: HookUpBoat): Finding[] {
  // Behind a transformer the joint belongs where it is, and without a neutral there is none.
  if (transformerOf(traced.inlet) !== null || !traced.configuration.terminals.includes('N')) return [];
  const stated = toldOf(boat.neutralBond);
  if (stated === 'none' || stated === 'ownSupply') return [];
  const subject: Subject = { kind: 'boat', id: boat.id, label: boat.name };
  const base = {
    rule: 'hookup.bondAboard' as const,
    subject,
    actual: stated === null ? null : 'joined on shore power',
    limit: 'joined at the supply alone',
    unit: null,
    source: 'ABYC E-11 and NEC 250.24 (from memory): neutral and ground are joined at the source alone',
  };
  if (stated === 'always')
    return [
      {
        ...base,
        level: 'refuse',
        message: `Neutral and ground are joined aboard ${boat.name}: part of its current would return through ground and water. Have the joint opened, or feed it through an isolation transformer.`,
        mend: 'the joint of neutral and ground aboard opened while on shore power',
      },
    ];
  return [
    {
      ...base,
      level: 'confirm',
      message: `Nobody has stated whether neutral and ground are joined aboard ${boat.name} while on shore power. Ask, or measure between them at the inlet before it is plugged in.`,
      missingFact: {
        subject,
        fact: 'neutralBond',
        question: 'Are neutral and ground joined aboard while on shore power?',
      },
    },
  ];
}

function ownSupplies(boat: HookUpBoat): Finding[] {
  const supplies = toldOf(boat.ownSupplies);
  const subject: Subject = { kind: 'boat', id: boat.id, label: boat.name };
  const source = 'common practice: a transfer switch keeps a supply aboard and shore power apart';
  const unasked = { rule: 'hookup.ownSupplyUnknown', level: 'confirm', subject, limit: 'a transfer switch' } as const;
  if (supplies === null)
    return [
      {
        ...unasked,
        actual: null,
        unit: null,
        source,
        message: `Nobody has stated whether ${boat.name} has a generator or an inverter aboard, and what parts it from shore power. Ask.`,
        missingFact: {
          subject,
          fact: 'ownSupplies',
          question: 'Is there a generator or an inverter aboard, and does a transfer switch part it from shore power?',
        },
      },
    ];
  const parallel = supplies.find(({ transfer }) => transfer === 'parallel');
  if (parallel !== undefined)
    return [
      {
        rule: 'hookup.ownSupplyParallel',
        level: 'refuse',
        subject,
        actual: parallel.kind,
        limit: 'a transfer switch',
        unit: null,
        source,
        message: `The ${parallel.kind} of ${boat.name} can feed the same conductors as shore power: it would feed the dock and keep pulled plugs live. Have a transfer switch fitted.`,
        mend: `a transfer switch between shore power and the ${parallel.kind}`,
      },
    ];
  const unknown = supplies.find(({ transfer }) => transfer === null);
  if (unknown === undefined) return [];
  return [
    {
      ...unasked,
      actual: unknown.kind,
      unit: null,
      source,
      message: `Nobody has stated whether a transfer switch parts the ${unknown.kind} of ${boat.name} from shore power. Ask.`,
      missingFact: {
        subject,
        fact: 'ownSupplies',
        question: `Does a transfer switch part the ${unknown.kind} from shore power?`,
      },
    },
  ];
}

/** A default is an assumption: it confirms nothing. */
function toldOf<T>(fact: { readonly value: T; readonly origin: string } | null | undefined): T | null {
  return fact == null || fact.origin === 'default' ? null : fact.value;
}

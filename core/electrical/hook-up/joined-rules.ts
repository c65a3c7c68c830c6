import type { Finding } from '../../findings.ts';
import type { SupplyOutlet } from './supply-outlet.ts';
import type { TracedHookUp, TracedInlet } from './trace.ts';
import { feedingOutlets } from './wiring-rules.ts';

/** Whether outlets that one inlet joins come from one supply. */
export function judgeSupplies(traced: TracedHookUp): Finding[] {
  return traced.inlets.flatMap((inlet) => {
    const outlets = feedingOutlets(inlet);
    return outlets.length < 2 ? [] : supplies(inlet, outlets);
  });
}

function supplies(traced: TracedInlet, outlets: readonly SupplyOutlet[]): Finding[] {
  const ids = new Set(outlets.map((outlet) => outlet.supplyId));
  const labels = outlets.map((outlet) => outlet.label).join(' and ');
  const base = {
    subject: traced.subject,
    actual: labels,
    limit: 'one supply',
    unit: null,
    source: 'common practice: neutrals of different transformers or services are not joined',
  };
  if (ids.has(null)) {
    const unknown = outlets.find((outlet) => outlet.supplyId === null) ?? outlets[0];
    const subject = { kind: 'outlet' as const, id: unknown?.id ?? '', label: unknown?.label ?? '' };
    return [
      {
        rule: 'hookup.suppliesUnknown',
        level: 'confirm',
        ...base,
        message: `Whether outlets ${labels} come from one transformer is unknown. Find out before joining them.`,
        missingFact: { subject, fact: 'supplyId', question: `Do outlets ${labels} come from the same transformer?` },
      },
    ];
  }
  if (ids.size < 2) return contradictory(traced, outlets);
  return [
    {
      rule: 'hookup.differentSupplies',
      level: 'refuse',
      ...base,
      message: `Outlets ${labels} come from different supplies; inlet ${traced.inlet.id} would join them. Use outlets of one supply.`,
      mend: 'two outlets of the same supply, or one outlet with two lines',
    },
  ];
}

/** One supply makes one system: where its outlets are said to have two, one of the statements is wrong. */
function contradictory(traced: TracedInlet, outlets: readonly SupplyOutlet[]): Finding[] {
  const [first, other] = outlets
    .filter(({ system }) => system !== null)
    .filter(({ system }, i, stated) => stated.findIndex((each) => each.system?.id === system?.id) === i);
  if (first === undefined || other === undefined) return [];
  return [
    {
      rule: 'hookup.suppliesUnknown',
      level: 'confirm',
      subject: traced.subject,
      actual: `${first.system?.id} and ${other.system?.id}`,
      limit: 'one system',
      unit: null,
      source: 'common practice: a transformer or service makes one system of lines',
      message: `Outlets ${first.label} and ${other.label} are said to come from one supply, and to have ${first.system?.id} and ${other.system?.id}. Find out which is right before joining them.`,
      missingFact: {
        subject: { kind: 'outlet', id: other.id, label: other.label },
        fact: 'supplyId',
        question: `Which transformer or service feeds outlet ${other.label}, and with which system?`,
      },
    },
  ];
}

import type { Finding, Subject } from '../../findings.ts';
import type { AdapterKind } from '../../standards/adapter-kind.ts';
import { configuration } from '../../standards/configurations.ts';
import type { HookUp, HookUpBoat } from './hook-up.ts';
import type { TracedHookUp } from './trace.ts';

/** Straight blade pieces, and whose pieces the hook-up uses. */
export function judgeAdapters(hookUp: HookUp, traced: TracedHookUp, boat: HookUpBoat): Finding[] {
  return [
    ...traced.adapters.flatMap(({ kind, subject }) => straightBlade(kind, subject)),
    ...hookUp.adapters.flatMap(({ kindId, from }): Finding[] => {
      const label = traced.adapters.find(({ kind }) => kind.id === kindId)?.kind.name ?? kindId;
      const subject: Subject = { kind: 'adapter', id: kindId, label };
      return [whose(subject, from, boat)];
    }),
  ];
}

function straightBlade(kind: AdapterKind, subject: Subject): Finding[] {
  const blade = [...kind.plugs, ...kind.connectors].find(({ configurationId }) => {
    const pattern = configuration(configurationId);
    return pattern !== null && pattern.ratedA <= 20 && !pattern.shorePower && !pattern.id.startsWith('L');
  });
  if (blade === undefined) return [];
  return [
    {
      rule: 'hookup.straightBlade',
      level: 'refuse',
      subject,
      actual: blade.configurationId,
      limit: null,
      unit: null,
      source: 'NEC 555.33 and common practice: 15 and 20 A straight blade pieces overheat and are no shore power',
      message: `${subject.label} has a straight blade fitting (${blade.configurationId}), which overheats as shore power. Use a locking pattern.`,
      mend: 'a locking adapter of 30 A or more',
    },
  ];
}

function whose(subject: Subject, from: HookUp['adapters'][number]['from'], boat: HookUpBoat): Finding {
  const base = { subject, actual: from, limit: null, unit: null, source: 'the hook-up as described' };
  if (from === 'toBring' && boat.adapterKindIds === null)
    return {
      rule: 'hookup.adapterUnknown',
      level: 'confirm',
      ...base,
      message: `${subject.label} is not in the dock's stock, and nobody has stated which adapters are aboard. Ask.`,
      missingFact: {
        subject: { kind: 'boat', id: boat.id, label: boat.name },
        fact: 'adapterKindIds',
        question: `Is this adapter aboard: ${subject.label}?`,
      },
    };
  if (from === 'toBring')
    return {
      rule: 'hookup.adapterMissing',
      level: 'refuse',
      ...base,
      message: `${subject.label} is neither aboard nor in the dock's stock. Bring one.`,
      mend: `an adapter: ${subject.label}`,
    };
  const message =
    from === 'aboard' ? `Bring ${subject.label} from aboard.` : `Borrow ${subject.label} from the dock's stock.`;
  return { rule: 'hookup.adapter', level: 'note', ...base, message };
}

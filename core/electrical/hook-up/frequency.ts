import type { Finding, Subject } from '../../findings.ts';
import { citation } from '../../standards/source.ts';
import type { SupplySystem } from '../../standards/supply-system.ts';
import type { HookUpContext } from './hook-up.ts';
import type { SupplyOutlet } from './supply-outlet.ts';
import type { TracedInlet } from './trace.ts';
import { feedingOutlets } from './wiring-rules.ts';

/** The frequency of an outlet against what the whole boat is built for: where an inlet differs, inlet by inlet instead. */
export function frequencyOfOutlet({ system }: SupplyOutlet, { boat }: HookUpContext): Finding[] {
  if (system === null || boat.inlets.some(hasOwn)) return [];
  return judgeSystem(system, boat.frequenciesHz, boat);
}

/** On a boat of which an inlet has frequencies of its own: what feeds each inlet. */
export function judgeFrequency(traced: TracedInlet, { boat }: HookUpContext): Finding[] {
  if (!boat.inlets.some(hasOwn)) return [];
  const { inlet } = traced;
  const stated =
    inlet.accepts == null ? boat.frequenciesHz : { ...inlet.accepts, value: inlet.accepts.value.frequenciesHz };
  return feedingOutlets(traced).flatMap(({ system }) => (system === null ? [] : judgeSystem(system, stated, boat)));
}

function hasOwn({ accepts }: HookUpContext['boat']['inlets'][number]): boolean {
  return accepts != null;
}

function judgeSystem(
  system: SupplySystem,
  stated: HookUpContext['boat']['frequenciesHz'],
  boat: HookUpContext['boat'],
): Finding[] {
  const subject: Subject = { kind: 'boat', id: boat.id, label: boat.name };
  const source = `${citation(system.source)}; mating does not prove frequency`;
  const base = { subject, limit: system.frequencyHz, unit: 'Hz', source };
  // A default is an assumption: it confirms nothing.
  if (stated === null || stated.origin === 'default')
    return [
      {
        rule: 'hookup.frequencyUnknown',
        level: 'confirm',
        ...base,
        actual: null,
        message: `Nobody has stated which frequency ${boat.name} is built for; the supply has ${system.frequencyHz} Hz. Ask.`,
        missingFact: {
          subject,
          fact: 'frequenciesHz',
          question: `Is the boat's equipment built for ${system.frequencyHz} Hz?`,
        },
      },
    ];
  const accepted = stated.value.join(' or ');
  if (!stated.value.includes(system.frequencyHz))
    return [
      {
        rule: 'hookup.frequency',
        level: 'refuse',
        ...base,
        actual: accepted,
        message: `${boat.name} is built for ${accepted} Hz; the supply has ${system.frequencyHz} Hz. No adapter changes a frequency.`,
        mend: `a supply of ${accepted} Hz, or a converter aboard`,
      },
    ];
  return [];
}

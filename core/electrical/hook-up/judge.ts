import { type Finding, gravestFirst, verdictOf } from '../../findings.ts';
import { judgeAboard } from './aboard-rules.ts';
import { judgeAdapters } from './adapter-rules.ts';
import { judgeCircuits } from './circuit/judge-circuit.ts';
import { judgeFrequency } from './frequency.ts';
import type { HookUp, HookUpContext, JudgedHookUp } from './hook-up.ts';
import { cordsShort, judgeInlet, unfedInlets } from './inlet-rules.ts';
import { suppliesOf } from './inlet-supply.ts';
import { judgeSupplies } from './joined-rules.ts';
import { judgeOutlet } from './outlet-rules.ts';
import { type TracedHookUp, traceHookUp } from './trace.ts';
import { whatRuns } from './what-runs.ts';
import { judgeWiring } from './wiring-rules.ts';

/**
 * What joins outlets and inlets: what the wiring forbids by itself, and where it forbids nothing, what the solved circuit
 * says. Parts that share no adapter do not influence each other, so that the search judges them apart.
 */
export function judgeConnection(hookUp: HookUp, traced: TracedHookUp, context: HookUpContext): Finding[] {
  const findings = [...traced.findings];
  for (const inlet of traced.inlets) {
    findings.push(...judgeWiring(inlet), ...judgeFrequency(inlet, context), ...judgeAboard(inlet, context.boat));
  }
  findings.push(...judgeSupplies(traced), ...judgeAdapters(hookUp, traced, context.boat));
  if (!findings.some(isOfWiring)) findings.push(...judgeCircuits(hookUp, traced, context));
  return onceEach(findings);
}

/** Whose piece it is has nothing to do with the circuit. */
function isOfWiring({ rule, level }: Finding): boolean {
  return level === 'refuse' && rule !== 'hookup.adapterMissing';
}

/** What outlets and inlets bring by themselves, whatever joins them. */
function judgeEnds(hookUp: HookUp, context: HookUpContext): Finding[] {
  const findings: Finding[] = [];
  for (const { from, to } of hookUp.joints) {
    const outlet = from.kind === 'outlet' ? context.outlets.get(from.outletId) : undefined;
    if (outlet !== undefined) findings.push(...judgeOutlet(outlet, context));
    const inlet = to.kind === 'inlet' ? context.boat.inlets.find((each) => each.id === to.inletId) : undefined;
    if (to.kind === 'inlet' && inlet !== undefined) findings.push(...judgeInlet(inlet, to.configurationId, context));
  }
  return findings;
}

/**
 * A whole hook-up with its findings, gravest first, its verdict, and what it gives the boat. What is not proved safe is
 * not called safe.
 */
export function judgedHookUp(hookUp: HookUp, context: HookUpContext): JudgedHookUp {
  const traced = traceHookUp(hookUp, context);
  const findings =
    hookUp.joints.length === 0
      ? [withoutPower(context)]
      : [
          ...judgeEnds(hookUp, context),
          ...cordsShort(hookUp, context.boat),
          ...judgeConnection(hookUp, traced, context),
          ...unfedInlets(hookUp, context.boat),
        ];
  const supplies = suppliesOf(traced, context);
  const outletIds = hookUp.joints.flatMap(({ from }) => (from.kind === 'outlet' ? [from.outletId] : []));
  return {
    hookUp,
    verdict: verdictOf(findings),
    findings: [
      ...gravestFirst(onceEach(findings)),
      ...whatRuns(context.boat, supplies.inlets, supplies.availableVa, findings),
    ],
    ...supplies,
    outletIds,
  };
}

function withoutPower({ boat }: HookUpContext): Finding {
  const subject = { kind: 'boat' as const, id: boat.id, label: boat.name };
  const base = { subject, actual: 'no hook-up', limit: null, unit: null, source: 'what the boat asked for' };
  if (boat.wantsPower?.value === false)
    return { rule: 'hookup.noPowerWanted', level: 'note', ...base, message: `${boat.name} wants no shore power.` };
  if (boat.wantsPower === null)
    return {
      rule: 'hookup.wantsPowerUnknown',
      level: 'confirm',
      ...base,
      message: `Nobody has stated whether ${boat.name} wants shore power. Ask.`,
      missingFact: { subject, fact: 'wantsPower', question: 'Do you want shore power?' },
    };
  return {
    rule: 'hookup.none',
    level: 'refuse',
    ...base,
    message: `${boat.name} wants shore power and this hook-up gives none. Choose outlets and adapters for its inlets.`,
    mend: 'an outlet for its inlets',
  };
}

/** Two inlets may bring the same word on a shared frequency or outlet; it is said once. */
function onceEach(findings: readonly Finding[]): Finding[] {
  const seen = new Set<string>();
  return findings.filter((finding) => {
    const key = `${finding.rule} ${finding.subject.kind} ${finding.subject.id} ${finding.message}`;
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}

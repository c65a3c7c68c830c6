import { type Finding, gravestFirst, verdictOf } from '../../findings.ts';
import { judgeAdapters } from './adapter-rules.ts';
import type { HookUp, HookUpContext, JudgedHookUp } from './hook-up.ts';
import { judgeInlet, unfedInlets } from './inlet-rules.ts';
import { suppliesOf } from './inlet-supply.ts';
import { judgeJoined } from './joined-rules.ts';
import { judgeOutlet } from './outlet-rules.ts';
import { judgeProtection } from './protection-rules.ts';
import { traceHookUp } from './trace.ts';
import { judgeAdapterVolts, judgeVoltage } from './voltage-rules.ts';
import { judgeWiring } from './wiring-rules.ts';

/**
 * What the wiring of these joints says, by tracing every conductor from the inlets back to the outlets. Parts that
 * share no outlet or adapter do not influence each other, so that the search judges them apart.
 */
export function judgeConnections(hookUp: HookUp, context: HookUpContext): Finding[] {
  const traced = traceHookUp(hookUp, context);
  const findings = [...traced.findings];
  for (const outlet of traced.outlets) findings.push(...judgeOutlet(outlet, context));
  for (const { to } of hookUp.joints) {
    const inlet = to.kind === 'inlet' ? context.boat.inlets.find((each) => each.id === to.inletId) : undefined;
    if (to.kind === 'inlet' && inlet !== undefined) findings.push(...judgeInlet(inlet, to.configurationId, context));
  }
  for (const inlet of traced.inlets) findings.push(...judgeWiring(inlet), ...judgeVoltage(inlet));
  for (const connector of traced.connectors) findings.push(...judgeAdapterVolts(connector));
  findings.push(
    ...judgeProtection(traced, context),
    ...judgeJoined(traced),
    ...judgeAdapters(hookUp, traced, context.boat),
  );
  return findings;
}

/** The findings of a whole hook-up, gravest first. What is not proved safe is not called safe. */
export function judgeHookUp(hookUp: HookUp, context: HookUpContext): Finding[] {
  if (hookUp.joints.length === 0) return [withoutPower(context)];
  return gravestFirst(onceEach([...judgeConnections(hookUp, context), ...unfedInlets(hookUp, context.boat)]));
}

/** A hook-up with its findings, verdict and what it gives the boat. */
export function judgedHookUp(hookUp: HookUp, context: HookUpContext): JudgedHookUp {
  const findings = judgeHookUp(hookUp, context);
  const outletIds = hookUp.joints.flatMap(({ from }) => (from.kind === 'outlet' ? [from.outletId] : []));
  const supplies = suppliesOf(traceHookUp(hookUp, context), context);
  return { hookUp, verdict: verdictOf(findings), findings, ...supplies, outletIds };
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

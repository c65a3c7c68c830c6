import type { Finding } from '../../findings.ts';
import { complexZero, fromPolar, withMagnitude } from '../complex.ts';
import { combinerResidualA } from './combined-currents.ts';
import { protectedA, worstNeutralOf } from './protection-rules.ts';
import type { SupplyOutlet } from './supply-outlet.ts';
import { phasorOf, type TracedHookUp, type TracedInlet } from './trace.ts';
import { feedingOutlets, pathsTo } from './wiring-rules.ts';

/** What happens where one inlet takes its lines from several outlets, and where an adapter has several plugs. */
export function judgeJoined(traced: TracedHookUp): Finding[] {
  const findings = traced.inlets.flatMap((inlet) => {
    const outlets = feedingOutlets(inlet);
    return outlets.length < 2
      ? []
      : [...supplies(inlet, outlets), ...residual(inlet, outlets), ...neutralSum(inlet, outlets)];
  });
  return [...findings, ...exposedBlades(traced)];
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
  if (ids.size < 2) return [];
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

/** Each device sees its line go out and only part of it come back. */
function residual(traced: TracedInlet, outlets: readonly SupplyOutlet[]): Finding[] {
  const devices = outlets.flatMap((outlet) => [
    { label: `outlet ${outlet.label}`, device: outlet.groundFault.device, settingMa: outlet.groundFault.settingMa },
    ...outlet.devicesAbove
      // A device above both outlets sees everything come back.
      .filter((above) => outlets.some((other) => other.devicesAbove.every((o) => o.equipmentId !== above.equipmentId)))
      .map((above) => ({ label: `the feeder above outlet ${outlet.label}`, device: above.device, settingMa: null })),
  ]);
  const seeing = devices.find((each) => each.device === 'fitted') ?? devices.find((each) => each.device === 'unknown');
  if (seeing === undefined) return [];
  const residualMa = Math.round(worstResidualA(traced) * 1000);
  const base = {
    subject: traced.subject,
    actual: residualMa,
    limit: seeing.settingMa ?? 30,
    unit: 'mA',
    source: 'Kirchhoff: with equal neutral paths the residual is half the difference of the two line currents',
  };
  const what = `Joined at inlet ${traced.inlet.id}, the outlets return up to ${residualMa} mA by each other's neutral.`;
  if (seeing.device === 'fitted')
    return [
      {
        rule: 'hookup.residual',
        level: 'refuse',
        ...base,
        message: `${what} The ground-fault device of ${seeing.label} trips. Use one outlet with two lines.`,
        mend: 'one outlet that feeds all lines of the inlet',
      },
    ];
  return [
    {
      rule: 'hookup.residual',
      level: 'confirm',
      ...base,
      message: `${what} Whether ${seeing.label} has a ground-fault device that trips is unknown. Look.`,
      missingFact: {
        subject: traced.subject,
        fact: 'groundFault.device',
        question: `Has ${seeing.label} a ground-fault device?`,
      },
    },
  ];
}

/** One leg at its limit and the others without load, or all at theirs: whichever leaves more. */
function worstResidualA(traced: TracedInlet): number {
  const legs = traced.live.map(({ path }) => {
    const limitA = protectedA(path) ?? traced.configuration.ratedA;
    const volts = phasorOf(path);
    return volts === null ? fromPolar(limitA, 0) : withMagnitude(volts, limitA);
  });
  let worst = 0;
  for (const leg of legs) {
    worst = Math.max(worst, combinerResidualA(leg, complexZero));
    for (const other of legs) worst = Math.max(worst, combinerResidualA(leg, other));
  }
  return worst;
}

/** The sum of the legs in the shared neutral, in one path alone: how it divides is uncertain. */
function neutralSum(traced: TracedInlet, outlets: readonly SupplyOutlet[]): Finding[] {
  if (!traced.configuration.terminals.includes('N')) return [];
  const worst = worstNeutralOf(traced, true);
  if (worst === null) return [];
  const worstA = Math.round(worst * 10) / 10;
  let ratedA = traced.configuration.ratedA;
  for (const { segments } of pathsTo(traced, 'N')) for (const each of segments) ratedA = Math.min(ratedA, each.ratedA);
  if (worstA <= ratedA) return [];
  const labels = outlets.map((outlet) => outlet.label).join(' and ');
  const unknown = outlets.find((outlet) => outlet.lines === null || outlet.system === null);
  const base = {
    rule: 'hookup.neutralOverload' as const,
    subject: traced.subject,
    actual: worstA,
    limit: ratedA,
    unit: 'A',
    source: 'Kirchhoff: legs on one line add in the neutral, and no breaker opens a neutral',
  };
  const what = `The neutral of inlet ${traced.inlet.id} may carry ${worstA} A where ${ratedA} A is its rating (outlets ${labels}).`;
  if (unknown === undefined)
    return [
      {
        ...base,
        level: 'refuse',
        message: `${what} Nothing trips and it burns. Use outlets on two different lines, or one outlet with two lines.`,
        mend: 'one outlet with two lines, or outlets on different lines',
      },
    ];
  return [
    {
      ...base,
      level: 'confirm',
      message: `${what} It depends on the lines of outlet ${unknown.label}. Measure them.`,
      missingFact: {
        subject: { kind: 'outlet', id: unknown.id, label: unknown.label },
        fact: unknown.lines === null ? 'lines' : 'system',
        question: `Which line stands on outlet ${unknown.label}?`,
      },
    },
  ];
}

function exposedBlades(traced: TracedHookUp): Finding[] {
  return traced.adapters
    .filter(({ kind }) => kind.plugs.length > 1 && !kind.interlock)
    .map(({ subject }): Finding => {
      return {
        rule: 'hookup.exposedContacts',
        level: 'confirm',
        subject,
        actual: 'no interlock',
        limit: 'interlock',
        unit: null,
        source: 'Kirchhoff: one plug pulled, its blades are live through loads between lines',
        message: `${subject.label} has no interlock: with one plug pulled, its blades are live through the boat's loads. Breakers off before any plug moves.`,
        missingFact: {
          subject,
          fact: 'interlock',
          question: 'Does this piece have an interlock that makes a loose plug dead?',
        },
      };
    });
}

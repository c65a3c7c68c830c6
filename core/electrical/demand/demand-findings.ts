import type { Finding, FindingLevel, Subject } from '../../findings.ts';
import type { Equipment, Outlet } from '../../inventory/inventory.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { citation } from '../../standards/source.ts';
import type { DemandBasis, LimitCheck } from './demand-of-part.ts';
import type { LoadModel } from './load-model.ts';
import type { PartGauge } from './part-measures.ts';

const inventorySource = "the marina's inventory";

export function subjectOfEquipment(part: Equipment): Subject {
  return { kind: 'equipment', id: part.id, label: part.label };
}

function subjectOfOutlet(outlet: Outlet): Subject {
  return { kind: 'outlet', id: outlet.id, label: outlet.label };
}

const limitWords: Record<LimitCheck['kind'], string> = {
  breaker: 'breaker',
  conductor: 'conductors',
  neutral: 'neutral',
  bus: 'bus',
  winding: 'winding',
};

const basisWords: Record<DemandBasis, string> = {
  design: 'every receptacle by the demand table',
  rated: 'ratings of the outlets in use, with the demand factor',
  stated: 'the loads that the boats state',
};

/** A limit passed. `before` is what the part carries without the boat in question, null in reports. */
export function overLimit(
  part: Equipment,
  check: LimitCheck,
  basis: DemandBasis,
  level: FindingLevel,
  practice: DemandPractice,
  before: { readonly actual: number; readonly over: boolean } | null,
): Finding {
  const name = check.winding === null ? limitWords[check.kind] : `winding ${check.winding}`;
  const value = `${round(check.actual)} ${check.unit}`;
  const limit = `${check.limit === null ? '?' : round(check.limit)} ${check.unit}`;
  const carries = `${value} of ${limit} (${basisWords[basis]})`;
  const message =
    before === null
      ? `Load on the ${name} of "${part.label}" is ${carries}. Move load to another line or feeder. A larger limit is work for a licensed electrician: device and conductors together, never the device alone.`
      : before.over
        ? `Load on the ${name} of "${part.label}" is over the limit already without this boat (${round(before.actual)} ${check.unit}) and would be ${carries}. Free outlets below it first, or choose another feeder.`
        : `Load on the ${name} of "${part.label}" would be ${carries}, and is ${round(before.actual)} ${check.unit} without this boat. Choose outlets on another line or feeder.`;
  return {
    rule: `demand.${check.kind}`,
    level,
    subject: subjectOfEquipment(part),
    actual: check.actual,
    limit: check.limit,
    unit: check.unit,
    source: basis === 'stated' ? inventorySource : `${inventorySource}; ${citation(practice.source)}`,
    message,
    ...(before === null || level !== 'refuse' ? {} : { mend: lighter(part, check, basis, before) }),
  };
}

/** What would bring a limit back: less of others, or no more of this boat than there is room for. */
function lighter(
  part: Equipment,
  { actual, limit, unit }: LimitCheck,
  basis: DemandBasis,
  before: { readonly actual: number; readonly over: boolean },
): string {
  const excess = Math.ceil((actual - (limit ?? 0)) * 10) / 10;
  const less = `${excess} ${unit} less ${basis === 'stated' ? 'drawn' : 'in use'} on "${part.label}"`;
  const room = Math.floor(((limit ?? 0) - before.actual) * 10) / 10;
  if (before.over || room <= 0) return less;
  const own = basis === 'stated' ? `a load of at most ${room} ${unit}` : `outlets of at most ${room} ${unit} in all`;
  return `${own} on "${part.label}", or ${less}`;
}

/** No limit of the part is stated, so nothing can be said of it. */
function notAssessed(part: Equipment): Finding {
  const subject = subjectOfEquipment(part);
  return {
    rule: 'demand.notAssessed',
    level: 'confirm',
    subject,
    actual: null,
    limit: null,
    unit: null,
    source: inventorySource,
    message: `"${part.label}" has no limit on record, so its load is not assessed. Enter its breaker, ampacity or rating.`,
    missingFact: {
      subject,
      fact: part.kind === 'transformer' ? 'transformer.ratedKva' : 'breakerA',
      question:
        part.kind === 'transformer'
          ? `What is the rating of transformer "${part.label}", in kVA?`
          : `What is the rating of the breaker of "${part.label}", in amperes?`,
    },
  };
}

function unknownSystem(part: Equipment): Finding {
  const subject = subjectOfEquipment(part);
  return {
    rule: 'demand.unknownSystem',
    level: 'confirm',
    subject,
    actual: null,
    limit: null,
    unit: null,
    source: inventorySource,
    message: `The supply of "${part.label}" is unknown, so its load is not assessed. Enter its supply system.`,
    missingFact: {
      subject,
      fact: 'systemId',
      question: `Which voltage and how many lines does "${part.label}" supply?`,
    },
  };
}

/** Limits missing or the supply unknown: what keeps this part from being assessed under any load. */
export function gaugeFindings(gauge: PartGauge): Finding[] {
  if (gauge.phasors === null) return [unknownSystem(gauge.part)];
  return gauge.hasLimit ? [] : [notAssessed(gauge.part)];
}

/** An outlet whose load cannot be computed: the part's load is at least what is shown. */
export function unknownLoad(part: Equipment, outlet: Outlet): Finding {
  return {
    rule: 'demand.unknownLoad',
    level: 'confirm',
    subject: subjectOfEquipment(part),
    actual: null,
    limit: null,
    unit: null,
    source: inventorySource,
    message: `Outlet "${outlet.label}" under "${part.label}" has a pattern or a supply that its load cannot be computed from, so "${part.label}" carries more than is shown. Correct the outlet's configuration or its supply.`,
    missingFact: {
      subject: subjectOfOutlet(outlet),
      fact: 'configurationId',
      question: `Which receptacle is outlet "${outlet.label}", and on which supply?`,
    },
  };
}

/** Facts about one outlet's way up that are unknown and counted cautiously. */
export function outletDoubts(model: LoadModel, outlet: Outlet): Finding[] {
  const { rating, path } = model.outletLoad(outlet);
  const doubts: Finding[] = [];
  if (rating !== null && !rating.linesKnown) {
    const subject = subjectOfOutlet(outlet);
    doubts.push({
      rule: 'demand.unknownLines',
      level: 'confirm',
      subject,
      actual: null,
      limit: null,
      unit: null,
      source: inventorySource,
      message: `The lines of outlet "${outlet.label}" are unknown, so it counts on every line it could be on. Measure which they are.`,
      missingFact: { subject, fact: 'lines', question: `Which lines is outlet "${outlet.label}" on?` },
    });
  }
  for (const part of path) if (model.passage(part) === 'spread') doubts.push(...passageDoubt(part));
  return doubts;
}

/** A transformer, or a change of supply, whose way of loading its primary is unknown. A high-leg bank's is a rule. */
function passageDoubt(part: Equipment): Finding[] {
  const connection = part.transformer?.connection;
  if (part.parentId === null || connection === 'highLegBank') return [];
  const subject = subjectOfEquipment(part);
  const primary = connection === 'centreTapped';
  return [
    {
      rule: 'demand.unknownPrimary',
      level: 'confirm',
      subject,
      actual: null,
      limit: null,
      unit: null,
      source: inventorySource,
      message: `${primary ? 'The primary lines' : 'The connection'} of "${part.label}" ${primary ? 'are' : 'is'} unknown, so its whole load counts on every pair of lines above it. Enter ${primary ? 'its lines' : 'its connection'}.`,
      missingFact: {
        subject,
        fact: primary ? 'lines' : 'transformer.connection',
        question: primary
          ? `Which primary lines feed transformer "${part.label}"?`
          : `How is transformer "${part.label}" connected?`,
      },
    },
  ];
}

/** Findings of a part's outlets, each said once. */
export function doubtsOf(model: LoadModel, outlets: readonly Outlet[], above: Equipment): Finding[] {
  const said = new Map<string, Finding>();
  for (const outlet of outlets) {
    const { doubtful, rating } = model.outletLoad(outlet);
    if (!doubtful) continue;
    if (rating === null) said.set(`load ${outlet.id}`, unknownLoad(above, outlet));
    for (const doubt of outletDoubts(model, outlet)) {
      if (doubt.rule === 'demand.unknownPrimary' && !isBelow(model, outlet, doubt.subject.id, above)) continue;
      said.set(`${doubt.rule} ${doubt.subject.id}`, doubt);
    }
  }
  return [...said.values()];
}

/** Whether the transformer stands between the outlet and this part, so that it shapes this part's load. */
function isBelow(model: LoadModel, outlet: Outlet, transformerId: string, above: Equipment): boolean {
  const { path } = model.outletLoad(outlet);
  const transformer = path.findIndex((part) => part.id === transformerId);
  return transformer >= 0 && transformer < path.findIndex((part) => part.id === above.id);
}

/** One decimal is what a person reads; the finding's numbers keep all of them. */
export function round(value: number): number {
  return Math.round(value * 10) / 10;
}

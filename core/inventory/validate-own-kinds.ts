import type { AdapterConductor, AdapterKind } from '../standards/adapter-kind.ts';
import { adapterKind } from '../standards/adapter-kinds.ts';
import { configuration } from '../standards/configurations.ts';
import type { DemandPractice } from '../standards/demand-practice.ts';
import { demandPractice } from '../standards/demand-practices.ts';
import { named, reportDuplicateIds, reportQuantity } from './fault.ts';
import type { Validation } from './validation.ts';

/** Faults of the marina's own demand practices: rows that leave a gap, factors that are none. */
export function validatePractices({ inventory, report }: Validation): void {
  reportDuplicateIds(report, '/practices', 'practice', inventory.practices);
  inventory.practices.forEach((practice, i) => {
    const at = `/practices/${i}`;
    if (demandPractice(practice.id) !== null) {
      report(
        `${at}/id`,
        'builtInId',
        `The id "${practice.id}" is that of a built-in practice: give the marina's own another id.`,
      );
    }
    validateRows(report, practice, at);
    if (practice.subMeterFactor !== null && !isFactor(practice.subMeterFactor)) {
      report(
        `${at}/subMeterFactor`,
        'practiceRows',
        `The sub-meter factor (${practice.subMeterFactor}) of practice "${practice.id}" must be above 0 and at most 1: correct it, or enter null.`,
      );
    }
  });
}

function validateRows(report: Validation['report'], practice: DemandPractice, at: string): void {
  const fault = (pointer: string, message: string) => report(`${at}${pointer}`, 'practiceRows', message);
  if (practice.rows.length === 0)
    fault('/rows', `The practice "${practice.id}" has no rows: add at least one, from 1 on.`);
  let next = 1;
  practice.rows.forEach((row, j) => {
    const isLast = j === practice.rows.length - 1;
    if (row.from !== next) {
      fault(
        `/rows/${j}/from`,
        `Row ${j + 1} of practice "${practice.id}" begins at ${row.from}, but ${next} is next: rows leave no gap and do not overlap.`,
      );
    }
    if (isLast && row.to !== null) {
      fault(
        `/rows/${j}/to`,
        `The last row of practice "${practice.id}" ends at ${row.to}: enter null, it covers all above.`,
      );
    }
    if (!isLast && (row.to === null || !Number.isInteger(row.to) || row.to < row.from)) {
      fault(
        `/rows/${j}/to`,
        `Row ${j + 1} of practice "${practice.id}" ends at ${row.to}: it needs a whole number from ${row.from} on, since only the last row is open.`,
      );
    }
    if (!isFactor(row.factor)) {
      fault(
        `/rows/${j}/factor`,
        `The factor (${row.factor}) in row ${j + 1} of practice "${practice.id}" must be above 0 and at most 1: 70 % is 0.7.`,
      );
    }
    next = (row.to ?? row.from) + 1;
  });
}

function isFactor(value: number): boolean {
  return value > 0 && value <= 1;
}

/** Faults of the marina's own adapter kinds: fittings, contacts and configurations that do not exist. */
export function validateAdapterKinds({ inventory, report }: Validation): void {
  reportDuplicateIds(report, '/adapterKinds', 'adapter kind', inventory.adapterKinds);
  inventory.adapterKinds.forEach((kind, i) => {
    const at = `/adapterKinds/${i}`;
    if (adapterKind(kind.id) !== null) {
      report(
        `${at}/id`,
        'builtInId',
        `The id "${kind.id}" is that of a built-in adapter kind: give the marina's own another id.`,
      );
    }
    const configurationOf = new Map<string, string>();
    for (const side of ['plugs', 'connectors'] as const) {
      if (kind[side].length === 0) {
        report(`${at}/${side}`, 'adapterFitting', `The adapter kind "${kind.id}" has no ${side}: add at least one.`);
      }
      kind[side].forEach((fitting, j) => {
        if (configurationOf.has(fitting.id)) {
          report(
            `${at}/${side}/${j}/id`,
            'adapterFitting',
            `The adapter kind "${kind.id}" has two fittings "${fitting.id}": give each its own id.`,
          );
        } else configurationOf.set(fitting.id, fitting.configurationId);
        if (configuration(fitting.configurationId) === null) {
          report(
            `${at}/${side}/${j}/configurationId`,
            'unknownReference',
            `The configuration "${fitting.configurationId}" of fitting "${fitting.id}" is not known: use one of the listed configurations.`,
          );
        }
      });
    }
    kind.conductors.forEach((conductor, j) => {
      validateConductor(report, kind, conductor, configurationOf, `${at}/conductors/${j}`);
    });
  });
}

function validateConductor(
  report: Validation['report'],
  kind: AdapterKind,
  conductor: AdapterConductor,
  configurationOf: ReadonlyMap<string, string>,
  at: string,
): void {
  for (const end of ['from', 'to'] as const) {
    const { fitting, terminal } = conductor[end];
    const configurationId = configurationOf.get(fitting);
    if (configurationId === undefined) {
      report(
        `${at}/${end}/fitting`,
        'adapterFitting',
        `A conductor of adapter kind "${kind.id}" ends at "${fitting}", which is none of its fittings: correct the id.`,
      );
      continue;
    }
    const pattern = configuration(configurationId);
    if (pattern !== null && !pattern.terminals.includes(terminal)) {
      report(
        `${at}/${end}/terminal`,
        'adapterFitting',
        `A conductor of adapter kind "${kind.id}" ends at ${terminal} of "${fitting}", but ${configurationId} has ${pattern.terminals.join(', ')} only: correct the contact.`,
      );
    }
  }
  const of = `of a conductor of adapter kind "${kind.id}"`;
  reportQuantity(report, `${at}/ratedA`, `rating ${of}`, conductor.ratedA, 'A', 'positive');
  reportQuantity(report, `${at}/ratedV`, `rating ${of}`, conductor.ratedV, 'V', 'positive');
  reportQuantity(report, `${at}/breakerA`, `breaker ${of}`, conductor.breakerA, 'A', 'positive');
}

export function validateAdapterStock({ inventory, report }: Validation): void {
  const ownIds = new Set(inventory.adapterKinds.map((kind) => kind.id));
  reportDuplicateIds(report, '/adapterStock', 'adapter stock', inventory.adapterStock);
  inventory.adapterStock.forEach((stock, i) => {
    const at = `/adapterStock/${i}`;
    const name = named('adapter stock', stock);
    if (adapterKind(stock.adapterKindId) === null && !ownIds.has(stock.adapterKindId)) {
      report(
        `${at}/adapterKindId`,
        'unknownReference',
        `The kind "${stock.adapterKindId}" of ${name} is neither built in nor one of this marina's own: correct the id or add the kind.`,
      );
    }
    if (!Number.isInteger(stock.quantity) || stock.quantity < 0) {
      report(
        `${at}/quantity`,
        'quantity',
        `The quantity (${stock.quantity}) of ${name} must be a whole number from 0 on: correct it.`,
      );
    }
  });
}

import type { InventoryFault } from './fault.ts';
import { reportQuantity } from './fault.ts';
import type { Naming, PedestalPattern } from './patterns.ts';

/** Keeps a typing mistake (4000 for 40) from making a marina that nobody can read. */
const mostPedestals = 500;
/** As many as there are letters for `{a}`. */
const mostAtPedestal = 26;

/** The shape of every id, also of those that a template makes. */
const idShape = /^[A-Za-z0-9][A-Za-z0-9._~-]{0,63}$/;

/** What keeps a pattern from being written out; faults in what it makes are found by validating that. */
export function faultsOfPattern(pattern: PedestalPattern, at: string): InventoryFault[] {
  const faults: InventoryFault[] = [];
  const report = (pointer: string, rule: InventoryFault['rule'], message: string) => {
    faults.push({ pointer: `${at}${pointer}`, rule, message });
  };
  const whole = (pointer: string, what: string, value: number, least: number, most: number) => {
    if (Number.isInteger(value) && value >= least && value <= most) return;
    report(pointer, 'pattern', `The ${what} (${value}) must be a whole number from ${least} to ${most}: correct it.`);
  };
  const naming = (pointer: string, { id, label }: Naming) => {
    for (const [name, template] of [
      ['id', id],
      ['label', label],
    ] as const) {
      // The longest number that a placeholder can stand for.
      const filled = template.replace(/\{[pnka]\}/g, '9999999');
      if (/[{}]/.test(filled)) {
        report(
          `${pointer}/${name}`,
          'pattern',
          `The template "${template}" has a placeholder that means nothing here: use {p}, {n}, {k} and {a} alone.`,
        );
      } else if (name === 'id' && !idShape.test(filled)) {
        report(
          `${pointer}/id`,
          'pattern',
          `The template "${template}" makes no ids: an id has 1 to 64 letters, digits, ".", "_", "~" or "-", and begins with a letter or digit.`,
        );
      }
    }
  };

  whole('/count', 'number of pedestals', pattern.count, 1, mostPedestals);
  whole('/firstNumber', 'number of the first pedestal', pattern.firstNumber, 0, 1_000_000);
  whole('/firstBerthNumber', 'number of the first berth', pattern.firstBerthNumber, 0, 1_000_000);
  reportQuantity(report, '/firstAlongM', 'distance of the first pedestal', pattern.firstAlongM, 'm', 'notNegative');
  reportQuantity(report, '/spacingM', 'distance between pedestals', pattern.spacingM, 'm', 'notNegative');
  naming('/pedestal', pattern.pedestal);
  if (pattern.branchCircuit !== null) naming('/branchCircuit', pattern.branchCircuit);

  let outletsAtPedestal = 0;
  pattern.outlets.forEach((outlet, j) => {
    outletsAtPedestal += outlet.count;
    whole(`/outlets/${j}/count`, 'number of these outlets on a pedestal', outlet.count, 1, mostAtPedestal);
    naming(`/outlets/${j}`, outlet);
    if (outlet.lineTurns?.length === 0) {
      report(
        `/outlets/${j}/lineTurns`,
        'pattern',
        'The list of line turns is empty: list the lines of each turn, or enter null where nobody knows them.',
      );
    }
  });
  if (outletsAtPedestal > mostAtPedestal) {
    report(
      '/outlets',
      'pattern',
      `Each pedestal would have ${outletsAtPedestal} outlets, more than ${mostAtPedestal}: split the pattern.`,
    );
  }
  if (pattern.berths.length > mostAtPedestal) {
    report(
      '/berths',
      'pattern',
      `Each pedestal would have ${pattern.berths.length} berths, more than ${mostAtPedestal}: split the pattern.`,
    );
  }
  pattern.berths.forEach((berth, j) => {
    naming(`/berths/${j}`, berth);
  });
  return faults;
}

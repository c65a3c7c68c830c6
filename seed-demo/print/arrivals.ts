import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import type { Arrival } from './judge-arrivals.ts';
import { type Column, tableText } from './table.ts';
import {
  adapterWords,
  berthWords,
  cordWords,
  hookUpWords,
  metresAndFeet,
  questionWords,
  tightestWords,
} from './words.ts';

const columns: readonly Column[] = [
  { title: 'Boat', width: 19 },
  { title: 'Berth', width: 14 },
  { title: 'Hook-up', width: 29 },
  { title: 'Adapter', width: 22 },
  { title: 'Cord', width: 14 },
  { title: 'Tightest above', width: 18 },
  { title: 'Still to confirm', width: 30 },
];

/** The day's arrivals as a table of at most 160 columns. */
export function arrivalsTable(index: InventoryIndex, arrivals: readonly Arrival[]): string {
  return tableText(
    columns,
    arrivals.map((arrival) => arrivalCells(index, arrival)),
  );
}

function arrivalCells(index: InventoryIndex, { boat, from, option, lost, state }: Arrival): string[][] {
  const hour = new Intl.DateTimeFormat('en-GB', {
    timeZone: index.inventory.timeZone,
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  }).format(from);
  const length = boat.lengthOverallM === null ? 'length unknown' : metresAndFeet(boat.lengthOverallM.value);
  const who = [boat.name, length, `${hour}, ${state}`];
  if (option === null) return [who, ['none yet'], [], [], [], [], lost.length === 0 ? [] : questionWords(lost)];
  return [
    who,
    berthWords(index, option),
    hookUpWords(index, option),
    adapterWords(index, option),
    cordWords(option),
    tightestWords(option),
    questionWords([...lost, ...option.findings]),
  ];
}

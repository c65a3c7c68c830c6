import type { BerthOption } from '../../core/berths/options/options.ts';
import { rankBerths } from '../../core/berths/options/rank-berths.ts';
import type { Finding } from '../../core/findings.ts';
import type { Arrival } from './judge-arrivals.ts';
import { wrap } from './table.ts';

const width = 150;

/** The refused berths of the arrival with the most different refusals, each under the rule that refused it. */
export function refusalsText(arrivals: readonly Arrival[]): string | null {
  let most: Refusals | null = null;
  for (const arrival of arrivals) {
    const refused = rankBerths(arrival.prepared).filter(({ verdict }) => verdict === 'refused');
    const groups = byRule(refused.map(({ describe }) => describe()));
    const found = { arrival, groups, telling: countTelling(groups) };
    if (most === null || isMoreTelling(found, most)) most = found;
  }
  if (most === null || most.groups.size === 0) return null;
  const { arrival, groups } = most;
  const count = [...groups.values()].reduce((sum, refused) => sum + refused.length, 0);
  const lines = [`Refused for ${arrival.boat.name}: ${count} berths, each under the rule that spoke first.`];
  for (const [rule, refused] of [...groups].sort((a, b) => b[1].length - a[1].length)) {
    lines.push(...wrap(`${rule} (${refused.length}): ${labelList(refused.map(({ label }) => label))}`, width, '    '));
    const said = refused[0] && firstRefusal(refused[0])?.message;
    if (said !== undefined) lines.push(...wrap(said, width - 4, '').map((line) => `    ${line}`));
  }
  return lines.join('\n');
}

interface Refusals {
  readonly arrival: Arrival;
  readonly groups: ReadonlyMap<string, BerthOption[]>;
  /** Berths refused for another reason than that somebody has them. */
  readonly telling: number;
}

function countTelling(groups: Refusals['groups']): number {
  return [...groups].reduce((sum, [rule, refused]) => sum + (rule.startsWith('space.') ? 0 : refused.length), 0);
}

function isMoreTelling(a: Refusals, b: Refusals): boolean {
  return a.groups.size === b.groups.size ? a.telling > b.telling : a.groups.size > b.groups.size;
}

function byRule(refused: readonly BerthOption[]): Map<string, BerthOption[]> {
  const groups = new Map<string, BerthOption[]>();
  for (const option of refused) {
    const rule = firstRefusal(option)?.rule ?? 'refused';
    const group = groups.get(rule);
    if (group === undefined) groups.set(rule, [option]);
    else group.push(option);
  }
  return groups;
}

function firstRefusal({ findings }: BerthOption): Finding | undefined {
  return findings.find(({ level }) => level === 'refuse');
}

/** `A1..A4, A7, C57-C58`: rows of numbers in short. */
function labelList(labels: readonly string[]): string {
  const numbered = labels
    .map((label) => ({ label, parts: /^(\D*)(\d+)$/.exec(label) }))
    .map(({ label, parts }) => ({
      label,
      letters: parts?.[1] ?? label,
      number: parts === null ? null : Number(parts[2]),
    }))
    .sort((a, b) => (a.letters < b.letters ? -1 : a.letters > b.letters ? 1 : (a.number ?? 0) - (b.number ?? 0)));
  const rows: { first: string; last: string; letters: string; number: number | null }[] = [];
  for (const { label, letters, number } of numbered) {
    const row = rows.at(-1);
    if (row !== undefined && number !== null && row.letters === letters && row.number === number - 1) {
      row.last = label;
      row.number = number;
    } else rows.push({ first: label, last: label, letters, number });
  }
  return rows.map(({ first, last }) => (first === last ? first : `${first}..${last}`)).join(', ');
}

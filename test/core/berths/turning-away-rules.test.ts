import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { turningAwayRules } from '../../../core/berths/turning-away-rules.ts';

const core = join(import.meta.dirname, '../../../core');

function sourceOf(folder: string): string {
  return readdirSync(join(core, folder), { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('.ts') && !path.includes('turning-away') && !path.startsWith('plan'))
    .map((path) => readFileSync(join(core, folder, path), 'utf8'))
    .join('\n');
}

test('a call can be turned away by every rule by which a berth is judged, and by no other', () => {
  const names = /'((?:fit|space|reach|hookup|stock|outlet)\.[a-zA-Z]+)'/g;
  const judging = `${sourceOf('berths')}\n${sourceOf('electrical/hook-up')}`;
  const spoken = new Set([...judging.matchAll(names)].map(([, name]) => name ?? ''));
  const built = turningAwayRules.filter((name) => name.startsWith('demand.') || name.startsWith('wish.'));
  expect([...turningAwayRules].sort()).toEqual([...spoken, ...built].sort());
  // Made of a limit's kind and of a wish's name.
  const kinds = /type LimitKind = ([^;]+);/.exec(sourceOf('electrical/demand'))?.[1]?.match(/\w+/g) ?? [];
  const wishes = [...sourceOf('berths/options').matchAll(/\{ name: '(\w+)', of:/g)].map(([, name]) => name);
  expect([...built].sort()).toEqual(
    [...kinds.map((kind) => `demand.${kind}`), ...wishes.map((wish) => `wish.${wish}`)].sort(),
  );
});

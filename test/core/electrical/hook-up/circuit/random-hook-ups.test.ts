import { expect, it } from 'vitest';
import { checkPlainly } from './contradictions.ts';
import { randomHookUp, seeded } from './random-hook-ups.ts';

// `npx tsx test/core/electrical/hook-up/circuit/many-random-hook-ups.ts 1000000` does the same a million times.
it('no hook-up judged safe passes a limit in a plain nodal solve, whatever the main breakers pass', () => {
  const random = seeded(20261125);
  let safe = 0;
  let joined = 0;
  let solves = 0;
  for (let i = 0; i < 3_000; i++) {
    const inputs = randomHookUp(random);
    const checked = checkPlainly(inputs, random, 4);
    expect(checked.contradictions, `${i}: ${JSON.stringify(inputs.hookUp)}`).toEqual([]);
    if (!checked.isSafe) continue;
    safe++;
    solves += checked.solves;
    if (checked.judged.outletIds.length > checked.judged.inlets.length) joined++;
  }
  // The draw reaches what it is about.
  expect(safe).toBeGreaterThan(200);
  expect(joined).toBeGreaterThan(3);
  expect(solves).toBeGreaterThan(500);
});

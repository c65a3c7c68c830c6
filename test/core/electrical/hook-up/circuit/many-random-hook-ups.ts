import { checkPlainly } from './contradictions.ts';
import { drawOf, randomHookUp } from './random-hook-ups.ts';

/**
 * Draws hook-ups, judges them, and solves every safe one plainly: `many-random-hook-ups.ts [count] [seed] [first]`. A
 * draw depends on the seed and its own number alone, so that any one is drawn again by its number as the first. Ends
 * with 1 where a safe verdict is contradicted.
 */
const count = Number(process.argv[2] ?? 1_000_000);
const seed = Number(process.argv[3] ?? 1);
const first = Number(process.argv[4] ?? 1);
const last = first + count - 1;
const verdicts = new Map<string, number>();
let solves = 0;
let contradicted = 0;
for (let i = first; i <= last; i++) {
  const random = drawOf(seed, i);
  const inputs = randomHookUp(random);
  const checked = checkPlainly(inputs, random, 3);
  verdicts.set(checked.judged.verdict, (verdicts.get(checked.judged.verdict) ?? 0) + 1);
  solves += checked.solves;
  if (checked.contradictions.length > 0 && ++contradicted <= 20)
    console.log(`${i}: ${checked.contradictions[0]}\n  ${JSON.stringify(inputs.hookUp)}`);
  if (i % 50_000 === 0 || i === last)
    console.log(
      `up to ${i}, seed ${seed}: ${[...verdicts].map((each) => each.join(' ')).join(', ')}; ${solves} plain solves; ${contradicted} contradicted`,
    );
}
process.exitCode = contradicted > 0 ? 1 : 0;

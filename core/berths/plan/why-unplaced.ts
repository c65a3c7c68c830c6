import type { Book } from './book.ts';
import { placedBy } from './place.ts';
import type { PlanStay } from './question.ts';
import type { PlanScene } from './scene.ts';

/** A rule that keeps a stay from some berths, with what passes its limit where that is one thing. */
export interface StoppedBy {
  readonly rule: string;
  readonly subject: string | null;
  /** How many berths it speaks against. */
  readonly berths: number;
}

/** For each berth the rules that keep a stay out of it beside everybody in the book, counted over all berths. */
export function whyUnplaced(
  scene: PlanScene,
  book: Book,
  stay: PlanStay,
  berths = scene.question.index.inventory.berths,
): StoppedBy[] {
  const counts = new Map<string, { rule: string; subject: string | null; berths: number }>();
  for (const berth of berths) {
    const { ways, refusedBy } = scene.judge.ways(stay, berth);
    const rules = new Map<string, { rule: string; subject: string | null }>();
    const say = (rule: string, subject: string | null) => rules.set(`${rule} ${subject}`, { rule, subject });
    for (const rule of refusedBy) say(rule, null);
    if (ways.length > 0 && berth.faceFromM !== null) say('space.noGap', null);
    else {
      for (const way of ways) {
        if (!scene.mayTake(stay, way)) {
          say('plan.newAdapterOrLongerCord', null);
          continue;
        }
        for (const { rule, subject } of book.conflicts(placedBy(scene, stay, berth, way), true)) say(rule, subject);
      }
    }
    for (const [key, rule] of rules) {
      const count = counts.get(key) ?? { ...rule, berths: 0 };
      count.berths += 1;
      counts.set(key, count);
    }
  }
  return [...counts.values()].sort((a, b) => b.berths - a.berths || (a.rule < b.rule ? -1 : 1));
}

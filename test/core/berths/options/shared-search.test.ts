import fc from 'fast-check';
import { expect, it } from 'vitest';
import { berthOptions } from '../../../../core/berths/options/berth-options.ts';
import type { Boat } from '../../../../core/boats.ts';
import { indexInventory } from '../../../../core/inventory/index-inventory.ts';
import { anyBoat, anyQuestion } from './random-question.ts';

/** The same boat under another name, told at another time, with its inlets elsewhere. */
function likeBoat(boat: Boat, turn: number): Boat {
  const dated = Object.fromEntries(
    Object.entries(boat).map(([name, fact]) => [
      name,
      fact !== null && typeof fact === 'object' && 'at' in fact ? { ...fact, at: turn } : fact,
    ]),
  );
  return {
    ...boat,
    ...dated,
    id: `boat-${turn}`,
    name: `Boat $& ${turn}`,
    inlets: boat.inlets.map((inlet) => ({ ...inlet, fromBowM: { value: turn, origin: 'boater', at: turn } })),
  };
}

it('a boat gets the same answer whoever was asked about before it, in its own name', () => {
  fc.assert(
    fc.property(anyQuestion, fc.array(anyBoat, { minLength: 1, maxLength: 3 }), (question, others) => {
      const boats = [question.boat, ...others, ...[question.boat, ...others].map(likeBoat)];
      for (const boat of boats) {
        const anew = { ...question, boat, index: indexInventory(question.index.inventory) };
        const length = { options: 20, refused: 20 };
        const answer = berthOptions({ ...question, boat }, length);
        expect(answer).toEqual(berthOptions(anew, length));
        expect(JSON.stringify(answer)).not.toMatch(/[\uE000-\uE00F]/);
      }
    }),
    { numRuns: 15 },
  );
});

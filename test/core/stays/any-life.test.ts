import fc from 'fast-check';
import { expect, it } from 'vitest';
import { type StayState, stayCommands, stayStates, stepOf } from '../../../core/stays/lifecycle.ts';

const closed: readonly StayState[] = ['departed', 'cancelled', 'turnedAway', 'noShow'];
const noShowFrom = 20;
const act = fc.record({
  command: fc.constantFrom(...stayCommands),
  wait: fc.nat(4),
  loses: fc.nat(9).map((n) => n === 0),
});

// Common practice at a marina's desk, in words: what must hold whatever is asked of a booking, and in whatever order.
it('in any sequence of commands a stay keeps to its life: what is over is over, and a promise has a berth', () => {
  const reached = new Set<StayState>();
  fc.assert(
    fc.property(fc.array(act, { minLength: 20, maxLength: 40, size: 'max' }), (acts) => {
      let state: StayState = 'requested';
      let hasBerth = false;
      let wasDisplaced = false;
      let offerExpiresAt: number | null = null;
      let now = 0;
      const past: StayState[] = [state];
      for (const { command, wait, loses } of acts) {
        now += wait;
        if (loses && hasBerth) [hasBerth, wasDisplaced] = [false, true];
        const asked = { state, hasBerth, offerExpiresAt, noShowFrom, now, said: String };
        const step = stepOf(command, asked);
        expect(stepOf(command, asked)).toEqual(step);
        if (!step.allowed) {
          expect(step.reason).toMatch(/\.$/);
          continue;
        }
        expect(closed).not.toContain(state);
        if (command === 'noShow') expect(now).toBeGreaterThanOrEqual(noShowFrom);
        if (command === 'turnAway') expect(hasBerth).toBe(false);
        if (command === 'promise') expect(hasBerth && now < (offerExpiresAt ?? 0)).toBe(true);
        // A boat that has come is never to come again.
        if (past.includes('arrived')) expect(['arrived', 'departed']).toContain(step.state);
        state = step.state;
        past.push(state);
        reached.add(state);
        if (command === 'assign' || command === 'offer') [hasBerth, wasDisplaced] = [true, false];
        offerExpiresAt = command === 'offer' ? now + 5 : state === 'offered' ? offerExpiresAt : null;
        if (closed.includes(state)) hasBerth = false;
        if (state === 'promised' || state === 'offered') expect(hasBerth || wasDisplaced).toBe(true);
      }
      if (past.includes('departed')) expect(past).toContain('arrived');
    }),
    { numRuns: 400, seed: 20261125 },
  );
  expect([...reached].sort()).toEqual([...stayStates].sort());
});

import { describe, expect, it } from 'vitest';
import { type StayFacts, stayCommands, stayStates, stepOf } from '../../../core/stays/lifecycle.ts';

const noon = Date.UTC(2030, 5, 10, 12);
const facts = (given: Partial<StayFacts>): StayFacts => ({
  state: 'requested',
  hasBerth: given.state !== undefined && ['offered', 'promised', 'arrived'].includes(given.state),
  offerExpiresAt: given.state === 'offered' ? noon + 1 : null,
  noShowFrom: noon,
  now: noon,
  said: (at) => new Date(at).toISOString(),
  ...given,
});

// Common practice at a marina's desk: what may happen to a booking, and in which order.
const table: Readonly<Record<string, string>> = {
  //          requested offered promised arrived departed cancelled turnedAway noShow
  assign: '     promised promised promised arrived -        -         -          -',
  offer: '      offered  offered  -        -       -        -         -          -',
  promise: '    -        promised -        -       -        -         -          -',
  move: '       requested offered promised arrived -        -         -          -',
  swap: '       -        offered  promised arrived -        -         -          -',
  reschedule: ' requested offered promised arrived -        -         -          -',
  arrive: '     arrived  arrived  arrived  -       -        -         -          -',
  depart: '     -        -        -        departed -       -         -          -',
  cancel: '     cancelled cancelled cancelled -    -        -         -          -',
  turnAway: '   turnedAway -      -        -       -        -         -          -',
  noShow: '     noShow   noShow   noShow   -       -        -         -          -',
};

describe('the life of a stay', () => {
  it('takes each command in the states where it makes sense, and says what to do in all others', () => {
    for (const command of stayCommands) {
      const expected = (table[command] ?? '').trim().split(/\s+/);
      expect(expected, command).toHaveLength(stayStates.length);
      stayStates.forEach((state, position) => {
        const step = stepOf(command, facts({ state }));
        expect(step.allowed ? step.state : '-', `${command} while ${state}`).toBe(expected[position]);
        if (!step.allowed) expect(step.reason, `${command} while ${state}`).toMatch(/^The (stay|offer) .+\. .+\.$/);
      });
    }
  });

  it('ends in one of four states that nothing leads out of, and reaches every state from a request', () => {
    const next = (state: (typeof stayStates)[number]) =>
      stayCommands.flatMap((command) => {
        const step = stepOf(command, facts({ state }));
        return step.allowed ? [step.state] : [];
      });
    const reached = new Set(['requested' as (typeof stayStates)[number]]);
    for (const state of reached) for (const to of next(state)) reached.add(to);
    // A request that is turned away has no berth: the table above covers it.
    expect([...reached].sort()).toEqual([...stayStates].sort());
    expect(stayStates.filter((state) => next(state).length === 0)).toEqual([
      'departed',
      'cancelled',
      'turnedAway',
      'noShow',
    ]);
  });

  it('takes a yes to an offer until it lapses, and only while the berth is kept', () => {
    const at = (now: number, hasBerth = true) => stepOf('promise', facts({ state: 'offered', now, hasBerth })).allowed;
    expect([at(noon), at(noon + 1), at(noon, false)]).toEqual([true, false, false]);
  });

  it('is a no-show from its hour on and not a moment earlier', () => {
    const at = (now: number) => stepOf('noShow', facts({ state: 'promised', now }));
    expect(at(noon - 1)).toMatchObject({ allowed: false, reason: expect.stringContaining('2030-06-10T12:00:00.000Z') });
    expect(at(noon)).toEqual({ allowed: true, state: 'noShow' });
  });

  it('turns away one that lost its berth, never one that has it', () => {
    expect(stepOf('turnAway', facts({ state: 'promised', hasBerth: false }))).toEqual({
      allowed: true,
      state: 'turnedAway',
    });
    expect(stepOf('turnAway', facts({ state: 'promised' })).allowed).toBe(false);
  });
});

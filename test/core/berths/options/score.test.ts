import { describe, expect, it } from 'vitest';
import { type Doubt, noDoubt } from '../../../../core/berths/options/doubt.ts';
import { compareScores, isBehind, namedScore, type Score, scoreOf } from '../../../../core/berths/options/score.ts';

const worth = {
  gravity: 1,
  refusals: 0,
  inletsUnfed: 0,
  units: 1,
  adaptersToBring: 0,
  adapters: 1,
  roomLeftM: 3.1,
  outletLeftA: 20,
};
const demand = { marginShare: 0.42, unbalanceA: 40 };

interface Changes {
  readonly doubt?: Partial<Doubt>;
  readonly worth?: Partial<typeof worth>;
  readonly demand?: { readonly marginShare?: number | null; readonly unbalanceA?: number };
  readonly unmet?: number;
  readonly leakageLeftMa?: number;
}

function score(changes: Changes = {}) {
  const doubt = { gravity: 1, refusals: 0, besides: 1, ...changes.doubt };
  const { units, roomLeftM, ...taken } = { ...worth, ...changes.worth };
  return scoreOf(
    doubt,
    taken,
    units,
    roomLeftM,
    { doubt, doubtOfVolts: noDoubt, ...demand, ...changes.demand },
    changes.leakageLeftMa ?? 15,
    changes.unmet ?? 1,
  );
}

/** For each part, in order: what is worse in that part alone, and what is better in every later one. */
const parts: readonly { readonly name: string; readonly worse: Changes; readonly better: Changes }[] = [
  {
    name: 'power in doubt',
    worse: { doubt: { gravity: 2 } },
    better: { doubt: { gravity: 1 } },
  },
  {
    name: 'in doubt at this berth',
    worse: { doubt: { besides: 2 } },
    better: { doubt: { besides: 0 } },
  },
  { name: 'units of space taken', worse: { worth: { units: 2 } }, better: { worth: { units: 1 } } },
  { name: 'adapters to bring', worse: { worth: { adaptersToBring: 1 } }, better: { worth: { adaptersToBring: 0 } } },
  { name: 'inlets without power', worse: { worth: { inletsUnfed: 1 } }, better: { worth: { inletsUnfed: 0 } } },
  { name: 'adapters', worse: { worth: { adapters: 2 } }, better: { worth: { adapters: 0 } } },
  { name: 'room left over, by 2 m', worse: { worth: { roomLeftM: 4.5 } }, better: { worth: { roomLeftM: 0.5 } } },
  { name: 'outlet rating left over', worse: { worth: { outletLeftA: 70 } }, better: { worth: { outletLeftA: 0 } } },
  {
    name: 'margin left, by tenths',
    worse: { demand: { marginShare: 0.31 } },
    better: { demand: { marginShare: 0.9 } },
  },
  { name: 'leakage budget left, by 10 mA', worse: { leakageLeftMa: 9 }, better: { leakageLeftMa: 30 } },
  { name: 'unbalance of lines, by 30 A', worse: { demand: { unbalanceA: 80 } }, better: { demand: { unbalanceA: 0 } } },
  { name: 'wishes unmet', worse: { unmet: 2 }, better: { unmet: 0 } },
  { name: 'room left over', worse: { worth: { roomLeftM: 3.9 } }, better: { worth: { roomLeftM: 2.1 } } },
  { name: 'margin left', worse: { demand: { marginShare: 0.41 } }, better: { demand: { marginShare: 0.45 } } },
  { name: 'unbalance of lines', worse: { demand: { unbalanceA: 50 } }, better: { demand: { unbalanceA: 31 } } },
];

function isHopeless(changes: Partial<typeof worth>, best: Score, gravity = 1): boolean {
  const { units, roomLeftM, ...taken } = { ...worth, ...changes };
  return isBehind({ gravity, refusals: 0, besides: gravity }, taken, units, roomLeftM, best);
}

function together(a: Changes, b: Changes): Changes {
  return {
    ...a,
    ...b,
    doubt: { ...a.doubt, ...b.doubt },
    worth: { ...a.worth, ...b.worth },
    demand: { ...a.demand, ...b.demand },
  };
}

describe('the score', () => {
  it('shows its parts by name, in the order in which they are compared', () => {
    expect(namedScore(score()).map(({ name }) => name)).toEqual([
      'power in doubt',
      'refusals',
      ...parts.slice(1).map(({ name }) => name),
    ]);
  });

  parts.forEach(({ name, worse }, i) => {
    it(`is decided by "${name}" where all before tie, whatever comes after`, () => {
      expect(compareScores(score(worse), score())).toBeGreaterThan(0);
      expect(compareScores(score(), score(worse))).toBeLessThan(0);
      // A later part in steps and its exact value are one quantity: only parts of other quantities are made better.
      const later = parts.slice(i + 1).filter((part) => !part.name.startsWith(name.split(',')[0] ?? name));
      for (const { better } of later) {
        expect(
          compareScores(score(together(worse, better)), score()),
          `against ${JSON.stringify(better)}`,
        ).toBeGreaterThan(0);
      }
    });
  });

  it('counts refusals only after the gravest word', () => {
    const one = score({ doubt: { gravity: 3, refusals: 1, besides: 3 } });
    expect(compareScores(one, score({ doubt: { gravity: 3, refusals: 2, besides: 3 } }))).toBeLessThan(0);
    expect(compareScores(one, score({ doubt: { gravity: 2, refusals: 0, besides: 2 } }))).toBeGreaterThan(0);
  });

  it('ranks what is not assessed behind any known margin, an overloaded one too', () => {
    const notAssessed = score({ demand: { marginShare: null } });
    expect(compareScores(notAssessed, score({ demand: { marginShare: -0.4 } }))).toBeGreaterThan(0);
  });

  it('never passes over a way that could still be the best', () => {
    expect(isHopeless({}, score())).toBe(false);
    const anyBest = score({ demand: { marginShare: 1, unbalanceA: 0 }, unmet: 0 });
    expect(isHopeless({}, anyBest)).toBe(false);
    expect(isHopeless({ adapters: 2 }, score())).toBe(true);
    expect(isHopeless({ adapters: 2 }, score(), 0)).toBe(false);
    // Within the same step of 2 m the exact room counts only after margin and balance.
    expect(isHopeless({ roomLeftM: 3.9 }, score())).toBe(false);
    expect(isHopeless({ roomLeftM: 4.1 }, score())).toBe(true);
    expect(isHopeless({ outletLeftA: 21 }, score())).toBe(true);
  });
});

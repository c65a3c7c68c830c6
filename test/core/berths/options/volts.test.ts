import { describe, expect, it } from 'vitest';
import { berthOptions } from '../../../../core/berths/options/berth-options.ts';
import { judgeChoice } from '../../../../core/berths/options/judge-choice.ts';
import type { OptionsQuestion } from '../../../../core/berths/options/options.ts';
import { prepare } from '../../../../core/berths/options/prepare.ts';
import { rankBerths } from '../../../../core/berths/options/rank-berths.ts';
import type { Boat, NeutralBond } from '../../../../core/boats.ts';
import type { Inventory } from '../../../../core/inventory/inventory.ts';
import { sampleInventory, withPatched } from '../../../support/sample-inventory.ts';
import { boatOf, inletOf } from '../builders.ts';
import { arrival, departure, questionOf, told } from './random-question.ts';

/** Everything known, so that nothing but volts can speak. */
const boat: Boat = boatOf({
  lengthOverallM: told(11.5),
  beamM: told(3.4),
  frequenciesHz: told([60]),
  neutralBond: told<NeutralBond>('none'),
  ownSupplies: told([]),
  inlets: [inletOf({ duty: told('house'), needsLineToLine: told(false), mainBreakerA: told(30) })],
  cordSets: told([{ id: 'c', lengthM: 15.24, configurationId: 'L5-30', ratedA: 30 }]),
  adapterKindIds: told([]),
});

const marina = withPatched(sampleInventory(), 'equipment', 'xfmr-a', { lines: ['L1', 'L2'] });
const plugged = (outletId: string) => ({
  outletId,
  from: arrival,
  until: departure,
  by: { kind: 'holding', id: outletId, label: outletId } as const,
  statedVa: null,
});

/** Dock A on one feeder of 3/0 copper of the given length, with these outlets in use. */
function ask(lengthM: number | null, inUse: readonly string[]): OptionsQuestion {
  const conductor = { material: 'copper', size: '3/0', sizeUnit: 'AWG', parallelSets: 1, lengthM } as const;
  const inventory: Inventory = withPatched(marina, 'equipment', 'feeder-a1', { conductor });
  return { ...questionOf(inventory, boat), outletUses: inUse.map(plugged) };
}

const words = { options: 30, refused: 30 };
const inUse = ['a1a', 'a1c', 'a3a'];

function option(question: OptionsQuestion, berthId: string) {
  const answer = berthOptions(question, words);
  const found = answer.options.find((each) => each.berthId === berthId);
  if (found === undefined) throw new Error(`${berthId} is not offered`);
  return { ...found, inAll: answer.all.find((each) => each.berthId === berthId)?.verdict };
}

describe('volts in berth options', () => {
  it('are shown, solved, and change nothing where they lie within range', () => {
    const { verdict, volts, findings } = option(ask(40, inUse), 'A3');
    expect(verdict).toBe('clear');
    expect(volts).toMatchObject({ status: 'solved', basis: 'rated', lowest: { outletId: 'a2a', between: 'L1-N' } });
    expect(volts?.lowest?.voltageV).toBeGreaterThan(110);
    expect(findings.filter(({ rule }) => rule.startsWith('power.'))).toEqual([]);
  });

  it('caution, with limit and source, where the solve is below the range; a drop beyond the advice is a note', () => {
    const { verdict, inAll, findings, volts } = option(ask(260, inUse), 'A3');
    expect([verdict, inAll]).toEqual(['cautioned', 'cautioned']);
    expect(findings).toContainEqual(
      expect.objectContaining({ rule: 'power.lowVolts', level: 'caution', limit: 108, unit: 'V' }),
    );
    expect(findings).toContainEqual(
      expect.objectContaining({ rule: 'power.drop', level: 'note', limit: 5, unit: '%' }),
    );
    expect(volts?.lowest?.voltageV).toBeLessThan(108);
  });

  it('are solved for a berth that the bound alone cannot call fine', () => {
    // Lengths on which bound and solve differ lie somewhere between the two above.
    const found = Array.from({ length: 90 }, (_, i) => ask(40 + 2 * i, inUse)).flatMap((question) => {
      const bounded = rankBerths(prepare(question)).find(({ berth }) => berth.id === 'A3');
      return bounded?.verdict === 'cautioned' && bounded.solved().verdict === 'clear' ? [question] : [];
    });
    const [question] = found;
    if (question === undefined) throw new Error('bound and solve never differ');
    const { verdict, inAll, findings } = option(question, 'A3');
    expect([verdict, inAll]).toEqual(['clear', 'clear']);
    expect(findings.some(({ rule }) => rule === 'power.lowVolts')).toBe(false);
  });

  it('are solved at assignment, as a person chose it', () => {
    const question = ask(260, inUse);
    const berth = question.index.berths.get('A3');
    if (berth === undefined) throw new Error('no berth');
    const way = { orientation: null, place: null, hookUp: null };
    const judged = judgeChoice(prepare(question), berth, way).describe();
    expect(judged.findings.some(({ rule }) => rule === 'power.lowVolts')).toBe(true);
    const { hookUp } = judged;
    const chosen = judgeChoice(prepare(question), berth, { ...way, hookUp: hookUp?.hookUp ?? null }).describe();
    expect(chosen.volts).toEqual(judged.volts);
  });

  it('are not assessed where a length is missing: a note, never within', () => {
    const { verdict, volts, findings } = option(ask(null, inUse), 'A3');
    expect(verdict).toBe('clear');
    expect(volts).toMatchObject({ status: 'notAssessed', lowest: null });
    const notAssessed = findings.filter(({ rule }) => rule === 'power.notAssessed');
    expect(notAssessed).toMatchObject([{ level: 'note', subject: { id: 'a2a' } }]);
  });
});

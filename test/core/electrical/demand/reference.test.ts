import { describe, expect, it } from 'vitest';
import { calculateDemand, type DemandInput } from '../../../../core/electrical/demand/calculate-demand.ts';
import { factorAt } from '../../../../core/electrical/demand/practice-factor.ts';
import type { LineName } from '../../../../core/standards/configuration.ts';
import type { DemandPractice } from '../../../../core/standards/demand-practice.ts';
import { demandPractice } from '../../../../core/standards/demand-practices.ts';
import type { SupplySystem } from '../../../../core/standards/supply-system.ts';
import { supplySystem } from '../../../../core/standards/supply-systems.ts';
import reference from '../../../reference/demand.json' with { type: 'json' };

interface Group {
  readonly count: number;
  readonly ratedA: number;
  readonly lineContacts: number;
  readonly lines?: readonly string[];
  readonly slipGroup?: string;
}

interface Answer {
  readonly receptacles?: number;
  readonly connectedVa?: number;
  readonly connectedLineA?: Readonly<Record<string, number>>;
  readonly factor?: number;
  readonly demandVa?: number;
  readonly balancedA?: number;
  readonly lineA?: Readonly<Record<string, number>>;
  readonly admissionVa?: number;
  readonly step?: { readonly otherCount: number; readonly otherDemandVa: number };
}

const examples: readonly {
  readonly id: string;
  readonly source: string;
  readonly system: string;
  readonly receptacles: readonly Group[];
  readonly answer: Answer;
  readonly wrong?: { readonly demandVa: number; readonly why: string };
}[] = reference.examples;

const nec = practiceOf('nec-555-2020');

describe(`demand table: ${reference.table.source}`, () => {
  it('is the built-in practice, row by row', () => {
    expect(nec.rows).toEqual(reference.table.rows);
  });

  for (const { from, to, factor } of reference.table.rows) {
    const last = to ?? 1000;
    it(`gives ${factor} from ${from} to ${to ?? 'any count'}`, () => {
      for (const count of [from, Math.floor((from + last) / 2), last]) expect(factorAt(nec, count)).toBe(factor);
    });
  }

  it('takes every rating at 100 % in the practice without factors', () => {
    for (const count of [1, 5, 31, 500]) expect(factorAt(practiceOf('full-load'), count)).toBe(1);
  });
});

describe('worked examples', () => {
  for (const { id, source, system, receptacles, answer, wrong } of examples) {
    it(`${id} (${source})`, () => {
      const result = calculateDemand(inputOf(system, receptacles));
      const { design } = result;
      const found: Answer = {
        ...(answer.receptacles === undefined ? {} : { receptacles: result.receptacles }),
        ...(answer.connectedVa === undefined ? {} : { connectedVa: rounded(result.connectedVa) }),
        ...(answer.connectedLineA === undefined ? {} : { connectedLineA: roundedEach(result.connectedLineA) }),
        ...(answer.factor === undefined ? {} : { factor: design.appliedFactor.factor }),
        ...(answer.demandVa === undefined ? {} : { demandVa: rounded(design.demandVa) }),
        ...(answer.balancedA === undefined ? {} : { balancedA: rounded(design.balancedA) }),
        ...(answer.lineA === undefined ? {} : { lineA: roundedEach(design.lineA) }),
        ...(answer.admissionVa === undefined ? {} : { admissionVa: rounded(result.admission.demandVa) }),
        ...(answer.step === undefined || result.step === null
          ? {}
          : {
              step: {
                otherCount: result.step.otherCount,
                otherDemandVa: rounded(result.step.otherDemandVa),
              },
            }),
      };
      expect(found).toEqual(answer);
      if (wrong !== undefined) expect(rounded(design.demandVa), wrong.why).not.toBe(wrong.demandVa);
    });
  }
});

describe('connected load of one receptacle', () => {
  for (const { system, ratedA, lineContacts, connectedVa, source } of reference.ratings) {
    it(`${ratedA} A, ${lineContacts} line contacts on ${system}: ${connectedVa} VA (${source})`, () => {
      const lines = lineContacts === 1 ? ['L1'] : lineContacts === 2 ? ['L1', 'L2'] : ['L1', 'L2', 'L3'];
      const result = calculateDemand(inputOf(system, [{ count: 1, ratedA, lineContacts, lines }]));
      expect(result.connectedVa).toBeCloseTo(connectedVa, 1);
      for (const line of lines) expect(result.connectedLineA[lineOf(line)]).toBeCloseTo(ratedA, 9);
    });
  }
});

describe('calculator', () => {
  it('adds loads outside the factor at 100 %', () => {
    const given = inputOf('120/240-split-phase', [{ count: 20, ratedA: 30, lineContacts: 1, lines: ['L1'] }]);
    const { design, admission } = calculateDemand({ ...given, otherLoadVa: { L1: 1200 } });
    expect(design.demandVa).toBeCloseTo(20 * 3600 * 0.7 + 1200, 6);
    expect(design.lineA.L1).toBeCloseTo(20 * 30 * 0.7 + 10, 6);
    expect(admission.demandVa).toBeCloseTo(20 * 3600 * 0.7 + 1200, 6);
  });

  it('applies the sub-meter factor to the design demand alone', () => {
    const given = inputOf('120/240-split-phase', [{ count: 10, ratedA: 30, lineContacts: 1, lines: ['L1'] }]);
    const { design, admission } = calculateDemand({ ...given, subMetered: true });
    expect(design.demandVa).toBeCloseTo(36000 * 0.8 * 0.9, 6);
    expect(admission.demandVa).toBeCloseTo(36000 * 0.8, 6);
  });

  it('counts the receptacles of the most loaded line when asked to', () => {
    const groups = [
      { count: 12, ratedA: 30, lineContacts: 1, lines: ['L1'] },
      { count: 8, ratedA: 30, lineContacts: 1, lines: ['L2'] },
    ];
    const all = calculateDemand(inputOf('120/240-split-phase', groups));
    const line = calculateDemand({ ...inputOf('120/240-split-phase', groups), countingBasis: 'mostLoadedLine' });
    expect(all.design.appliedFactor).toMatchObject({ countingBasis: 'all', count: 20, factor: 0.7 });
    expect(line.design.appliedFactor).toMatchObject({ countingBasis: 'mostLoadedLine', count: 12, factor: 0.8 });
    // Admission takes the larger of both on each line.
    expect(line.admission.lineA.L1).toBeCloseTo(12 * 30 * 0.8, 6);
  });

  it('names a pattern that the supply cannot feed', () => {
    const input = inputOf('120/240-split-phase', [{ count: 1, ratedA: 100, lineContacts: 3 }]);
    expect(() => calculateDemand(input)).toThrow(/split-phase.*3 line contacts/);
  });
});

function inputOf(systemId: string, groups: readonly Group[]): DemandInput {
  return {
    system: systemOf(systemId),
    practice: nec,
    countingBasis: 'all',
    receptacles: groups.map(({ count, ratedA, lineContacts, lines, slipGroup }) => ({
      count,
      ratedA,
      lineContacts: lineContacts === 1 ? 1 : lineContacts === 2 ? 2 : 3,
      hasNeutral: true,
      lines: lines?.map(lineOf) ?? null,
      slipGroup: slipGroup ?? null,
    })),
    otherLoadVa: {},
    subMetered: false,
  };
}

function practiceOf(id: string): DemandPractice {
  const practice = demandPractice(id);
  if (practice === null) throw new Error(`no practice ${id}`);
  return practice;
}

function systemOf(id: string): SupplySystem {
  const system = supplySystem(id);
  if (system === null) throw new Error(`no system ${id}`);
  return system;
}

function lineOf(name: string): LineName {
  if (name === 'L1' || name === 'L2' || name === 'L3') return name;
  throw new Error(`no line ${name}`);
}

function rounded(value: number): number {
  return Math.round(value * 1e6) / 1e6;
}

function roundedEach(values: Partial<Record<LineName, number>>): Record<string, number> {
  return Object.fromEntries(Object.entries(values).map(([line, value]) => [line, rounded(value)]));
}

import type { LineName, Terminal } from '../../standards/configuration.ts';
import type { DemandPractice } from '../../standards/demand-practice.ts';
import { citation } from '../../standards/source.ts';
import type { SupplySystem } from '../../standards/supply-system.ts';
import { admittedLoad, type ChannelDemand } from './admitted-load.ts';
import { addLoad, type LoadVa, lineAmperes, lineNames, noLoad, phasorsOf, wholeIndex } from './channels.ts';
import type { AppliedFactor } from './demand-of-part.ts';
import { balancedVolts } from './nominal-volts.ts';
import { ratingOn } from './receptacle.ts';
import { type CountedReceptacle, type TableStep, tableDemand } from './table-demand.ts';

/** Receptacles alike, for the calculator. */
export interface ReceptacleGroup {
  readonly count: number;
  readonly ratedA: number;
  /** Line contacts: one (120 V), two (125/250 V), three. */
  readonly lineContacts: 1 | 2 | 3;
  readonly hasNeutral: boolean;
  /** Lines they are on; null unknown, then each counts on every line it could be on. */
  readonly lines: readonly LineName[] | null;
  /** Groups of one name serve the same slips, one receptacle each; null where no slip has two. */
  readonly slipGroup: string | null;
}

export interface DemandInput {
  readonly system: SupplySystem;
  readonly practice: DemandPractice;
  readonly countingBasis: 'all' | 'mostLoadedLine';
  readonly receptacles: readonly ReceptacleGroup[];
  /** Load outside the factor, VA line to neutral. */
  readonly otherLoadVa: Partial<Record<LineName, number>>;
  /** Each slip has its own energy meter: apply the practice's factor, where it has one. */
  readonly subMetered: boolean;
}

export interface CalculatedLoad {
  readonly demandVa: number;
  /** Amperes a line if the demand is spread evenly over the lines. */
  readonly balancedA: number;
  /** Amperes by line as the receptacles stand. */
  readonly lineA: Partial<Record<LineName, number>>;
}

export interface CalculatedDemand {
  readonly receptacles: number;
  readonly connectedVa: number;
  readonly connectedLineA: Partial<Record<LineName, number>>;
  /** By the table as printed: for design. */
  readonly design: CalculatedLoad & { readonly appliedFactor: AppliedFactor };
  /** All in use at once, by the admission formula, without two-voltage rule and sub-meter factor. */
  readonly admission: CalculatedLoad & {
    readonly appliedFactor: AppliedFactor;
    readonly channels: readonly ChannelDemand[];
  };
  /** A step of the table nearby; null where there is none. */
  readonly step: TableStep | null;
}

/**
 * Demand of receptacles on one supply, without an inventory: what an engineer checks by hand.
 * @throws RangeError when the system cannot feed a group (too few lines, no neutral).
 */
export function calculateDemand(input: DemandInput): CalculatedDemand {
  const { system, practice } = input;
  const phasors = phasorsOf(system);
  const all = input.receptacles.flatMap((group) => receptaclesOf(group, input));
  const table = tableDemand(practice, all, phasors, input.countingBasis);
  const share = input.subMetered ? (practice.subMeterFactor ?? 1) : 1;

  const other = noLoad();
  for (const [line, name] of lineNames.entries()) {
    other[line] = input.otherLoadVa[name] ?? 0;
    other[wholeIndex] = (other[wholeIndex] ?? 0) + (input.otherLoadVa[name] ?? 0);
  }
  const lineAOf = (load: LoadVa) =>
    Object.fromEntries(phasors.lines.map((line) => [lineNames[line], lineAmperes(phasors, load, line)]));
  const withOther = (load: LoadVa, factor: number): CalculatedLoad => {
    const total = noLoad();
    addLoad(total, load, factor);
    addLoad(total, other);
    const demandVa = total[wholeIndex] ?? 0;
    return { demandVa, balancedA: demandVa / balancedVolts(phasors), lineA: lineAOf(total) };
  };

  const admitted = admittedLoad(
    practice,
    all.map(({ load }) => load),
    other,
  );
  const { count, factor, countedVa } = admitted.whole;
  const source = citation(practice.source);
  return {
    receptacles: table.counted.length,
    connectedVa: table.connectedVa,
    connectedLineA: lineAOf(table.connected),
    design: {
      ...withOther(table.demand, share),
      appliedFactor: {
        countingBasis: table.countingBasis,
        count: table.count,
        factor: table.factor,
        countedVa: table.connectedVa,
        source,
      },
    },
    admission: {
      ...withOther(admitted.load, 1),
      channels: admitted.channels,
      appliedFactor: { countingBasis: 'larger', count, factor, countedVa, source },
    },
    step: table.step,
  };
}

function receptaclesOf(group: ReceptacleGroup, { system, receptacles }: DemandInput): CountedReceptacle[] {
  const { count, ratedA, lineContacts, hasNeutral, lines, slipGroup } = group;
  const terminals: Terminal[] = [...lineNames.slice(0, lineContacts), ...(hasNeutral ? (['N'] as const) : []), 'G'];
  const rating = ratingOn({ lines }, { ratedA, terminals }, phasorsOf(system), null);
  if (rating === null) {
    throw new RangeError(
      `${system.name} cannot feed a receptacle with ${lineContacts} line contacts ${hasNeutral ? 'and' : 'without'} neutral. Choose another system or pattern.`,
    );
  }
  // The two-voltage rule is for slips with exactly two receptacles.
  const inPairs = slipGroup !== null && receptacles.filter((other) => other.slipGroup === slipGroup).length === 2;
  return Array.from({ length: count }, (_, i) => ({
    load: rating.load,
    nominalV: rating.nominalV,
    oneOfTwoAt: inPairs ? `${slipGroup} ${i}` : null,
  }));
}

import type { Equipment, Transformer } from '../../inventory/inventory.ts';
import { type LoadVa, noLoad, type Phasors, pairChannel, wholeIndex } from './channels.ts';

/** How load on the secondary appears on the primary. `spread`: the connection or its primary lines are not known. */
export type Passage = Transformer['connection'] | 'spread';

/**
 * The passage of a transformer between two supplies, by what is known of it. A single-phase unit that could hang on
 * several pairs of lines, a bank whose units could, and an unknown connection are all `spread`.
 */
export function passageOf(part: Equipment, secondary: Phasors | null, primaryLines: readonly number[]): Passage {
  const connection = part.transformer?.connection;
  const threeToThree = secondary?.lines.length === 3 && primaryLines.length === 3;
  if (connection === 'centreTapped' && primaryLines.length <= 2) return 'centreTapped';
  if ((connection === 'deltaWye' || connection === 'wyeWye') && threeToThree) return connection;
  return 'spread';
}

/**
 * Secondary load as load on the primary's channels; losses left out, every coefficient positive.
 *
 * - `centreTapped`: the whole on its one pair of primary lines, or on one line to neutral.
 * - `deltaWye`: each secondary phase on one primary pair, L1 on L1-L3, L2 on L2-L1, L3 on L3-L2: the secondary lags by 30
 *   degrees (IEEE C57.12.00 for delta-wye units, vector group Dyn1 of IEC 60076-1), as in the power flow. A secondary
 *   line-to-line load loads the primary's lines 1 : 2 : 1, so it counts with two thirds of its VA on each of its phases:
 *   exact for the primary line they share, 15 % over for the two others.
 * - `wyeWye`: each channel on the same channel.
 * - `spread` (and a high-leg bank: which unit hangs on which lines, and whether its delta is closed, is not in the
 *   data): the whole on every pair of primary lines it could be on.
 */
export function throughTransformer(passage: Passage, primaryLines: readonly number[], load: LoadVa): LoadVa {
  if (passage === 'wyeWye') return load;
  const primary = noLoad();
  const whole = load[wholeIndex] ?? 0;
  primary[wholeIndex] = whole;
  if (passage === 'deltaWye') {
    for (let phase = 0; phase < 3; phase++) {
      const next = pairChannel(phase, (phase + 1) % 3);
      const before = pairChannel((phase + 2) % 3, phase);
      primary[before] = (load[phase] ?? 0) + (2 / 3) * ((load[next] ?? 0) + (load[before] ?? 0));
    }
    return primary;
  }
  const [only] = primaryLines;
  if (primaryLines.length === 1 && only !== undefined) primary[only] = whole;
  for (const a of primaryLines) for (const b of primaryLines) if (a < b) primary[pairChannel(a, b)] = whole;
  return primary;
}

/** One winding, or one half of a tapped winding, with its share of the rating. */
export interface Winding {
  readonly name: string;
  readonly limitKva: number | null;
  /** Load in it, kVA, from the amperes of L1, L2 and L3. */
  readonly loadKva: (lineA: ArrayLike<number>) => number;
}

/**
 * Secondary windings of a transformer. The rating is divided evenly: over two halves when centre-tapped, over three
 * phases when wye. A winding carries its line's amperes at line-to-neutral volts.
 *
 * A high-leg bank's rating is held to be three equal units, the tapped one between L1 and L3 in two halves. The halves
 * are charged with their own line and the high leg in full, as in an open delta; the power units with the high leg in
 * full and a third of the more loaded tapped line, as in a closed one.
 * The larger half and the larger power unit are never less than Kirchhoff's law gives for any of these deltas.
 */
export function windingsOf(part: Equipment, phasors: Phasors): readonly Winding[] {
  if (part.transformer === null) return [];
  const { ratedKva, connection } = part.transformer;
  const share = (divisor: number) => (ratedKva === null ? null : ratedKva / divisor);
  const amperes = (lineA: ArrayLike<number>, line: number) => lineA[line] ?? 0;
  const volts = (channel: number) => phasors.channelV[channel] ?? 0;
  if (connection === 'highLegBank' && phasors.lines.length === 3) {
    const half = (line: number): Winding => ({
      name: `L${line + 1}-N half`,
      limitKva: share(6),
      loadKva: (lineA) => ((amperes(lineA, line) + amperes(lineA, 1)) * volts(line)) / 1000,
    });
    const power = (name: string, channel: number): Winding => ({
      name,
      limitKva: share(3),
      loadKva: (lineA) => {
        const tapped = Math.max(amperes(lineA, 0), amperes(lineA, 2));
        return ((amperes(lineA, 1) + tapped / 3) * volts(channel)) / 1000;
      },
    });
    return [half(0), half(2), power('L1-L2', pairChannel(0, 1)), power('L2-L3', pairChannel(1, 2))];
  }
  return phasors.lines.map((line) => ({
    name: `L${line + 1}-N`,
    limitKva: share(phasors.lines.length),
    loadKva: (lineA) => (amperes(lineA, line) * volts(line)) / 1000,
  }));
}

import type { Boat } from '../../boats.ts';
import { type FitSettings, fitWaste, judgeFit } from '../fit.ts';
import type { LowTide } from '../tide.ts';
import { type Doubt, doubtOf } from './doubt.ts';
import type { BerthFacts } from './reached-outlets.ts';
import type { Said } from './said.ts';

export interface RoomFit extends Said {
  /** Length and width that stay unused; of a boat whose own are unknown the berth's, behind every known room. */
  readonly roomLeftM: number;
}

const behindAnyKnownM = 1_000;

/** Whether a boat fits, judged once for berths of the same measures. */
export function prepareRoomFit(boat: Boat, lowTide: LowTide, settings: FitSettings): (facts: BerthFacts) => RoomFit {
  const figures: ({ readonly doubt: Doubt; readonly roomLeftM: number } | undefined)[] = [];
  return ({ berth, fitClass }) => {
    let known = figures[fitClass];
    if (known === undefined) {
      const { lengthLeftM, beamLeftM } = fitWaste(boat, berth);
      const lengthM = lengthLeftM ?? behindAnyKnownM + (berth.lengthM ?? 0);
      const beamM = beamLeftM ?? behindAnyKnownM + (berth.beamM ?? 0);
      known = { doubt: doubtOf(judgeFit(boat, berth, lowTide, settings)), roomLeftM: lengthM + beamM };
      figures[fitClass] = known;
    }
    const { doubt, roomLeftM } = known;
    return { doubt, roomLeftM, findings: () => judgeFit(boat, berth, lowTide, settings) };
  };
}

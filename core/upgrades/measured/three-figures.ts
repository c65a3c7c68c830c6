/** Load of one part by three ways of knowing it, VA; null: not known that way. */
export interface ThreeFigures {
  /** Ratings of the outlets in use with the demand factor. */
  readonly ratedVa: number;
  /** What the boats say they draw. */
  readonly statedVa: number;
  /** Read by meters, without the 25 % that the method adds. */
  readonly measuredVa: number | null;
  /** Share of the measured peak's intervals in which every meter read. */
  readonly completeShare: number;
  readonly unmeteredOutlets: number;
  /** Whether boats stated any load at all. */
  readonly anyStated: boolean;
}

/** Why three figures for one thing differ, in words; each sentence names the figures. */
export function whyTheyDiffer(label: string, figures: ThreeFigures): string[] {
  const { ratedVa, statedVa, measuredVa } = figures;
  const kva = (va: number) => `${(va / 1000).toFixed(1)} kVA`;
  const why: string[] = [];
  if (!figures.anyStated)
    why.push(
      `No boat on "${label}" has stated a load, so stated (${kva(statedVa)}) counts every rating in full, without a factor.`,
    );
  else if (statedVa > ratedVa)
    why.push(
      `Stated (${kva(statedVa)}) takes no demand factor: it is every boat at once. Rated (${kva(ratedVa)}) is what the practice expects of them together.`,
    );
  else if (statedVa < ratedVa)
    why.push(`Boats state less (${kva(statedVa)}) than the factor leaves of their outlets' ratings (${kva(ratedVa)}).`);
  if (measuredVa === null) {
    why.push(`"${label}" is not measured: neither figure has been tested.`);
    return why;
  }
  const share = ratedVa > 0 ? Math.round((100 * measuredVa) / ratedVa) : null;
  if (figures.unmeteredOutlets > 0)
    why.push(`Measured (${kva(measuredVa)}) leaves out ${figures.unmeteredOutlets} outlets without a meter.`);
  if (figures.completeShare < 0.95)
    why.push(
      `Measured has gaps: ${Math.round(100 * figures.completeShare)} % of its intervals are complete, so the true peak may be larger.`,
    );
  if (share !== null && measuredVa > ratedVa)
    why.push(
      `Measured (${kva(measuredVa)}) is ${share} % of rated (${kva(ratedVa)}): the practice's factor is too low here. Count with the meters.`,
    );
  else if (share !== null)
    why.push(
      `Measured (${kva(measuredVa)}) is ${share} % of rated (${kva(ratedVa)}): boats draw less than the factor expects, in this period and its weather.`,
    );
  return why;
}

import { type Phasors, pairChannel } from './channels.ts';

// ANSI C84.1 and IEC 60038, from memory: sums of ratings are quoted at these, not at 207.85 or 398.4 V.
const nominalVoltages = [120, 127, 208, 220, 230, 240, 277, 347, 380, 400, 415, 480, 600, 690];

/** The standard nominal voltage within 1 % of the computed one, or the computed one itself. */
export function nominalVolts(volts: number): number {
  const nearest = nominalVoltages.reduce((best, v) => (Math.abs(v - volts) < Math.abs(best - volts) ? v : best));
  return Math.abs(nearest - volts) <= 0.01 * nearest ? nearest : volts;
}

/**
 * Volts that turn a whole load into amperes a line when it is spread evenly: 120, 240, sqrt(3) x 208 V. For people who
 * know the sum but not the lines.
 */
export function balancedVolts({ lines, channelV }: Phasors): number {
  const [a = 0, b = 0] = lines;
  if (lines.length === 1) return nominalVolts(channelV[a] ?? 0);
  const lineToLineV = nominalVolts(channelV[pairChannel(a, b)] ?? 0);
  return lines.length === 2 ? lineToLineV : Math.sqrt(3) * lineToLineV;
}

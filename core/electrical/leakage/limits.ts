import type { Source } from '../../standards/source.ts';

/** A boat that leaks more is not connected. */
export const boatLimitMa = 30;
export const boatLimitSource: Source = {
  title: '30 mA for one boat, as an ELCI aboard is set (ELCI: 30 mA, 100 ms)',
  fromMemory: false,
};

/** A sensitive device may trip from this share of its setting. */
export const tripShare = 0.5;
export const tripShareSource: Source = {
  title: 'residual-current devices may trip from half their setting',
  fromMemory: true,
};

/** What an unread boat counts as when outlets are ranked: the upper end of a typical boat (5 to 20 mA, seen). */
export const unreadBoatMa = 20;

/** Readings this far apart are not taken together. No published figure was found: this is judgement. */
export const togetherMs = 15 * 60_000;

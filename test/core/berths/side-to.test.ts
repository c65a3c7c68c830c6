import { expect, test } from 'vitest';
import { boatSideOf } from '../../../core/berths/side-to.ts';

// Port is to the left of one who faces the bow (common practice). Bow in, one faces the inner end; stern in, the water.
test.each([
  ['right', 'bowIn', 'starboard'],
  ['left', 'bowIn', 'port'],
  ['right', 'sternIn', 'port'],
  ['left', 'sternIn', 'starboard'],
] as const)('a pier to the %s of a berth lies, %s, on the boat side %s', (on, orientation, side) => {
  expect(boatSideOf(on, orientation)).toBe(side);
});

import type { FindingLevel } from '../../findings.ts';

/**
 * Questions about the boat as a whole. They are asked wherever it takes power, so that the answer tells no outlet and no
 * berth from another; what is still open besides them does.
 */
const rules: ReadonlySet<string> = new Set([
  'hookup.bondAboard',
  'hookup.frequencyUnknown',
  'hookup.ownSupplyUnknown',
  'hookup.wantsPowerUnknown',
]);

export function asksWholeBoat({ rule, level }: { readonly rule: string; readonly level: FindingLevel }): boolean {
  return level === 'confirm' && rules.has(rule);
}

import type { BerthOption } from '../../core/berths/options/options.ts';
import type { HookUp, PowerSource } from '../../core/electrical/hook-up/hook-up.ts';
import type { Finding } from '../../core/findings.ts';
import type { InventoryIndex } from '../../core/inventory/index-inventory.ts';
import { adapterKind } from '../../core/standards/adapter-kinds.ts';
import { configuration } from '../../core/standards/configurations.ts';

const feetPerMetre = 1 / 0.3048;

export function metresAndFeet(lengthM: number): string {
  return `${lengthM.toFixed(1)} m (${Math.round(lengthM * feetPerMetre)} ft)`;
}

/** Where and which way round, one text a line. */
export function berthWords(index: InventoryIndex, option: BerthOption): string[] {
  const { label, orientation, place } = option;
  const berth = index.berths.get(option.berthId);
  if (place !== null) {
    const end = orientation === 'bowIn' ? place.untilM : place.fromM;
    return [
      label,
      `metres ${place.fromM.toFixed(1)} to ${place.untilM.toFixed(1)}`,
      `alongside, bow to ${end.toFixed(1)}`,
    ];
  }
  const way = orientation === 'bowIn' ? 'bow in' : 'stern in';
  const together = (berth?.unitIds.length ?? 1) > 1 ? ['both slips'] : [];
  return [label, ...together, berth?.mooring === 'rafted' ? `rafted, ${way}` : way];
}

/** From the outlet to the inlet, one text for each inlet. */
export function hookUpWords(index: InventoryIndex, option: BerthOption): string[] {
  const { hookUp } = option;
  if (hookUp === null) {
    if (option.outletIds.length === 0) return ['not judged'];
    return [`not known yet; ${option.outletIds.map((id) => outletWords(index, id)).join(' and ')} kept`];
  }
  if (hookUp.hookUp.joints.length === 0) return ['no power wanted'];
  return hookUp.hookUp.joints.flatMap(({ from, to }) =>
    to.kind === 'inlet'
      ? [`${sourceWords(index, hookUp.hookUp, from)} > cord > inlet ${to.inletId} (${to.configurationId})`]
      : [],
  );
}

function sourceWords(index: InventoryIndex, hookUp: HookUp, source: PowerSource): string {
  if (source.kind === 'outlet') return outletWords(index, source.outletId);
  const sources = hookUp.joints.flatMap(({ from, to }) =>
    to.kind === 'plug' && to.adapter === source.adapter ? [sourceWords(index, hookUp, from)] : [],
  );
  return `${sources.join(' + ')} > adapter ${source.adapter}`;
}

function outletWords(index: InventoryIndex, outletId: string): string {
  const outlet = index.outlets.get(outletId);
  if (outlet === undefined) return outletId;
  const pedestal = index.pedestals.get(outlet.pedestalId);
  const pattern = configuration(outlet.configurationId);
  const rating = pattern === null ? outlet.configurationId : `${pattern.ratedA} A ${pattern.labelV} V`;
  return `outlet ${pedestal?.label ?? ''}-${outlet.label} (${rating})`;
}

const owners = { aboard: "boat's own", stock: 'borrow from the dock', toBring: 'bring' } as const;

/** Adapters by the name that the hook-up gives them, and whose they are. */
export function adapterWords(index: InventoryIndex, { hookUp }: BerthOption): string[] {
  const adapters = hookUp?.hookUp.adapters ?? [];
  if (adapters.length === 0) return ['none'];
  return adapters.map(({ ref, kindId, from }) => {
    const kind = index.inventory.adapterKinds.find(({ id }) => id === kindId) ?? adapterKind(kindId);
    return `${ref} ${owners[from]}: ${kind?.name ?? kindId}`;
  });
}

export function cordWords({ cords, hookUp }: BerthOption): string[] {
  if (cords.length === 0) return hookUp !== null && hookUp.hookUp.joints.length === 0 ? ['none'] : ['not known yet'];
  return cords.map(({ inletId, lengthM }) => {
    const length = lengthM === null ? 'no usual cord' : metresAndFeet(lengthM);
    return cords.length === 1 ? length : `${inletId}: ${length}`;
  });
}

/** The tightest limit above the outlets, with what is left of it. */
export function tightestWords({ tightest, outletIds }: BerthOption): string[] {
  if (tightest === null) return [outletIds.length === 0 ? 'none' : 'not assessed'];
  const { label, limitKind, winding, actual, limit, unit, marginShare } = tightest;
  const kind = winding === null ? limitKind : `winding ${winding}`;
  const amount = `${actual.toFixed(0)} of ${limit.toFixed(0)} ${unit}`;
  return [`${label}, ${kind}`, amount, `margin ${(marginShare * 100).toFixed(1)} %`];
}

/** The open questions, each once, the first few in full. */
export function questionWords(findings: readonly Finding[], most = 3): string[] {
  const questions = [
    ...new Set(
      findings.flatMap(({ level, missingFact }) => (level === 'confirm' ? (missingFact?.question ?? []) : [])),
    ),
  ];
  const refusals = [...new Set(findings.flatMap(({ level, message }) => (level === 'refuse' ? [message] : [])))];
  const refused = refusals.slice(0, most).map((message) => `- REFUSED: ${message}`);
  if (questions.length === 0) return refused.length === 0 ? ['nothing'] : refused;
  const more = questions.length - most;
  return [
    ...refused,
    ...questions.slice(0, most).map((text) => `- ${text}`),
    ...(more > 0 ? [`- and ${more} more`] : []),
  ];
}

import type { Appliance } from '../../boats.ts';
import type { Finding } from '../../findings.ts';
import { configuration } from '../../standards/configurations.ts';
import type { HookUpBoat, InletLeg, InletSupply } from './hook-up.ts';

/** What the boat can run at once and what must stay off, in words; nothing where amperes or volts are unknown. */
export function whatRuns(
  boat: HookUpBoat,
  inlets: readonly InletSupply[],
  availableVa: number | null,
  findings: readonly Finding[],
): Finding[] {
  if (availableVa === null || inlets.length === 0) return [];
  const each = inlets.flatMap(({ inletId, legs }) => legs.flatMap((leg) => legWords(inletId, leg)));
  const off = [...new Set(staysOff(boat, inlets, availableVa, findings))];
  const offWords = off.length === 0 ? '' : ` Stays off: ${off.join('; ')}.`;
  return [
    {
      rule: 'hookup.whatRuns',
      level: 'note',
      subject: { kind: 'boat', id: boat.id, label: boat.name },
      actual: availableVa,
      limit: null,
      unit: 'VA',
      source: 'the least of breakers, conductors, cord set and inlet on each way, at nominal volts',
      message: `${boat.name} can run ${kva(availableVa)} at once${each.length === 0 ? '' : `: ${each.join(', ')}`}.${offWords}`,
    },
  ];
}

function legWords(inletId: string, { terminal, availableA, lineToNeutralV }: InletLeg): string[] {
  if (availableA === null || lineToNeutralV === null) return [];
  return [`${inletId} ${terminal} ${availableA} A (${kva(availableA * lineToNeutralV)})`];
}

function staysOff(
  { appliances }: HookUpBoat,
  inlets: readonly InletSupply[],
  availableVa: number,
  findings: readonly Finding[],
): string[] {
  const words: string[] = [];
  for (const { inletId, configurationId, legs, lineToLineV } of inlets) {
    const dead = legs.filter(({ outletId }) => outletId === null).map(({ terminal }) => terminal);
    if (dead.length > 0) words.push(`what hangs on ${dead.join(' and ')} of inlet ${inletId}`);
    const wantedV = configuration(configurationId)?.lineToLineV ?? null;
    if (wantedV !== null && (dead.length > 0 || lineToLineV === 0))
      words.push(`what needs ${wantedV} V behind inlet ${inletId}`);
    else if (wantedV !== null && lineToLineV !== null && lineToLineV < 0.9 * wantedV)
      words.push(`what is not marked for ${lineToLineV} V behind inlet ${inletId}`);
  }
  for (const { rule, subject } of findings)
    if (rule === 'hookup.inletUnfed') words.push(`everything behind inlet ${subject.label}`);
  const stated = appliances?.value ?? [];
  for (const appliance of stated)
    if (appliance.loadVa > mostVa(appliance, inlets, availableVa))
      words.push(`${appliance.name} (${kva(appliance.loadVa)})`);
  const sumVa = stated.reduce((sum, { loadVa }) => sum + loadVa, 0);
  if (sumVa > availableVa) words.push(`${kva(sumVa - availableVa)} of the ${kva(sumVa)} that is aboard`);
  return words;
}

/** What one appliance may draw where it hangs, VA. */
function mostVa({ inletId, legs }: Appliance, inlets: readonly InletSupply[], availableVa: number): number {
  const inlet = inlets.find((each) => each.inletId === inletId);
  if (inlet === undefined) return inletId === null ? availableVa : 0;
  if (legs === null) return inlet.availableVa ?? availableVa;
  const names = legs.split('-');
  const amperes = inlet.legs.flatMap((leg) =>
    names.includes(leg.terminal) && leg.availableA !== null ? [leg.availableA] : [],
  );
  if (amperes.length < names.length) return 0;
  const lineToNeutralV = inlet.legs.find(({ terminal }) => terminal === legs)?.lineToNeutralV ?? 0;
  const voltageV = names.length === 1 ? lineToNeutralV : (inlet.lineToLineV ?? 0);
  return Math.min(...amperes) * voltageV * (names.length === 3 ? Math.sqrt(3) : 1);
}

function kva(va: number): string {
  return `${Math.round(va / 100) / 10} kVA`;
}

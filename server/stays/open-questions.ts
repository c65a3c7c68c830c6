import type { Boat, Inlet } from '../../core/boats.ts';
import type { MaybeFact } from '../../core/facts.ts';
import type { MissingFact } from '../../core/findings.ts';

/**
 * What a boater can answer on the phone and has not yet, most telling first. An assumption is no answer. Berths have
 * questions of their own; the options of the stay ask them.
 */
export function openQuestions(boat: Boat): MissingFact[] {
  const subject = { kind: 'boat', id: boat.id, label: boat.name } as const;
  const ask = (isOpen: boolean, fact: string, question: string): MissingFact[] =>
    isOpen ? [{ subject, fact, question }] : [];
  const takesPower = isUnknown(boat.wantsPower) || boat.wantsPower?.value === true;
  return [
    ...ask(
      isUnknown(boat.lengthOverallM),
      'lengthOverallM',
      'How long is the boat over all, with pulpit, platform and dinghy?',
    ),
    ...ask(isUnknown(boat.beamM), 'beamM', 'How wide is the boat at its widest?'),
    ...ask(isUnknown(boat.hull), 'hull', 'Is the boat a monohull or a multihull?'),
    ...ask(isUnknown(boat.draftM), 'draftM', 'How deep is the boat in the water?'),
    ...ask(isUnknown(boat.wantsPower), 'wantsPower', 'Do you want shore power?'),
    ...(takesPower
      ? [
          ...ask(boat.inlets.length === 0, 'inlets', 'What plug does the boat have: 30 A, 50 A, several, other?'),
          ...boat.inlets.flatMap((inlet, i) => inletQuestions(inlet, i, ask)),
          ...ask(isUnknown(boat.frequenciesHz), 'frequenciesHz', 'For 50 Hz, 60 Hz or both is the equipment built?'),
          ...ask(isUnknown(boat.airConditioning), 'airConditioning', 'Does the boat run air conditioning?'),
          ...ask(
            isUnknown(boat.cordSets),
            'cordSets',
            'Which shore-power cords are aboard, how long, and of how many amperes?',
          ),
          ...ask(
            isUnknown(boat.ownSupplies ?? null),
            'ownSupplies',
            'Is there a generator or an inverter aboard, and does a transfer switch part it from shore power?',
          ),
        ]
      : []),
  ];
}

function inletQuestions(
  inlet: Inlet,
  position: number,
  ask: (isOpen: boolean, fact: string, question: string) => MissingFact[],
): MissingFact[] {
  if (inlet.duty?.value === 'notPower') return [];
  const at = `inlets.${position}`;
  const said = isUnknown(inlet.configurationIds) ? [] : (inlet.configurationIds?.value ?? []);
  return [
    ...ask(said.length !== 1, `${at}.configurationIds`, whichPlug(inlet.id, said)),
    ...ask(isUnknown(inlet.fromBowM), `${at}.fromBowM`, `How far behind the bow is inlet ${inlet.id}?`),
    ...ask(isUnknown(inlet.side), `${at}.side`, `Is inlet ${inlet.id} to port, to starboard or in the middle?`),
  ];
}

function whichPlug(inletId: string, said: readonly string[]): string {
  if (said.length === 0) return `What plug does inlet ${inletId} take: 30 A, 50 A, other?`;
  return said.includes('SS1-50') && said.includes('SS2-50')
    ? `Is the 50 A plug of inlet ${inletId} 125 V (three wires) or 125/250 V (four wires)?`
    : `Which plug does inlet ${inletId} take: ${said.join(' or ')}?`;
}

function isUnknown(fact: MaybeFact<unknown>): boolean {
  return fact === null || fact.origin === 'default';
}

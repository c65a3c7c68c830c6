import type { CordSet, Inlet } from '../../boats.ts';
import type { Finding, Subject } from '../../findings.ts';
import type { HookUp, HookUpBoat, HookUpContext } from './hook-up.ts';

const common = 'common practice';

/** Inlets that are for power, or may be. */
export function powerInlets(boat: HookUpBoat): readonly Inlet[] {
  return boat.inlets.filter((inlet) => inlet.duty?.value !== 'notPower');
}

/** Cord sets aboard that fit an inlet's configuration; null where nobody has said which are aboard. */
export function cordSetsFor(boat: HookUpBoat, configurationId: string): readonly CordSet[] | null {
  if (boat.cordSets === null) return null;
  return boat.cordSets.value.filter((cord) => cord.configurationId === configurationId);
}

/** How many cord sets of each configuration are aboard; empty where nobody has said. */
export function cordCounts({ cordSets }: HookUpBoat): { readonly configurationId: string; readonly count: number }[] {
  const counts = new Map<string, number>();
  for (const { configurationId } of cordSets?.value ?? []) {
    counts.set(configurationId, (counts.get(configurationId) ?? 0) + 1);
  }
  return [...counts].map(([configurationId, count]) => ({ configurationId, count }));
}

/** What is known of the inlet that the hook-up feeds, and of the cord before it. */
export function judgeInlet(inlet: Inlet, configurationId: string, context: HookUpContext): Finding[] {
  const position = context.boat.inlets.indexOf(inlet);
  const subject: Subject = { kind: 'inlet', id: inlet.id, label: inlet.id };
  return [
    ...plug(inlet, configurationId, subject, position),
    ...duty(inlet, subject, position, powerInlets(context.boat).length),
    ...cord(configurationId, subject, context.boat),
  ];
}

function plug(inlet: Inlet, configurationId: string, subject: Subject, position: number): Finding[] {
  const said = inlet.configurationIds?.value ?? null;
  const base = { subject, actual: said?.join(' or ') ?? null, limit: configurationId, unit: null };
  if (said === null || (said.length > 1 && said.includes(configurationId))) {
    const between = said === null ? `Is the plug of inlet ${inlet.id} a ${configurationId}?` : questionBetween(said);
    return [
      {
        rule: 'hookup.inletConfiguration',
        level: 'confirm',
        ...base,
        source: `${common}: "50 A" may be 125 V (one line) or 125/250 V (two lines), and they never mate`,
        message: `Inlet ${inlet.id} may be ${said?.join(' or ') ?? 'anything'}; this hook-up is for ${configurationId}. Ask which it is.`,
        missingFact: { subject, fact: `inlets.${position}.configurationIds`, question: between },
      },
    ];
  }
  if (said.includes(configurationId)) return [];
  return [
    {
      rule: 'hookup.inletConfiguration',
      level: 'refuse',
      ...base,
      source: 'NEMA WD 6, UL 1682, IEC 60309-2: different configurations do not mate',
      message: `Inlet ${inlet.id} is ${said.join(' or ') || 'of no known pattern'}; this hook-up is for ${configurationId}. They do not mate.`,
      mend: `an outlet or adapter for ${said.join(' or ') || 'the pattern of the inlet'}`,
    },
  ];
}

function questionBetween(said: readonly string[]): string {
  return said.includes('SS1-50') && said.includes('SS2-50')
    ? 'Is the 50 A plug 125 V (three wires) or 125/250 V (four wires)?'
    : `Which plug is it: ${said.join(' or ')}?`;
}

function duty(inlet: Inlet, subject: Subject, position: number, inletCount: number): Finding[] {
  const base = {
    subject,
    limit: null,
    unit: null,
    source: `${common}: some covers in a boat's side are no power inlet`,
  };
  if (inlet.duty?.value === 'notPower')
    return [
      {
        rule: 'hookup.notPowerInlet',
        level: 'refuse',
        ...base,
        actual: 'notPower',
        message: `Inlet ${inlet.id} is no power inlet. Connect nothing to it.`,
        mend: 'another inlet of the boat',
      },
    ];
  // A caller who names the plug of a boat's only inlet has said that it is for power.
  if (inlet.duty !== null || inletCount < 2) return [];
  return [
    {
      rule: 'hookup.inletDuty',
      level: 'confirm',
      ...base,
      actual: null,
      message: `Nobody has stated what inlet ${inlet.id} feeds. Ask before feeding it.`,
      missingFact: {
        subject,
        fact: `inlets.${position}.duty`,
        question: `What does inlet ${inlet.id} feed: everything, air conditioning, a charger, or is it no power inlet?`,
      },
    },
  ];
}

function cord(configurationId: string, subject: Subject, boat: HookUpBoat): Finding[] {
  const cords = cordSetsFor(boat, configurationId);
  const base = {
    subject,
    limit: configurationId,
    unit: null,
    source: `${common}: a cord set has its inlet's configuration`,
  };
  if (cords === null)
    return [
      {
        rule: 'hookup.cordUnknown',
        level: 'confirm',
        ...base,
        actual: null,
        message: `Nobody has stated which cord sets are aboard; inlet ${subject.label} needs one of ${configurationId}. Ask.`,
        missingFact: {
          subject: { kind: 'boat', id: boat.id, label: boat.name },
          fact: 'cordSets',
          question: 'Which shore-power cords are aboard, how long, and of how many amperes?',
        },
      },
    ];
  if (cords.length > 0) return [];
  return [
    {
      rule: 'hookup.cordMissing',
      level: 'refuse',
      ...base,
      actual: boat.cordSets?.value.map((each) => each.configurationId).join(', ') || 'none',
      message: `No cord set of ${configurationId} is aboard for inlet ${subject.label}. Bring one.`,
      mend: `a cord set of ${configurationId}`,
    },
  ];
}

/** One cord set serves one inlet: those fed beyond the cords that fit them. None aboard is each inlet's own word. */
export function cordsShort({ joints }: HookUp, boat: HookUpBoat): Finding[] {
  const fedOf = new Map<string, string[]>();
  for (const { to } of joints) {
    if (to.kind !== 'inlet') continue;
    const fed = fedOf.get(to.configurationId) ?? [];
    if (!fed.includes(to.inletId)) fedOf.set(to.configurationId, [...fed, to.inletId]);
  }
  return [...fedOf].flatMap(([configurationId, fed]): Finding[] => {
    const aboard = cordSetsFor(boat, configurationId)?.length ?? fed.length;
    if (aboard === 0) return [];
    return fed.slice(aboard).map((inletId) => ({
      rule: 'hookup.cordMissing',
      level: 'refuse',
      subject: { kind: 'inlet', id: inletId, label: inletId },
      actual: aboard,
      limit: fed.length,
      unit: null,
      source: `${common}: each inlet takes a cord set of its own`,
      message: `${fed.length} inlets take ${configurationId} and ${aboard} cord set${aboard === 1 ? '' : 's'} of it ${aboard === 1 ? 'is' : 'are'} aboard: none is left for inlet ${inletId}. Bring one, or leave that inlet without power.`,
      mend: `a cord set of ${configurationId} more`,
    }));
  });
}

/** Power inlets that the hook-up leaves without supply: whether the boat can do without is for its people to say. */
export function unfedInlets(hookUp: HookUp, boat: HookUpBoat): Finding[] {
  const fed = new Set(hookUp.joints.flatMap(({ to }) => (to.kind === 'inlet' ? [to.inletId] : [])));
  return powerInlets(boat)
    .filter((inlet) => !fed.has(inlet.id))
    .map((inlet): Finding => {
      const subject: Subject = { kind: 'inlet', id: inlet.id, label: inlet.id };
      return {
        rule: 'hookup.inletUnfed',
        level: 'confirm',
        subject,
        actual: 'not fed',
        limit: inlet.duty?.value ?? null,
        unit: null,
        source: `${common}: several inlets may have different duties`,
        message: `Inlet ${inlet.id} (${inlet.duty?.value ?? 'duty unknown'}) stays without power in this hook-up. Ask whether the boat can do without.`,
        missingFact: {
          subject,
          fact: `inlets.${boat.inlets.indexOf(inlet)}.duty`,
          question: `Can the boat do without inlet ${inlet.id} (${inlet.duty?.value ?? 'duty unknown'})?`,
        },
      };
    });
}

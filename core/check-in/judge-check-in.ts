import { toldBoat } from '../berths/options/told-boat.ts';
import { findHookUps } from '../electrical/hook-up/find-hook-ups.ts';
import type { JudgedHookUp } from '../electrical/hook-up/hook-up.ts';
import type { SupplyOutlet } from '../electrical/hook-up/supply-outlet.ts';
import { type Finding, gravestFirst, type Subject, verdictOf } from '../findings.ts';
import { boatAsFound, outletsAsFound } from './as-found.ts';
import type { CheckInEntry, CheckInFacts, CheckInOutcome, JudgedCheckIn } from './check-in.ts';
import { judgeFittings } from './fitting-points.ts';
import { judgeReadings } from './judge-readings.ts';
import { liveReadings } from './readings.ts';

/**
 * Judges a check-in with what is really there: the connection anew, the fittings, the readings. Runs on the phone and at
 * the desk alike. Where facts have expired, or an outlet is used whose load nobody has judged, the outcome is `callDesk`.
 */
export function judgeCheckIn(facts: CheckInFacts, entry: CheckInEntry): JudgedCheckIn {
  const subject: Subject = { kind: 'boat', id: facts.boat.id, label: facts.boat.name };
  const used = outletsAsFound(facts.outlets, entry.outlets).filter(({ id }) => entry.outletIds.includes(id));
  const boat = boatAsFound(facts.boat, entry.boat, entry.at);
  const call = beyondThePhone(facts, entry, subject);
  const isWithoutPower = boat.wantsPower?.value === false || (used.length === 0 && entry.heldBecause !== null);
  const connection = connectionOf(facts, entry, boat, used);
  const ofDock = isWithoutPower
    ? []
    : [
        ...judgeFittings(subject, entry.adapters.length > 0, entry.fittings),
        ...judgeReadings({ boat: subject, outlets: used, readings: entry.readings, mandatory: facts.mandatory }),
      ];
  const findings = gravestFirst([
    ...call,
    ...held(entry, subject),
    ...facts.deskFindings,
    ...outletDiffers(facts.outlets, entry),
    ...(connection.hookUp?.findings ?? connection.findings),
    ...ofDock,
  ]);
  const verdict = verdictOf(findings);
  const outcome = outcomeOf(findings, call.length > 0, isWithoutPower);
  return {
    outcome,
    mayEnergise: !isWithoutPower && call.length === 0 && used.length > 0 && isClearButForLive(findings),
    verdict,
    hookUp: connection.hookUp,
    findings,
    conditions: findings.filter(({ level }) => level === 'caution').map(({ message }) => message),
    mends: [...new Set(findings.flatMap(({ mend }) => (mend === undefined ? [] : [mend])))],
  };
}

function outcomeOf(findings: readonly Finding[], mustCall: boolean, isWithoutPower: boolean): CheckInOutcome {
  if (mustCall) return 'callDesk';
  const verdict = verdictOf(findings);
  if (verdict === 'refused') return 'refused';
  if (isWithoutPower || verdict === 'unconfirmed') return 'heldWithoutPower';
  return verdict === 'cautioned' ? 'poweredWithConditions' : 'powered';
}

/** What is measured with the boat on is open until then; nothing else may be. */
function isClearButForLive(findings: readonly Finding[]): boolean {
  return findings.every(({ level, missingFact }) => {
    if (level === 'refuse') return false;
    return level !== 'confirm' || isLive(missingFact?.fact ?? '');
  });
}

function isLive(fact: string): boolean {
  const [area, name] = fact.split('.');
  return area === 'readings' && [...liveReadings].some((live) => live === name);
}

/** The best way to join just these outlets, pieces and inlets. */
function connectionOf(
  facts: CheckInFacts,
  { adapters }: CheckInEntry,
  boat: CheckInFacts['boat'],
  outlets: readonly SupplyOutlet[],
): { hookUp: JudgedHookUp | null; findings: readonly Finding[] } {
  const { adapterKinds, refuseCordBelowBreaker } = facts;
  const at = adapters.map((adapter) => ({ ...adapter, quantity: 1 }));
  // What nobody told or saw is an assumption, and confirms nothing.
  const found = findHookUps({
    boat: toldBoat(boat),
    outlets,
    adapters: at,
    adapterKinds,
    refuseCordBelowBreaker,
    most: 1,
  });
  return { hookUp: found.hookUps[0] ?? null, findings: found.findings };
}

function beyondThePhone(facts: CheckInFacts, { at, outletIds }: CheckInEntry, boat: Subject): Finding[] {
  const findings: Finding[] = [];
  if (at >= facts.holdsUntil)
    findings.push({
      rule: 'checkin.factsExpired',
      level: 'confirm',
      subject: boat,
      actual: new Date(at).toISOString(),
      limit: new Date(facts.holdsUntil).toISOString(),
      unit: null,
      source: 'the shift as it was loaded',
      message: 'What this phone knows has expired. Do not energise; call the desk, or load the shift again.',
      missingFact: { subject: boat, fact: 'shift', question: 'What does the desk say of this boat now?' },
    });
  const labels = new Map(facts.outlets.map(({ id, label }) => [id, label]));
  for (const id of outletIds) {
    if (facts.keptOutletIds.includes(id)) continue;
    const subject: Subject = { kind: 'outlet', id, label: labels.get(id) ?? id };
    findings.push({
      rule: 'checkin.outletNotKept',
      level: 'confirm',
      subject,
      actual: subject.label,
      limit: facts.keptOutletIds.map((kept) => labels.get(kept) ?? kept).join(', ') || 'none',
      unit: null,
      source: 'the shift as it was loaded',
      message: `Outlet ${subject.label} is not kept for this boat: who else has it, and what its feeder carries, is not known here. Do not energise; call the desk.`,
      missingFact: {
        subject,
        fact: 'use',
        question: `Is outlet ${subject.label} free, and can its feeder carry the boat?`,
      },
    });
  }
  return findings;
}

function held({ heldBecause }: CheckInEntry, subject: Subject): Finding[] {
  if (heldBecause === null) return [];
  return [
    {
      rule: 'checkin.held',
      level: 'confirm',
      subject,
      actual: heldBecause,
      limit: null,
      unit: null,
      source: 'the person at the dock',
      message: `Held without power: ${heldBecause}.`,
      missingFact: { subject, fact: 'held', question: `Is it mended: ${heldBecause}?` },
    },
  ];
}

/** Where the outlet is not as the inventory says: what was seen is judged, and the desk must correct its drawing. */
function outletDiffers(outlets: readonly SupplyOutlet[], { outlets: found }: CheckInEntry): Finding[] {
  return found.flatMap(({ outletId, lines, breakerA, groundFault }): Finding[] => {
    const outlet = outlets.find(({ id }) => id === outletId);
    if (outlet === undefined) return [];
    const differences: [what: string, seen: string, entered: string | null][] = [
      ['lines', lines?.join(', ') ?? '', outlet.lines?.join(', ') ?? null],
      ['breaker', breakerA === null ? '' : `${breakerA} A`, outlet.breakerA === null ? null : `${outlet.breakerA} A`],
      [
        'ground-fault device',
        groundFault === null ? '' : wordsOf(groundFault),
        outlet.groundFault.device === 'unknown' ? null : wordsOf(outlet.groundFault),
      ],
    ];
    return differences.flatMap(([what, seen, entered]) => {
      if (seen === '' || entered === null || seen === entered) return [];
      const subject: Subject = { kind: 'outlet', id: outletId, label: outlet.label };
      return [
        {
          rule: 'checkin.outletDiffers' as const,
          level: 'caution' as const,
          subject,
          actual: seen,
          limit: entered,
          unit: null,
          source: "the marina's inventory",
          message: `Outlet ${outlet.label}: ${what} seen is ${seen}, entered is ${entered}. Judged as seen; the desk corrects the inventory.`,
        },
      ];
    });
  });
}

function wordsOf({ device, settingMa }: Pick<SupplyOutlet['groundFault'], 'device' | 'settingMa'>): string {
  return device === 'fitted' ? `fitted, ${settingMa ?? 'unknown'} mA` : device;
}

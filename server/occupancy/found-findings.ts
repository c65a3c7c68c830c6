import { exceeds, type MetreRange, metres } from '../../core/berths/metres.ts';
import type { UnitPart } from '../../core/berths/space-uses.ts';
import { toldValue } from '../../core/berths/told-value.ts';
import type { Finding, Subject } from '../../core/findings.ts';
import type { Berth } from '../../core/inventory/inventory.ts';
import type { Period } from '../../core/periods.ts';
import { boatOf } from '../boats/stored-boat.ts';
import type { Tx } from '../db/client.ts';
import { localTime } from '../local-time.ts';
import type { Displaced } from './displace.ts';
import type { FoundBoat } from './found-stay.ts';

/** A holder's, a group's or a closing's row that a found boat stands on. */
export interface StandsOn {
  readonly kind: 'holding' | 'outOfService' | 'group';
  readonly id: string;
  /** Holder, group or reason. */
  readonly label: string;
  /** The holder's own boat. */
  readonly boatId: string | null;
}

const statement = `SELECT DISTINCT CASE WHEN h.id IS NOT NULL THEN 'holding' WHEN g.id IS NOT NULL THEN 'group'
      ELSE 'outOfService' END AS kind,
    coalesce(h.id, g.id, o.id) AS id, coalesce(h.holder_name, g.name, o.reason) AS label, h.boat_id AS "boatId"
  FROM (
    SELECT u.holding_id, u.out_of_service_id, u.group_id
    FROM jsonb_to_recordset($2::jsonb) AS r("unitId" text, "fromM" float8, "untilM" float8)
    JOIN space_use u ON u.marina_id = $1 AND u.unit_id = r."unitId" AND u.from_m < r."untilM" AND r."fromM" < u.until_m
      AND tstzrange(u.from_at, u.until_at, '[)') && tstzrange($4::timestamptz, $5::timestamptz, '[)')
    UNION ALL
    SELECT u.holding_id, u.out_of_service_id, NULL FROM outlet_use u
    WHERE u.marina_id = $1 AND u.outlet_id = ANY($3::text[])
      AND tstzrange(u.from_at, u.until_at, '[)') && tstzrange($4::timestamptz, $5::timestamptz, '[)')
  ) u
  LEFT JOIN holding h ON h.marina_id = $1 AND h.id = u.holding_id
  LEFT JOIN out_of_service o ON o.marina_id = $1 AND o.id = u.out_of_service_id
  LEFT JOIN stay_group g ON g.marina_id = $1 AND g.id = u.group_id
  WHERE coalesce(h.id, g.id, o.id) IS NOT NULL ORDER BY kind, id`;

/** Holders, groups and closings that have any of this space or these outlets in the period. */
export function findStoodOn(
  tx: Tx,
  marinaId: string,
  parts: readonly UnitPart[],
  outletIds: readonly string[],
  { from, until }: Period,
): Promise<StandsOn[]> {
  const period = [new Date(from).toISOString(), new Date(until).toISOString()];
  return tx.$queryRawUnsafe<StandsOn[]>(statement, marinaId, JSON.stringify(parts), outletIds, ...period);
}

interface FoundFacts {
  /** How it fits the berth by what is known of both. */
  readonly fit: readonly Finding[];
  readonly boat: FoundBoat;
  readonly berth: Berth;
  /** Metres of a face kept for it; null: no face. */
  readonly range: MetreRange | null;
  readonly at: number;
  readonly timeZone: string;
  /** Outlets that it is plugged into; null: nobody has looked. */
  readonly outletIds: readonly string[] | null;
  /** Labels of the outlets that load their feeder for it, looked at or assumed. */
  readonly plugged: readonly string[];
  readonly standsOn: readonly StandsOn[];
  readonly displaced: readonly Displaced[];
}

/** What is to be said of a boat that lies where nobody put it: on whose place, and what nobody has judged. */
export function foundFindings(facts: FoundFacts): Finding[] {
  const { boat, berth, range, at, timeZone, outletIds, plugged, standsOn, displaced, fit } = facts;
  const subject: Subject = { kind: 'boat', id: boat.id, label: boat.name };
  const place = `"${boat.name}" was found on berth ${berth.label} ${localTime(at, timeZone)}`;
  const findings = [
    found('note', { kind: 'berth', id: berth.id, label: berth.label }, `${place}; it is entered where it lies.`),
  ];
  for (const { kind, id, label, boatId } of standsOn) {
    if (kind === 'outOfService') {
      const message = `${place}, which is out of service (${label}). Move it if it must not lie there.`;
      findings.push(found('caution', { kind, id, label }, message));
    } else if (kind === 'group') {
      const message = `${place}, which is kept for the group "${label}". The group has it again when it leaves.`;
      findings.push(found('note', { kind, id, label }, message));
    } else if (boatId !== boat.id) {
      const message = `${place}, which ${label} holds. The place is the holder's again when it leaves.`;
      findings.push(found('note', { kind, id, label }, message));
    }
  }
  for (const { stayId, boatName, lost } of displaced) {
    const what = lost === 'space' ? 'its berth' : 'an outlet of its hook-up';
    const message = `${place}: "${boatName}" loses ${what} and needs another.`;
    findings.push(found('note', { kind: 'stay', id: stayId, label: boatName }, message));
  }
  const tooBig = fit.filter(({ level }) => level === 'refuse');
  // It lies there, whatever the berth's measures say: that cannot be refused any more.
  for (const finding of tooBig)
    findings.push({
      ...finding,
      level: 'caution',
      message: `${finding.message} It lies there all the same: look at it.`,
    });
  if (tooBig.length === 0) {
    findings.push({
      ...found('caution', subject, `Nobody has judged whether "${boat.name}" fits berth ${berth.label}. Look at it.`),
      rule: 'fit.notJudged',
    });
  }
  findings.push(...shorterThanBoat(boat, berth, range));
  if (outletIds === null || outletIds.length > 0) findings.push(hookUpNotJudged(subject, outletIds, plugged));
  return findings;
}

/** Metres beyond those recorded are free for the next boat: too few of them give the same space away twice. */
function shorterThanBoat(boat: FoundBoat, berth: Berth, range: MetreRange | null): Finding[] {
  const lengthM = toldValue(boatOf(boat).lengthOverallM);
  if (range === null || lengthM === null || !exceeds(lengthM, range.untilM - range.fromM)) return [];
  const keptM = range.untilM - range.fromM;
  const subject: Subject = { kind: 'boat', id: boat.id, label: boat.name };
  const question = `From which metre of the face to which does "${boat.name}" lie?`;
  return [
    {
      rule: 'space.foundTooShort',
      level: 'confirm',
      subject,
      actual: lengthM,
      limit: keptM,
      unit: 'm',
      source: 'space is never given twice: a boat takes as many metres as it is long',
      message: `"${boat.name}" is ${metres(lengthM)} long over all and was entered on ${metres(keptM)} of berth ${berth.label}. What it lies on beyond them is open to other boats. ${question}`,
      missingFact: { subject, fact: 'place', question },
      mend: `at least ${metres(lengthM)} of the face, entered as it lies`,
    },
  ];
}

function hookUpNotJudged(subject: Subject, outletIds: readonly string[] | null, plugged: readonly string[]): Finding {
  const question =
    outletIds === null
      ? 'Is it plugged in, and into which outlet with which cord and adapter?'
      : 'With which cord and adapter is it plugged in?';
  const kept = plugged.length === 0 ? 'no outlet is kept for it' : `outlet ${plugged.join(', ')} is kept for it`;
  const assumed = outletIds === null ? ` Meanwhile ${kept}.` : '';
  return {
    ...found('confirm', subject, `The hook-up of "${subject.label}" is not judged. ${question}${assumed}`),
    rule: 'hookup.notJudged',
    missingFact: { subject, fact: 'hookUp', question },
  };
}

function found(level: Finding['level'], subject: Subject, message: string): Finding {
  const source = 'occupancy as recorded';
  return { rule: 'space.found', level, subject, actual: null, limit: null, unit: null, source, message };
}

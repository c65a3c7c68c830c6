import type { Boat, Inlet } from '../../core/boats.ts';
import type { Fact, MaybeFact } from '../../core/facts.ts';
import type { Finding } from '../../core/findings.ts';
import { readPlugAsSaid } from '../../core/standards/plug-as-said.ts';
import { invalid } from '../occupancy/berth-parts.ts';
import type { Call } from './schema.ts';

interface BoatOfCall {
  readonly boat: Boat;
  /** Words that no fact can hold, for the stay's note; empty where there are none. */
  readonly note: string;
  readonly findings: readonly Finding[];
}

/**
 * The boat that a caller describes, each fact of origin `phone`. A plug that is not understood leaves the inlets unknown:
 * a finding says so and the note keeps the words.
 * @throws Problem `invalid-input` where it wants power and was said to have no plug
 */
export function boatOfCall(call: Call, boatId: string, now: number): BoatOfCall {
  const stated = <T>(value: T): Fact<T> => ({ value, origin: 'phone', at: now });
  const fact = <T>(value: T | null): MaybeFact<T> => (value === null ? null : stated(value));
  const said = call.plug === null ? null : readPlugAsSaid(call.plug);
  if (call.wantsPower === true && said?.length === 0) {
    throw invalid('/plug', `The boat wants power, and "${call.plug}" is no plug. Correct one of the two.`);
  }
  const inlets = (said ?? []).map(
    ({ configurationIds }, i): Inlet => ({
      id: `I${i + 1}`,
      configurationIds: stated(configurationIds),
      mainBreakerA: null,
      fromBowM: fact(call.inletFromBowM),
      side: fact(call.inletSide),
      duty: null,
      needsLineToLine: null,
    }),
  );
  const boat: Boat = {
    id: boatId,
    name: call.boatName ?? boatNameFor(call.name),
    lengthOverallM: fact(call.lengthOverallM),
    beamM: fact(call.beamM),
    hull: fact(call.hull),
    draftM: fact(call.draftM),
    wantsPower: fact(call.wantsPower ?? (said === null ? null : said.length > 0)),
    airConditioning: fact(call.airConditioning),
    frequenciesHz: null,
    inlets,
    cordSets: null,
    adapterKindIds: null,
    appliances: null,
    statedLoadVa: null,
  };
  const notUnderstood = call.plug !== null && said === null;
  return {
    boat,
    note: inlets.length > 0 ? '' : [plugWords(notUnderstood, call), placeWords(call)].filter(Boolean).join(' '),
    findings: notUnderstood ? [plugFinding(boat, call.plug)] : [],
  };
}

function boatNameFor(caller: string | null): string {
  return caller === null ? 'Boat without a name' : `Boat of ${caller}`.slice(0, 80);
}

function plugWords(notUnderstood: boolean, { plug }: Call): string {
  return notUnderstood ? `Plug as said: "${plug}".` : '';
}

/** Where the inlet was said to be, while no inlet is known that could hold it. */
function placeWords({ inletFromBowM, inletSide }: Call): string {
  const words = [inletFromBowM === null ? null : `${inletFromBowM} m behind the bow`, inletSide];
  const said = words.filter((word) => word !== null);
  return said.length === 0 ? '' : `Inlet as said: ${said.join(', ')}.`;
}

function plugFinding(boat: Boat, plug: string | null): Finding {
  const subject = { kind: 'boat', id: boat.id, label: boat.name } as const;
  return {
    rule: 'hookup.plug',
    level: 'confirm',
    subject,
    actual: plug,
    limit: null,
    unit: null,
    source: 'common practice: the plug decides the outlet',
    message: `The plug of ${boat.name} was said to be "${plug}", which names no plug for certain. Its inlets stay unknown until somebody asks again.`,
    missingFact: { subject, fact: 'inlets', question: 'What plug does the boat have: 30 A, 50 A, several, other?' },
  };
}

import type { BoatDocument } from '../boats/schema.ts';
import { suppliesOf } from '../boats/supplies-as-said.ts';
import { type InputError, Problem } from '../errors.ts';
import type { Fields } from '../pages/fields.ts';
import { readLength, type View } from '../pages/view.ts';

type Origin = 'phone' | 'boater' | 'dockhand';

/**
 * The facts that a form states, as the API takes single facts; a field left empty states nothing, and one that was left
 * as it was shown states nothing new.
 * @throws Problem `invalid-input` for what is no length or no number
 */
export function factsOf(fields: Fields, boat: BoatDocument, view: View, origin: Origin): Record<string, unknown> {
  const errors: InputError[] = [];
  const stated = (value: unknown) => ({ value, origin });
  const length = (name: string): number | null => {
    const said = fields.text(name);
    if (said === null || said === fields.text(`was/${name}`)) return null;
    const metres = readLength(view, said);
    if (Number.isNaN(metres)) errors.push({ in: 'body', pointer: `/${name}`, message: view.texts.desk.lengthFault });
    return metres;
  };
  const choice = (name: string): string | null => {
    const said = fields.text(name);
    return said === null || said === fields.text(`was/${name}`) ? null : said;
  };
  const facts: Record<string, unknown> = {};
  for (const name of ['lengthOverallM', 'beamM', 'draftM']) {
    const metres = length(name);
    if (metres !== null) facts[name] = stated(metres);
  }
  const hull = choice('hull');
  if (hull !== null) facts.hull = stated(hull);
  for (const name of ['wantsPower', 'airConditioning']) {
    const said = choice(name);
    if (said !== null) facts[name] = stated(said === 'yes');
  }
  const frequency = choice('frequency');
  if (frequency !== null) facts.frequenciesHz = stated(frequency.split('+').map(Number));
  const bond = choice('neutralBond');
  if (bond !== null) facts.neutralBond = stated(bond);
  const supplies = choice('ownSupplies');
  if (supplies !== null) facts.ownSupplies = stated(suppliesOf(supplies));
  const inlets = inletIdsOf(fields, boat).flatMap((id) => {
    const inlet: Record<string, unknown> = {};
    const at = (name: string) => `inlets/${id}/${name}`;
    const configuration = choice(at('configurationIds'));
    if (configuration !== null) inlet.configurationIds = stated(configuration.split(' '));
    const fromBow = length(at('fromBowM'));
    if (fromBow !== null) inlet.fromBowM = stated(fromBow);
    for (const name of ['side', 'duty']) {
      const said = choice(at(name));
      if (said !== null) inlet[name] = stated(said);
    }
    const needs = choice(at('needsLineToLine'));
    if (needs !== null) inlet.needsLineToLine = stated(needs === 'yes');
    return Object.keys(inlet).length === 0 ? [] : [{ id, ...inlet }];
  });
  if (inlets.length > 0) facts.inlets = inlets;
  const cords = cordsOf(fields, view);
  if (cords !== null) facts.cordSets = stated(cords);
  if (errors.length > 0) throw new Problem('invalid-input', errors[0]?.message ?? '', { errors });
  return facts;
}

/** The boat's inlets and, where one is added, the next id. */
function inletIdsOf(fields: Fields, { inlets }: BoatDocument): string[] {
  const known = inlets.map(({ id }) => id);
  return fields.has(`inlets/${nextInletId(known)}/configurationIds`) ? [...known, nextInletId(known)] : known;
}

export function nextInletId(known: readonly string[]): string {
  let number = known.length + 1;
  while (known.includes(`I${number}`)) number += 1;
  return `I${number}`;
}

/** Ticked cords, each `<configuration> <length in m> <amperes>`; `none` says that there are none aboard. */
function cordsOf(fields: Fields, _view: View): unknown[] | null {
  const ticked = fields.all('cords');
  if (ticked.length === 0) return null;
  return ticked
    .filter((cord) => cord !== 'none')
    .map((cord, position) => {
      const [configurationId, lengthM, ratedA] = cord.split(' ');
      return { id: `C${position + 1}`, configurationId, lengthM: Number(lengthM), ratedA: Number(ratedA) };
    });
}

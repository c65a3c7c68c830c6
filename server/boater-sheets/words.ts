import { electricalCautions } from '../../core/cautions.ts';
import { localTime } from '../local-time.ts';
import type { Sheet, SheetContent } from './schema.ts';

const sides = { bowIn: 'bow in', sternIn: 'stern in' } as const;
const owners = { aboard: 'bring from aboard', stock: 'lent at the dock', toBring: 'bring' } as const;

/** What a new issue says otherwise than the one before, in words. */
export function changesOf(before: SheetContent, after: SheetContent): string[] {
  const said: [what: string, before: string, after: string][] = [
    ['Berth', placeWords(before), placeWords(after)],
    [
      'Arrival',
      localTime(Date.parse(before.arrival), after.timeZone),
      localTime(Date.parse(after.arrival), after.timeZone),
    ],
    [
      'Departure',
      localTime(Date.parse(before.departure), after.timeZone),
      localTime(Date.parse(after.departure), after.timeZone),
    ],
    ['Another place', needWords(before), needWords(after)],
    ['Outlet', outletWords(before), outletWords(after)],
    ['Adapter', adapterWords(before), adapterWords(after)],
    ['Cord', cordWords(before), cordWords(after)],
    ['Hook-up', before.verdict ?? 'not judged', after.verdict ?? 'not judged'],
    ['Contact', before.contact ?? 'none', after.contact ?? 'none'],
    ['Price', before.price || 'none', after.price || 'none'],
    ['Terms', before.terms || 'none', after.terms || 'none'],
    ['After hours', before.afterHours || 'none', after.afterHours || 'none'],
  ];
  return said.flatMap(([what, was, is]) => (was === is ? [] : [`${what}: ${is} (was: ${was}).`]));
}

function placeWords({ place }: SheetContent): string {
  if (place === null) return 'none yet';
  return `${place.berth}, ${sides[place.orientation]}${place.sideTo === null ? '' : `, ${place.sideTo} side to`}`;
}

function needWords({ needsBerth }: SheetContent): string {
  return needsBerth ? 'needed' : 'not needed';
}

function outletWords({ outlets }: SheetContent): string {
  return (
    outlets
      .map(({ label, configurationId, side }) => `${label} ${configurationId}${side === null ? '' : ` to ${side}`}`)
      .join(' and ') || 'none'
  );
}

function adapterWords({ adapters }: SheetContent): string {
  return adapters.map(({ name, from }) => `${name} (${owners[from]})`).join(', ') || 'none';
}

function cordWords({ cords }: SheetContent): string {
  return (
    cords
      .map(
        ({ configurationId, lengthM }) =>
          `${configurationId} ${lengthM === null ? 'length not known' : lengthWords(lengthM)}`,
      )
      .join(', ') || 'none'
  );
}

function lengthWords(metres: number): string {
  return `${Math.ceil(metres / 0.3048 - 1e-6)} ft (${Math.round(metres * 10) / 10} m)`;
}

/** The outlet stays off, whatever the marina adds. */
export const outletStaysOff =
  'The outlet stays off until an authorised person of the marina has looked at the hook-up and says that it may be switched on.';

/** Of whom took its place nothing is said: a sheet holds nothing of other boats. */
export const anotherPlace =
  'The berth or outlet kept for this boat is no longer free. The marina is looking for another: call before you come.';

/** A few lines that a phone keeps without signal. */
function shortText(content: SheetContent): string {
  const { marinaName, boatName, timeZone, arrival, contact } = content;
  return [
    `${marinaName}: ${boatName}, berth ${placeWords(content)}, ${localTime(Date.parse(arrival), timeZone)}.`,
    ...(content.needsBerth ? [anotherPlace] : []),
    content.verdict === 'refused'
      ? 'Hook-up refused: plug nothing in before the marina says so.'
      : `Outlet ${outletWords(content)}. Cord ${cordWords(content)}. Adapter ${adapterWords(content)}.`,
    'Outlet stays off until staff confirm. No swimming.',
    ...(contact === null ? [] : [`Call ${contact}.`]),
  ].join('\n');
}

interface Issue {
  readonly issue: number;
  readonly issuedAt: Date;
  readonly changes: readonly string[];
}

export function sheetOf(content: SheetContent, { issue, issuedAt, changes }: Issue): Sheet {
  return {
    ...content,
    issue,
    issuedAt: issuedAt.toISOString(),
    changes: [...changes],
    shortText: shortText(content),
    cautions: [outletStaysOff, ...electricalCautions],
  };
}

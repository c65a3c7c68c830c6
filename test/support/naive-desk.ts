/**
 * A desk's book as anybody would keep it on paper: slips, stays, hours. It knows none of the service's code: what it says
 * of a command is common practice at a marina's desk.
 */
export interface PaperPlace {
  readonly berthId: string;
  readonly from: number;
  readonly until: number;
  /** Until when nobody else may have the slip: an hour after the boat has left. */
  readonly keptUntil: number;
}

export interface PaperStay {
  readonly name: string;
  readonly state: string;
  readonly arrival: number;
  readonly departure: number;
  readonly offerEnds: number | null;
  readonly places: readonly PaperPlace[];
}

export type Book = Readonly<Record<string, PaperStay>>;

/** What a command leads to: the stay as it is then, or `null` where it makes no sense or there is no room. */
export type Step = (stay: PaperStay, book: Book, now: number) => PaperStay | null;

const turnover = 1;
const toCome = ['requested', 'offered', 'promised'];
const isToCome = ({ state }: PaperStay) => toCome.includes(state);

interface Asked {
  readonly berthId: string;
  readonly from: number;
  readonly until: number;
  readonly now: number;
}

function isFree(book: Book, without: readonly string[], { berthId, from, until, now }: Asked): boolean {
  const others = Object.values(book).filter(({ name }) => !without.includes(name));
  const isLet = others.some(({ places }) =>
    places.some((each) => each.berthId === berthId && from < each.keptUntil && each.from < until + turnover),
  );
  return !isLet && !(from <= now && others.some((stay) => isStillThere(book, stay, berthId, now)));
}

/** Whether a boat that should have left a slip lies there: until it is seen to leave, or another has come there since. */
function isStillThere(book: Book, stay: PaperStay, berthId: string, now: number): boolean {
  const last = [...stay.places].sort((a, b) => a.until - b.until).at(-1);
  if (stay.state !== 'arrived' || last === undefined || last.berthId !== berthId) return false;
  if (last.until > now || last.until >= Math.max(now, stay.departure)) return false;
  const hasCome = ({ from }: PaperPlace) => last.until <= from && from <= now;
  return !Object.values(book).some(
    ({ name, state, places }) =>
      name !== stay.name &&
      (state === 'arrived' || state === 'departed') &&
      places.some((each) => each.berthId === berthId && hasCome(each)),
  );
}

const placeOf = (berthId: string, from: number, until: number): PaperPlace => ({
  berthId,
  from,
  until,
  keptUntil: until + turnover,
});

/** What stays of places whose boat leaves them at a moment. */
function cutAt(places: readonly PaperPlace[], at: number, keptUntil = at + turnover): PaperPlace[] {
  return places.flatMap((each) =>
    each.from >= at
      ? []
      : each.until <= at
        ? [each]
        : [{ ...each, until: at, keptUntil: Math.min(each.keptUntil, keptUntil) }],
  );
}

export const assign =
  (berthId: string): Step =>
  (stay, book, now) =>
    stay.state === 'requested' && isFree(book, [stay.name], { berthId, from: stay.arrival, until: stay.departure, now })
      ? { ...stay, state: 'promised', places: [placeOf(berthId, stay.arrival, stay.departure)] }
      : null;

export const offer =
  (berthId: string, offerEnds: number): Step =>
  (stay, book, now) =>
    (stay.state === 'requested' || stay.state === 'offered') &&
    isFree(book, [stay.name], { berthId, from: stay.arrival, until: stay.departure, now })
      ? { ...stay, state: 'offered', offerEnds, places: [placeOf(berthId, stay.arrival, stay.departure)] }
      : null;

export const promise: Step = (stay) =>
  stay.state === 'offered' ? { ...stay, state: 'promised', offerEnds: null } : null;

export const move =
  (berthId: string): Step =>
  (stay, book, now) => {
    if (stay.state === 'requested' || !(isToCome(stay) || stay.state === 'arrived')) return null;
    const from = stay.state === 'arrived' ? Math.max(stay.arrival, now) : stay.arrival;
    if (stay.places.every(({ until }) => until <= from) || from >= stay.departure) return null;
    if (!isFree(book, [stay.name], { berthId, from, until: stay.departure, now })) return null;
    const isSame = stay.places.some((each) => each.berthId === berthId && each.until > from);
    const left = cutAt(stay.places, from, isSame ? from : from + turnover);
    // The slip that it leaves may be one that it comes back to: its own turnover is nobody's.
    if (left.some((each) => each.berthId === berthId && each.keptUntil > from)) return null;
    return { ...stay, places: [...left, placeOf(berthId, from, stay.departure)] };
  };

/** Both stays after an exchange. */
export function swap(first: PaperStay, second: PaperStay, book: Book, now: number): [PaperStay, PaperStay] | null {
  const sides = [first, second].map((stay) => {
    const from = stay.state === 'arrived' ? Math.max(stay.arrival, now) : stay.arrival;
    const rest = stay.places.filter(({ until }) => until > from);
    return { stay, from, rest };
  });
  const [a, b] = sides;
  if (!a || !b || first.name === second.name) return null;
  for (const { stay, rest } of [a, b])
    if (!['offered', 'promised', 'arrived'].includes(stay.state) || rest.length !== 1) return null;
  const [mine, yours] = [a.rest[0], b.rest[0]];
  if (!mine || !yours || mine.berthId === yours.berthId) return null;
  const turn = (side: typeof a, own: PaperPlace, other: PaperPlace): PaperStay | null => {
    const from = Math.max(side.from, own.from);
    if (!isFree(book, [first.name, second.name], { berthId: other.berthId, from, until: own.until, now })) return null;
    return { ...side.stay, places: [...cutAt(side.stay.places, from, from), placeOf(other.berthId, from, own.until)] };
  };
  const [one, two] = [turn(a, mine, yours), turn(b, yours, mine)];
  if (one === null || two === null) return null;
  // What each leaves behind must not lie on what the other takes.
  const meets = (x: PaperPlace, y: PaperPlace) =>
    x.berthId === y.berthId && x.from < y.keptUntil && y.from < x.keptUntil;
  return one.places.some((x) => two.places.some((y) => meets(x, y))) ? null : [one, two];
}

export const leaveAt =
  (departure: number): Step =>
  (stay, book, now) => {
    if (!(isToCome(stay) || stay.state === 'arrived') || departure <= stay.arrival || departure <= now) return null;
    const last = stay.places.at(-1);
    if (last === undefined) return { ...stay, departure };
    if (departure <= last.from) return null;
    if (!isFree(book, [stay.name], { berthId: last.berthId, from: last.from, until: departure, now })) return null;
    return { ...stay, departure, places: [...stay.places.slice(0, -1), placeOf(last.berthId, last.from, departure)] };
  };

export const arrive: Step = (stay, book, now) => {
  const place = stay.places.find(({ until }) => now < until);
  if (!isToCome(stay) || place === undefined) return null;
  const from = Math.min(place.from, now);
  if (from < place.from && !isFree(book, [stay.name], { berthId: place.berthId, from, until: place.until, now }))
    return null;
  const places = stay.places.map((each) => (each === place ? { ...place, from } : each));
  return { ...stay, state: 'arrived', arrival: Math.min(stay.arrival, now), offerEnds: null, places };
};

export const depart: Step = (stay, _book, now) =>
  stay.state === 'arrived' && now > stay.arrival
    ? { ...stay, state: 'departed', departure: now, places: cutAt(stay.places, now) }
    : null;

export const cancel: Step = (stay) =>
  isToCome(stay) ? { ...stay, state: 'cancelled', offerEnds: null, places: [] } : null;

export const turnAway: Step = (stay) =>
  isToCome(stay) && stay.places.length === 0 ? { ...stay, state: 'turnedAway', offerEnds: null } : null;

export const noShow =
  (hourOfDay: number): Step =>
  (stay, _book, now) => {
    // The first such hour of a day after its arrival.
    let from = Math.floor(stay.arrival) + 1;
    while (((from % 24) + 24) % 24 !== hourOfDay) from += 1;
    return isToCome(stay) && now >= from ? { ...stay, state: 'noShow', offerEnds: null, places: [] } : null;
  };

/** Offers that nobody has answered end by themselves. */
export function lapse(book: Book, now: number): Book {
  return Object.fromEntries(
    Object.entries(book).map(([id, stay]) => [
      id,
      stay.offerEnds !== null && stay.offerEnds <= now
        ? { ...stay, state: 'requested', offerEnds: null, places: [] }
        : stay,
    ]),
  );
}

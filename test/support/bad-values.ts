/** A place in a JSON document. */
type Path = readonly (string | number)[];

/** One fault put into a sound document. */
export interface Fault {
  /** Where and what, for the message of a test that fails. */
  readonly name: string;
  /** The body as it is sent: not always JSON. */
  readonly text: string;
}

const megabyte = 'a'.repeat(1024 * 1024);
const impossibleInstants = [
  '2030-02-30T12:00:00Z',
  '2030-13-01T12:00:00Z',
  '2030-06-10T25:00:00Z',
  '2030-06-10T12:00:00',
  '2030-06-10T12:00:00+99:00',
  '999999-01-01T00:00:00Z',
  '0000-00-00T00:00:00Z',
  'yesterday',
];
const impossibleDays = ['2030-02-30', '2030-13-01', '2030-06-31', '2029-02-29', '0000-00-00', '20300610', 'tomorrow'];
const placeholder = 'put the raw literal here';

/**
 * A document with one fault after the other, each at every place where it can be: another type, a text of a megabyte,
 * characters that cannot be stored, impossible dates, numbers that are none, fields that do not exist, lists without end.
 */
export function faultsIn(document: unknown): Fault[] {
  return placesIn(document).flatMap(({ path, value }) => {
    const put = (what: string, bad: unknown): Fault => ({
      name: `/${path.join('/')}: ${what}`,
      text: JSON.stringify(replaced(document, path, bad)),
    });
    const raw = (literal: string): Fault => ({
      name: `/${path.join('/')}: ${literal}`,
      text: JSON.stringify(replaced(document, path, placeholder)).replace(JSON.stringify(placeholder), literal),
    });
    if (typeof value === 'string') {
      return [
        ...[42, true, {}, []].map((bad) => put(`${JSON.stringify(bad)} for a text`, bad)),
        put('a text of 1 MB', megabyte),
        put('NUL in a text', `${value}\u0000`),
        put('half a surrogate pair', `${value}\ud800`),
        ...impossibleFor(value).map((bad) => put(`"${bad}"`, bad)),
      ];
    }
    if (typeof value === 'number') {
      return [
        ...[String(value), true, {}, [], 1.5e300, -1.5e300].map((bad) =>
          put(`${JSON.stringify(bad)} for a number`, bad),
        ),
        ...['NaN', 'Infinity', '-Infinity', '1e999', '-1e999', '0x10', '01'].map(raw),
      ];
    }
    if (typeof value === 'boolean')
      return ['true', 1, {}, []].map((bad) => put(`${JSON.stringify(bad)} for a boolean`, bad));
    if (Array.isArray(value)) {
      return [
        ...['x', 42, { '0': 'x' }].map((bad) => put(`${JSON.stringify(bad)} for a list`, bad)),
        put('a list within the list', [[[]]]),
        put(
          '200,000 items',
          Array.from({ length: 200_000 }, () => 0),
        ),
      ];
    }
    if (typeof value !== 'object' || value === null) return [];
    return [
      ...['x', 42, true, [value]].map((bad) => put(`${JSON.stringify(bad).slice(0, 20)} for an object`, bad)),
      put('an unknown field', { ...value, 'no such field': 1 }),
      put('a name of 1 MB', { ...value, [megabyte]: 1 }),
      put('NUL in a name', { ...value, 'a\u0000b': 1 }),
      raw(withFirst(value, '"__proto__":{"admin":true}')),
      raw(withFirst(value, '"constructor":{"prototype":{"admin":true}}')),
      raw(withFirst(value, '"twice":1,"twice":1')),
      raw(withFirst(value, `"deep":${'['.repeat(50_000)}${']'.repeat(50_000)}`)),
      raw(withFirst(value, `"deep":${'{"a":'.repeat(50_000)}1${'}'.repeat(50_000)}`)),
    ].map((fault) => ({ ...fault, name: fault.name.slice(0, 200) }));
  });
}

/** Texts that are no JSON document, or no object. */
export const brokenDocuments: readonly string[] = [
  '',
  '{',
  '{"a":1,}',
  "{'a':1}",
  'undefined',
  'NaN',
  'null',
  '[]',
  '"text"',
  '42',
  '{}{}',
  '<stay/>',
  '['.repeat(200_000),
];

/** What HTML and SQL put into a name; a name is data, so each may be stored, and nothing else may come of it. */
export const hostileTexts: readonly string[] = [
  '<script>alert(1)</script>',
  '"><img src=x onerror=alert(1)>',
  "Robert'); DROP TABLE stay; --",
  "' OR '1'='1",
  '$1 %s {{7*7}}',
  '../../etc/passwd',
];

/** The document once with a text in each of its free texts, as far as `allows` takes it. */
export function withText(document: unknown, text: string, allows: (changed: unknown) => boolean): unknown {
  let changed = document;
  for (const { path, value } of placesIn(document)) {
    if (typeof value !== 'string') continue;
    const tried = replaced(changed, path, text);
    if (allows(tried)) changed = tried;
  }
  return changed;
}

/** The document with the ids of other things in the fields that name things, one field at a time. */
export function withOtherIds(document: unknown, others: Readonly<Record<string, string>>): Fault[] {
  return placesIn(document).flatMap(({ path, value }) => {
    const field = path.findLast((step) => typeof step === 'string');
    const other = typeof field === 'string' ? others[field] : undefined;
    if (typeof value !== 'string' || other === undefined) return [];
    return [{ name: `/${path.join('/')}: ${other}`, text: JSON.stringify(replaced(document, path, other)) }];
  });
}

function impossibleFor(text: string): readonly string[] {
  if (/^\d{4}-\d\d-\d\dT/.test(text)) return impossibleInstants;
  return /^\d{4}-\d\d-\d\d$/.test(text) ? impossibleDays : [];
}

function withFirst(object: object, field: string): string {
  const rest = JSON.stringify(object).slice(1);
  return `{${field}${rest === '}' ? '' : ','}${rest}`;
}

/** Every place in a document, the whole of it first. */
function placesIn(value: unknown, path: Path = []): { path: Path; value: unknown }[] {
  const inner = Array.isArray(value)
    ? [...value.entries()]
    : typeof value === 'object' && value !== null
      ? Object.entries(value)
      : [];
  return [{ path, value }, ...inner.flatMap(([step, part]) => placesIn(part, [...path, step]))];
}

export function replaced(document: unknown, path: Path, value: unknown): unknown {
  const [step, ...rest] = path;
  if (step === undefined) return value;
  if (Array.isArray(document)) return document.map((item, i) => (i === step ? replaced(item, rest, value) : item));
  if (typeof document !== 'object' || document === null) return document;
  return Object.fromEntries(
    Object.entries(document).map(([name, part]) => [name, name === step ? replaced(part, rest, value) : part]),
  );
}

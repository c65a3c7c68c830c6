import type { FastifyInstance } from 'fastify';
import { Problem } from '../errors.ts';

/**
 * Reads JSON bodies as I-JSON (RFC 7493): UTF-8 without faults, and no object that names a field twice. Of two values
 * under one name a reader would silently drop one, and bytes that are no text would be stored as question marks.
 */
export function addJsonBody(app: FastifyInstance): void {
  const parse = app.getDefaultJsonParser('error', 'error');
  app.addContentTypeParser<Buffer>('application/json', { parseAs: 'buffer' }, (request, body, done) => {
    const text = decode(body);
    if (text === null) return done(new Problem('invalid-json', 'The body is not UTF-8.'));
    parse(request, text, (error, value) => {
      if (!error && namesWritten(text) !== namesHeld(value)) {
        return done(new Problem('invalid-json', 'An object of the body names one field twice. Leave one of them out.'));
      }
      done(error, value);
    });
  });
}

function decode(body: Buffer): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(body);
  } catch {
    return null;
  }
}

/** How many strings of a JSON text are names of fields: those that a colon follows. */
function namesWritten(text: string): number {
  let names = 0;
  for (let start = text.indexOf('"'); start >= 0; ) {
    let end = text.indexOf('"', start + 1);
    while (isEscaped(text, end)) end = text.indexOf('"', end + 1);
    let next = end + 1;
    while (isSpace(text.charCodeAt(next))) next++;
    if (text[next] === ':') names++;
    start = text.indexOf('"', next);
  }
  return names;
}

function isEscaped(text: string, at: number): boolean {
  let first = at;
  while (text[first - 1] === '\\') first--;
  return (at - first) % 2 === 1;
}

function isSpace(code: number): boolean {
  return code === 0x20 || code === 0x0a || code === 0x0d || code === 0x09;
}

/** How many fields the objects of a parsed text have. */
function namesHeld(root: unknown): number {
  let names = 0;
  const open = [root];
  for (let value = open.pop(); value !== undefined; value = open.pop()) {
    if (typeof value !== 'object' || value === null) continue;
    const inner = Object.values(value);
    if (!Array.isArray(value)) names += inner.length;
    for (const each of inner) open.push(each);
  }
  return names;
}

/**
 * The line, from 1, on which each of some JSON Pointers stands in a text that is JSON; a pointer to what is not there gets
 * the line of the nearest thing around it.
 */
export function linesOfPointers(text: string, pointers: readonly string[]): Map<string, number> {
  const wanted = new Set<string>();
  for (const pointer of pointers) {
    for (let at: string | null = pointer; at !== null; at = parentOf(at)) wanted.add(at);
  }
  const offsets = offsetsOf(text, wanted);
  const found = new Map<string, number>();
  for (const pointer of pointers) {
    let near: string | null = pointer;
    while (near !== null && !offsets.has(near)) near = parentOf(near);
    found.set(pointer, lineAt(text, offsets.get(near ?? '') ?? 0));
  }
  return found;
}

function parentOf(pointer: string): string | null {
  return pointer === '' ? null : pointer.slice(0, pointer.lastIndexOf('/'));
}

function lineAt(text: string, offset: number): number {
  let line = 1;
  for (let i = text.indexOf('\n'); i >= 0 && i < offset; i = text.indexOf('\n', i + 1)) line += 1;
  return line;
}

const token = /"(?:[^"\\]|\\.)*"|[{}[\],:]|[^\s{}[\],:"]+/gy;

interface Frame {
  readonly pointer: string;
  /** Null: an object. */
  index: number | null;
  name: string | null;
}

/** Where the values of the wanted pointers begin. The text is known to be JSON, so no fault is looked for. */
function offsetsOf(text: string, wanted: ReadonlySet<string>): Map<string, number> {
  const offsets = new Map<string, number>();
  const frames: Frame[] = [];
  const pointerHere = (): string => {
    const frame = frames.at(-1);
    if (frame === undefined) return '';
    const step = frame.index === null ? (frame.name ?? '') : String(frame.index);
    return `${frame.pointer}/${step.replaceAll('~', '~0').replaceAll('/', '~1')}`;
  };
  const space = /\s*/y;
  for (let at = 0; ; ) {
    space.lastIndex = at;
    space.exec(text);
    token.lastIndex = space.lastIndex;
    const match = token.exec(text);
    if (match === null) return offsets;
    const [word] = match;
    at = token.lastIndex;
    const frame = frames.at(-1);
    if (word === '}' || word === ']') frames.pop();
    else if (word === ',') {
      if (frame !== undefined && frame.index !== null) frame.index += 1;
      else if (frame !== undefined) frame.name = null;
    } else if (word === ':') continue;
    else if (frame !== undefined && frame.index === null && frame.name === null) frame.name = JSON.parse(word);
    else {
      const pointer = pointerHere();
      if (wanted.has(pointer)) offsets.set(pointer, match.index);
      if (word === '{') frames.push({ pointer, index: null, name: null });
      if (word === '[') frames.push({ pointer, index: 0, name: null });
    }
  }
}

import { StringDecoder } from 'node:string_decoder';

const longestLine = 10_000;

/** Lines of a stream of bytes, one list for each piece that arrived, without their ends. Throws where a line has no end. */
export async function* linesOf(stream: AsyncIterable<Buffer | string>): AsyncGenerator<readonly string[]> {
  const decoder = new StringDecoder('utf8');
  let rest = '';
  for await (const piece of stream) {
    const text = rest + (typeof piece === 'string' ? piece : decoder.write(piece));
    const lines = text.split('\n');
    rest = lines.pop() ?? '';
    if (rest.length > longestLine) throw new RangeError(`A line is longer than ${longestLine} characters.`);
    yield lines.map(withoutReturn);
  }
  rest += decoder.end();
  if (rest !== '') yield [withoutReturn(rest)];
}

function withoutReturn(line: string): string {
  return line.endsWith('\r') ? line.slice(0, -1) : line;
}

import fc from 'fast-check';
import fastify, { type FastifyInstance } from 'fastify';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { addJsonBody } from '../../../server/http/json-body.ts';

// The rules are those of RFC 7493 (I-JSON), 2.1 (UTF-8) and 2.3 (no field twice).

let app: FastifyInstance;
beforeAll(() => {
  app = fastify();
  addJsonBody(app);
  app.post('/echo', async (request, reply) => reply.type('application/json').send(JSON.stringify(request.body)));
});
afterAll(() => app.close());

async function echo(payload: string | Buffer) {
  const answer = await app.inject({
    method: 'POST',
    url: '/echo',
    payload,
    headers: { 'content-type': 'application/json' },
  });
  return { status: answer.statusCode, text: answer.payload };
}

test('any sound document is read as it was written', async () => {
  const isTaken = (text: string) => !/__proto__|constructor/.test(text);
  await fc.assert(
    fc.asyncProperty(fc.json({ stringUnit: 'binary' }).filter(isTaken), fc.nat(2), async (text, indent) => {
      const written = JSON.stringify(JSON.parse(text), null, indent);
      expect(await echo(written)).toEqual({ status: 200, text: JSON.stringify(JSON.parse(text)) });
    }),
  );
});

test.each([
  String.raw`{"a\"b":1,"a":"\"x\":1"}`,
  String.raw`{"a":"\\","b":"\\\"","c\\":{"a":1}}`,
  '[{"a":1},{"a":1}]',
  '{"a" \n\t: {"a":[":","a"]}}',
  '{"":1,"a":""}',
])('names, quotes and colons are told apart: %s', async (text) => {
  expect(await echo(text)).toEqual({ status: 200, text: JSON.stringify(JSON.parse(text)) });
});

test.each(['{"a":1,"a":1}', '{"a":1,"\\u0061":2}', '[1,{"b":{"c":"","d":[],"c":"x"}}]', '{"a":1 , "a"\n:2}'])(
  'a field named twice is refused: %s',
  async (text) => {
    const { text: answer } = await echo(text);
    expect(answer).toContain('names one field twice');
  },
);

test('bytes that are no UTF-8 are refused, where they would else become question marks', async () => {
  for (const bytes of [[0xff], [0xc3], [0xed, 0xa0, 0x80], [0xc0, 0x80]]) {
    const { text } = await echo(Buffer.concat([Buffer.from('{"a":"'), Buffer.from(bytes), Buffer.from('"}')]));
    expect(text).toContain('The body is not UTF-8');
  }
});

import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { electricalCautions } from '../../../core/cautions.ts';
import { routes } from '../../../server/calculations/routes.ts';
import { readPublishedCases, toNetwork } from '../../core/electrical/power-flow/published-case.ts';
import { type Reply, startTestServer, type TestServer } from '../../support/server.ts';

let server: TestServer;
beforeAll(async () => {
  server = await startTestServer();
});
afterAll(() => server.close());

const post = (body: unknown): Promise<Reply> => server.call(null, 'POST', '/v1/calculations/power-flow', { body });
const example = routes.find(({ operationId }) => operationId === 'calculatePowerFlow')?.example;
const loadOf = (demand: unknown, id = 'load') => ({ kind: 'load', id, from: 'a', to: '0', demand });
const source = { kind: 'source', id: 's', plus: 'a', minus: '0', voltageV: 120 };

describe('the power-flow calculator', () => {
  it('has the published example in its description, and answers it with the published figures', async () => {
    const published = readPublishedCases().find((each) => each.case === 'kersting_ex11_1_center_tap');
    if (published === undefined) throw new Error('the case is gone');
    const { status, body } = await post(example);
    expect(status, JSON.stringify(body)).toBe(200);
    expect(body).toMatchObject({ status: 'solved', problems: [], cautions: electricalCautions });
    const wanted = published.expected.flatMap((figure) => (figure.quantity === 'voltage' ? [figure] : []));
    expect(wanted).toHaveLength(3);
    for (const { from, to, mag, mag_decimals, deg } of wanted) {
      const found = body.voltagesBetween.find(
        (pair: { from: string; to: string }) => pair.from === from && pair.to === to,
      );
      expect(found.voltageV).toBeCloseTo(mag, mag_decimals === 3 ? 2 : 1);
      expect(found.angleDeg).toBeCloseTo(deg ?? Number.NaN, 2);
    }
    const [transformer] = body.elements.filter(({ id }: { id: string }) => id === 'T');
    expect(transformer.currents[1].currentA).toBeCloseTo(179.6, 1);
    expect(transformer.currents[2].currentA).toBeCloseTo(220.4, 1);
    const { supplied, consumed, lost } = body.totals;
    expect(supplied.powerW).toBeCloseTo(consumed.powerW + lost.powerW, 6);
  });

  it.each(readPublishedCases())('takes the published case $case and gives its volts', async (published) => {
    const figures = published.expected.flatMap((each) => (each.quantity === 'voltage' && !each.suspect ? [each] : []));
    expect(figures.length).toBeGreaterThan(0);
    const voltagesBetween = figures.map(({ from, to }) => ({ from, to }));
    const { status, body } = await post({ ...toNetwork(published), voltagesBetween });
    expect(status, JSON.stringify(body.errors)).toBe(200);
    const { mag_abs_v, rect_abs_v, mag_relative = 0 } = published.recommended_tolerance;
    figures.forEach(({ mag, mag_decimals }, at) => {
      const printed = mag_decimals === null ? 0 : 0.5 * 10 ** -mag_decimals;
      const stated = mag_abs_v ?? (rect_abs_v === undefined ? mag_relative * mag : Math.SQRT2 * rect_abs_v);
      const off = Math.abs(body.voltagesBetween[at].voltageV - mag);
      expect(off, JSON.stringify(voltagesBetween[at])).toBeLessThanOrEqual(Math.max(stated, printed));
    });
  });

  it('says why there is no answer, and gives no figure then', async () => {
    const none = { iterations: null, terminals: [], voltagesBetween: [], elements: [], totals: null };
    const invalid = await post({ elements: [{ ...source, voltageV: 0 }] });
    expect(invalid).toMatchObject({ status: 200, body: { status: 'invalid', ...none } });
    expect(invalid.body.problems).toMatchObject([{ reason: 'badValue', elementId: 's' }]);
    const open = await post({
      elements: [source, { ...loadOf({ model: 'constantPower', powerW: 900 }), to: 'loose' }],
      voltagesBetween: [{ from: 'a', to: '0' }],
    });
    expect(open.body).toMatchObject({ status: 'notConverged', ...none });
    expect(open.body.problems).toMatchObject([{ reason: 'noReturnPath', elementId: 'load', terminal: 'loose' }]);
  });

  it.each([
    [
      'an open neutral',
      [source, { ...loadOf({ model: 'constantPower', powerW: 900 }), to: 'n' }],
      'noReturnPath',
      'load',
    ],
    [
      'a load on a line that nothing feeds',
      [source, { ...loadOf({ model: 'constantPower', powerW: 900 }), from: 'b' }],
      'deadLoad',
      'load',
    ],
    [
      'a loop without impedance',
      [source, ...['one', 'two'].map((id) => ({ kind: 'switch', id, from: 'a', to: 'b', closed: true }))],
      'idealLoop',
      'two',
    ],
    [
      'a transformer of 0 kVA',
      [
        source,
        {
          kind: 'transformer',
          id: 'T',
          windings: ['a', 'b'].map((plus) => {
            return { name: plus, plus, minus: '0', ratedV: 120, resistanceOhm: 0.1, reactanceOhm: 0.1, ratedVa: 0 };
          }),
        },
      ],
      'badValue',
      'T',
    ],
    [
      'more load than its conductors can carry',
      [
        source,
        { kind: 'impedance', id: 'wire', from: 'a', to: 'b', resistanceOhm: 1, reactanceOhm: 0 },
        { ...loadOf({ model: 'constantPower', powerW: 4_000 }), from: 'b' },
      ],
      'collapse',
      'load',
    ],
  ])('names the part and the reason for %s, and gives no figure', async (_, elements, reason, elementId) => {
    const { status, body } = await post({ elements });
    expect(status, JSON.stringify(body)).toBe(200);
    expect(body.problems[0]).toMatchObject({ reason, elementId });
    expect(body).toMatchObject({ terminals: [], elements: [], totals: null });
  });

  it('takes a conductor of zero length for a link', async () => {
    const link = { kind: 'impedance', id: 'link', from: 'a', to: 'b', resistanceOhm: 0, reactanceOhm: 0 };
    const elements = [source, link, { ...loadOf({ model: 'constantPower', powerW: 1_200 }), from: 'b' }];
    const { body } = await post({ elements, voltagesBetween: [{ from: 'b', to: '0' }] });
    expect(body).toMatchObject({ status: 'solved', voltagesBetween: [{ voltageV: 120 }] });
    const found = body.elements.find(({ id }: { id: string }) => id === 'link');
    expect(found.currents[0].currentA).toBeCloseTo(10, 9);
  });

  it('answers null for volts between terminals that it does not know', async () => {
    const { body } = await post({ elements: [source], voltagesBetween: [{ from: 'a', to: 'nowhere' }] });
    expect(body.voltagesBetween).toEqual([{ from: 'a', to: 'nowhere', voltageV: null, angleDeg: null }]);
  });

  it.each([
    ['/elements', { elements: [] }],
    ['/elements', { elements: Array(2_001).fill(source) }],
    ['/elements/0/kind', { elements: [{ ...source, kind: 'battery' }] }],
    ['/elements/0/plus', { elements: [{ ...source, plus: 'x'.repeat(81) }] }],
    ['/elements/0/colour', { elements: [{ ...source, colour: 'red' }] }],
    ['/elements/0/demand/model', { elements: [loadOf({ model: 'other', powerW: 1 })] }],
  ])('names %s where it is wrong', async (pointer, wrong) => {
    const reply = await post(wrong);
    expect(reply).toMatchObject({ status: 400, body: { type: '/problems/invalid-input' } });
    expect(reply.body.errors).toMatchObject([{ in: 'body', pointer }]);
  });
});

import { describe, expect, it } from 'vitest';
import { configuration, configurations } from '../../../core/standards/configurations.ts';
import { readPlugAsSaid } from '../../../core/standards/plug-as-said.ts';
import receptacles from '../../reference/receptacles.json' with { type: 'json' };

describe('contact patterns', () => {
  it.each(receptacles.patterns)('$id as published', (published) => {
    const pattern = configuration(published.id);
    expect(pattern).toMatchObject({
      ratedA: published.ratedA,
      labelV: published.labelV,
      poles: published.poles,
      wires: published.wires,
      shorePower: published.shorePower,
    });
    // A value from memory must be marked where it is built in.
    if (published.mark === 'memory') expect(pattern?.source.fromMemory).toBe(true);
  });

  it.each(receptacles.patterns.filter((pattern) => pattern.kva !== undefined))('$id carries $kva kVA', (published) => {
    const pattern = configuration(published.id);
    const lines = pattern?.terminals.filter((terminal) => terminal.startsWith('L')).length ?? 0;
    const kva = ((pattern?.ratedA ?? 0) * (lines === 3 ? Math.sqrt(3) * 400 : 230)) / 1000;
    expect(kva).toBeCloseTo(published.kva ?? 0, 1);
  });

  it.each(receptacles.fullPowerVa)('$id carries $va VA', (published) => {
    const pattern = configuration(published.id);
    const lines = pattern?.terminals.filter((terminal) => terminal.startsWith('L')).length ?? 0;
    expect((pattern?.ratedA ?? 0) * (pattern?.lineToNeutralV ?? 0) * lines).toBe(published.va);
  });

  it('has one pattern an id, each with as many contacts as wires and a ground', () => {
    expect(new Set(configurations.map((pattern) => pattern.id)).size).toBe(configurations.length);
    for (const pattern of configurations) {
      expect(pattern.terminals.length, pattern.id).toBe(pattern.wires);
      expect(pattern.terminals, pattern.id).toContain('G');
      // NEMA WD 6 and its likes: a grounded device has one wire more than poles; IEC counts the neutral as a pole here.
      expect(pattern.wires, pattern.id).toBe(pattern.poles + 1);
    }
    expect(configuration('L99-99')).toBeNull();
  });
});

describe('the plug as said on the phone', () => {
  const read: readonly [string, readonly (readonly string[])[]][] = [
    ['50 A', [['SS1-50', 'SS2-50']]],
    ['30 amp', [['L5-30']]],
    ['30', [['L5-30']]],
    ['one 30 amp plug', [['L5-30']]],
    ['two thirties', [['L5-30'], ['L5-30']]],
    ['2 30s', [['L5-30'], ['L5-30']]],
    ['2 x 30A', [['L5-30'], ['L5-30']]],
    ['30 and 30', [['L5-30'], ['L5-30']]],
    ['50A 240', [['SS2-50']]],
    ['50 amp 125/250 V', [['SS2-50']]],
    ['50 amp, 125 volt', [['SS1-50']]],
    ['50 and two 30s', [['SS1-50', 'SS2-50'], ['L5-30'], ['L5-30']]],
    ['30A 240V', [['L14-30', 'L6-30']]],
    ['100', [['PS-100-125/250-3P4W', 'PS-100-120/208-4P5W']]],
    ['one hundred amps three phase', [['PS-100-120/208-4P5W', 'PS-100-480-3P4W']]],
    ['32 A blue', [['IEC-32-2P+E-230-6h']]],
    ['32 amp red', [['IEC-32-3P+N+E-400-6h']]],
    ['shore power 16', [['IEC-16-2P+E-230-6h', 'IEC-16-3P+N+E-400-6h']]],
    ['SS2-50', [['SS2-50']]],
    ['nema L14-30', [['L14-30']]],
    ['15 amp', [['5-15']]],
    ['no power', []],
    ['none', []],
    ['no shore power', []],
  ];
  it.each(read)('understands %j', (said, expected) => {
    expect(readPlugAsSaid(said)?.map((inlet) => inlet.configurationIds)).toEqual(expected);
  });

  it.each([
    '',
    'the usual',
    'big yellow one',
    'thirties',
    '37 amp',
    '30 30',
    '125',
    '50 amp blue',
    '240',
    '30 amp or maybe 50',
    'no idea',
    'not sure 30',
    '1000 x 30',
    'constructor 30',
    'x'.repeat(10_000),
  ])('does not guess at %j', (said) => {
    expect(readPlugAsSaid(said)).toBeNull();
  });
});

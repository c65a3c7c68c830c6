import { describe, expect, it } from 'vitest';
import { adapterKind, adapterKinds } from '../../../core/standards/adapter-kinds.ts';
import { configuration } from '../../../core/standards/configurations.ts';

describe('adapter kinds', () => {
  it('have one id each and are found by it', () => {
    expect(new Set(adapterKinds.map((kind) => kind.id)).size).toBe(adapterKinds.length);
    for (const kind of adapterKinds) expect(adapterKind(kind.id)).toBe(kind);
    expect(adapterKind('magic-box')).toBeNull();
  });

  it.each(adapterKinds)('$id joins contacts that exist, within their ratings', (kind) => {
    const fittings = new Map([...kind.plugs, ...kind.connectors].map((each) => [each.id, each.configurationId]));
    expect(fittings.size).toBe(kind.plugs.length + kind.connectors.length);
    for (const { from, to, ratedA, ratedV, breakerA } of kind.conductors) {
      expect(kind.plugs.map((plug) => plug.id)).toContain(from.fitting);
      expect(kind.connectors.map((connector) => connector.id)).toContain(to.fitting);
      for (const end of [from, to]) {
        const pattern = configuration(fittings.get(end.fitting) ?? '');
        expect(pattern?.terminals).toContain(end.terminal);
        expect(ratedA).toBeLessThanOrEqual(pattern?.ratedA ?? 0);
      }
      expect(ratedV).toBeGreaterThanOrEqual(configuration(fittings.get(to.fitting) ?? '')?.lineToNeutralV ?? 1);
      if (breakerA !== null) expect(breakerA).toBeLessThanOrEqual(ratedA);
    }
  });

  it.each(adapterKinds)('$id carries ground from every plug and right polarity', (kind) => {
    for (const connector of kind.connectors) {
      for (const plug of kind.plugs) {
        const grounded = kind.conductors.some(
          ({ from, to }) =>
            from.fitting === plug.id && to.fitting === connector.id && from.terminal === 'G' && to.terminal === 'G',
        );
        expect(grounded, `${plug.id} to ${connector.id}`).toBe(true);
      }
    }
    for (const { from, to } of kind.conductors)
      expect(from.terminal.startsWith('L') ? 'L' : from.terminal).toBe(to.terminal.startsWith('L') ? 'L' : to.terminal);
  });

  it('never change volts class: a 120 V pattern is never joined to a 230 V one', () => {
    for (const kind of adapterKinds) {
      const volts = [...kind.plugs, ...kind.connectors].map(
        (fitting) => configuration(fitting.configurationId)?.lineToNeutralV ?? 120,
      );
      expect(new Set(volts).size, kind.id).toBe(1);
    }
  });
});

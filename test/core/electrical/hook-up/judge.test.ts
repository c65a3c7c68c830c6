import { describe, expect, it } from 'vitest';
import type { HookUp, HookUpContext } from '../../../../core/electrical/hook-up/hook-up.ts';
import { judgedHookUp } from '../../../../core/electrical/hook-up/judge.ts';
import type { AdapterKind } from '../../../../core/standards/adapter-kind.ts';
import {
  boat,
  contextOf,
  cord,
  fact,
  hookUp,
  inlet,
  kindsById,
  noDevice,
  outlet,
  request,
  unknownDevice,
} from './support.ts';

function judge(built: HookUp, context: HookUpContext) {
  const judged = judgedHookUp(built, context);
  const said = judged.findings.filter(({ rule }) => rule !== 'hookup.whatRuns');
  return { ...judged, said: said.map(({ rule, level }) => `${level} ${rule}`) };
}

const i30 = inlet('I1', 'L5-30');
const i50 = inlet('I1', 'SS2-50');
const needs240 = inlet('I1', 'SS2-50', { needsLineToLine: fact(true) });
const mayNeed240 = inlet('I1', 'SS2-50', { needsLineToLine: null });
const l1 = outlet('a', 'L5-30', ['L1']);
const l2 = outlet('b', 'L5-30', ['L2']);
const both = outlet('c', 'SS2-50', ['L1', 'L2']);

function straight(theOutlet: typeof l1, theInlet: typeof i30, given: Parameters<typeof boat>[1] = {}) {
  const asked = request(boat([theInlet], given), [theOutlet]);
  return judge(hookUp([theOutlet], null, theInlet), contextOf(asked));
}

function through(
  kindId: string,
  outlets: readonly (typeof l1)[],
  theInlet: typeof i30,
  given: Partial<HookUpContext> = {},
) {
  const asked = request(boat([theInlet]), outlets);
  return judge(hookUp(outlets, kindId, theInlet), { ...contextOf(asked), ...given });
}

describe('a plug straight into its outlet', () => {
  it('is clear where everything is known and fits, and gives its full amperes', () => {
    const judged = straight(both, i50);
    expect(judged.said).toEqual([]);
    expect(judged.verdict).toBe('clear');
    // 50 A 125/250 V is two 50 A lines, 12,000 VA (NEMA WD 6; test/reference/receptacles.json).
    expect(judged.availableVa).toBe(12_000);
    expect(judged.inlets[0]?.lineToLineV).toBe(240);
    expect(judged.inlets[0]?.legs.map((leg) => leg.availableA)).toEqual([50, 50]);
    expect(straight(l1, i30).availableVa).toBe(3600);
  });

  it('never mates 50 A 125 V with 50 A 125/250 V', () => {
    expect(straight(outlet('a', 'SS1-50', ['L1']), i50).said).toContain('refuse hookup.mating');
    expect(straight(both, inlet('I1', 'SS1-50')).said).toContain('refuse hookup.mating');
  });

  it('is no shore power on a 15 or 20 A outlet', () => {
    for (const id of ['5-15', '5-20', 'L5-20'])
      expect(straight(outlet('a', id, ['L1']), inlet('I1', id), { cordSets: fact([cord(id, 15)]) }).said).toContain(
        'refuse hookup.notShorePower',
      );
  });

  it.each([
    ['the breaker', { breakerA: null }, 'confirm hookup.breakerUnknown'],
    ['the lines', { lines: null }, 'confirm hookup.linesUnknown'],
    ['the system', { system: null }, 'confirm hookup.systemUnknown'],
    ['the ground-fault device', { groundFault: unknownDevice }, 'confirm hookup.groundFaultUnknown'],
    [
      'its setting',
      { groundFault: { device: 'fitted', settingMa: null, delayMs: null } },
      'confirm hookup.groundFaultSettingUnknown',
    ],
  ] as const)('is unconfirmed where %s is unknown', (_, patch, expected) => {
    const judged = straight({ ...l1, ...patch }, i30);
    expect(judged.said).toContain(expected);
    expect(judged.verdict).toBe('unconfirmed');
    expect(judged.findings.every(({ level, missingFact }) => level !== 'confirm' || missingFact !== undefined)).toBe(
      true,
    );
  });

  it('cautions without a ground-fault device (NEC 555.35) and refuses a breaker above the outlet', () => {
    expect(straight({ ...l1, groundFault: noDevice }, i30).said).toEqual(['caution hookup.groundFaultNone']);
    expect(straight({ ...l1, breakerA: 40 }, i30).said).toContain('refuse hookup.breakerAboveOutlet');
  });

  it('gives 208 V with its figures, to confirm unless nothing needs line to line', () => {
    const wye = outlet('w', 'SS2-50', ['L2', 'L3'], { systemId: '208Y/120' });
    const judged = straight(wye, mayNeed240);
    const finding = judged.findings.find(({ rule }) => rule === 'hookup.reducedVoltage');
    expect(finding).toMatchObject({ level: 'confirm', actual: 208, limit: 240, unit: 'V' });
    // 75.1 % of the watts, 115 % of the amperes: test/reference/hook-up.json, U6.
    expect(finding?.message).toContain('75.1 %');
    expect(finding?.message).toContain('115.4 %');
    expect(straight(wye, needs240).verdict).toBe('unconfirmed');
    expect(straight(wye, i50).said).toEqual(['caution hookup.reducedVoltage']);
  });

  it('refuses the high leg of a 240/120 V delta on a 120 V inlet, and 230 V on a 120 V one', () => {
    const high = straight(outlet('h', 'L5-30', ['L2'], { systemId: '240/120-high-leg-delta' }), i30);
    expect(high.findings[0]).toMatchObject({ rule: 'hookup.voltage', level: 'refuse', actual: 208, limit: 120 });
    const european = straight(outlet('e', 'L5-30', ['L1'], { systemId: '230-single-phase', earthing: 'TT' }), i30);
    expect(european.said).toContain('refuse hookup.voltage');
    expect(european.said).toContain('refuse hookup.frequency');
  });

  it('judges frequency by what the boat is built for, and never takes an unknown one for fine', () => {
    expect(straight(l1, i30, { frequenciesHz: fact([50, 60]) }).verdict).toBe('clear');
    expect(straight(l1, i30, { frequenciesHz: fact([50]) }).said).toEqual(['refuse hookup.frequency']);
    expect(straight(l1, i30, { frequenciesHz: null }).said).toEqual(['confirm hookup.frequencyUnknown']);
    const assumed = { value: [60], origin: 'default', at: 0 } as const;
    expect(straight(l1, i30, { frequenciesHz: assumed }).said).toEqual(['confirm hookup.frequencyUnknown']);
  });

  it('feeds no boat from TN-C-S (BS 7671 709.411.4), and wants the earthing known on the IEC side', () => {
    const blue = inlet('I1', 'IEC-16-2P+E-230-6h');
    const fed = (earthing: 'TN-C-S' | 'TT' | null) =>
      straight(outlet('e', 'IEC-16-2P+E-230-6h', ['L1'], { systemId: '230-single-phase', earthing }), blue, {
        frequenciesHz: fact([50]),
      }).said;
    expect(fed('TT')).toEqual([]);
    expect(fed('TN-C-S')).toEqual(['refuse hookup.earthing']);
    expect(fed(null)).toEqual(['confirm hookup.earthingUnknown']);
  });

  it('needs no neutral for a 240 V transformer primary', () => {
    const judged = straight(outlet('t', 'L6-30', ['L1', 'L2']), inlet('I1', 'L6-30'));
    expect(judged.verdict).toBe('clear');
    expect(judged.availableVa).toBe(7200);
  });

  it('keeps "50 A" ambiguous and asks which it is', () => {
    const said = inlet('I1', 'SS2-50', { configurationIds: fact(['SS1-50', 'SS2-50']) });
    const judged = judge(hookUp([both], null, said, 'SS2-50'), contextOf(request(boat([said]), [both])));
    expect(judged.said).toEqual(['confirm hookup.inletConfiguration']);
    expect(judged.findings[0]?.missingFact).toMatchObject({ fact: 'inlets.0.configurationIds' });
  });

  it('feeds no cover that is no power inlet, and asks what each of several feeds', () => {
    expect(straight(l1, inlet('I1', 'L5-30', { duty: fact('notPower') })).said).toContain(
      'refuse hookup.notPowerInlet',
    );
    const two = boat([inlet('I1', 'L5-30', { duty: null }), inlet('I2', 'L5-30', { duty: fact('charger') })]);
    const asked = contextOf(request(two, [l1]));
    const first = two.inlets[0];
    if (first === undefined) throw new Error('no inlet');
    expect(judge(hookUp([l1], null, first), asked).said).toEqual([
      'confirm hookup.inletDuty',
      'confirm hookup.inletUnfed',
    ]);
  });

  it('needs a cord set of the inlet', () => {
    expect(straight(l1, i30, { cordSets: null }).said).toEqual(['confirm hookup.cordUnknown']);
    expect(straight(l1, i30, { cordSets: fact([cord('SS2-50', 50)]) }).said).toEqual(['refuse hookup.cordMissing']);
  });
});

describe('step-down', () => {
  const pigtail = 'step-down-SS2-50-to-L5-30';
  it('cautions where the main breaker aboard is no larger than the cord, else wants it confirmed', () => {
    const main = (a: number | null) => inlet('I1', 'L5-30', { mainBreakerA: a === null ? null : fact(a) });
    expect(through(pigtail, [both], main(30)).said).toContain('caution hookup.conductorBelowBreaker');
    expect(through(pigtail, [both], main(50)).said).toContain('confirm hookup.conductorBelowBreaker');
    expect(through(pigtail, [both], main(null)).said).toContain('confirm hookup.conductorBelowBreaker');
    expect(through(pigtail, [both], main(30), { refuseCordBelowBreaker: true }).said).toContain(
      'refuse hookup.conductorBelowBreaker',
    );
  });

  it('is clear with a breaker built in, and gives 30 A', () => {
    const judged = through(`${pigtail}-breaker`, [both], i30, { refuseCordBelowBreaker: true });
    expect(judged.verdict).toBe('clear');
    expect(judged.availableVa).toBe(3600);
  });

  it('minds the amperes of the cord set', () => {
    const asked = request(boat([i50], { cordSets: fact([cord('SS2-50', 30)]) }), [both]);
    const judged = judge(hookUp([both], null, i50), contextOf(asked));
    expect(judged.said).toEqual(['confirm hookup.conductorBelowBreaker']);
    expect(judged.availableVa).toBe(7200);
  });
});

describe('one line for two legs', () => {
  it.each([
    ['single-leg-open-L5-30-to-SS2-50', 'hookup.deadLeg'],
    ['single-leg-bridged-L5-30-to-SS2-50', 'hookup.sameLine'],
  ])('%s: refused, to confirm or cautioned by what the boat needs', (kindId, rule) => {
    expect(through(kindId, [l1], needs240).said).toContain(`refuse ${rule}`);
    expect(through(kindId, [l1], mayNeed240).said).toContain(`confirm ${rule}`);
    expect(through(kindId, [l1], i50).said).toContain(`caution ${rule}`);
    // Total 30 A, no 240 V (facts of the trade: single-leg feed).
    expect(through(kindId, [l1], i50).availableVa).toBe(3600);
  });
});

describe('combiner', () => {
  const kindId = 'combiner-2xL5-30-to-SS2-50';
  const locked = `${kindId}-interlock`;
  const quiet = { groundFault: noDevice };

  it('U2: both outlets on one line: 60 A in a 50 A neutral (30 A in its own paths), 0 V line to line', () => {
    const judged = through(locked, [{ ...l1, ...quiet }, outlet('d', 'L5-30', ['L1'], quiet)], i50);
    expect(judged.findings[0]).toMatchObject({
      rule: 'hookup.neutralOverload',
      level: 'refuse',
      actual: 60,
      limit: 30,
    });
    expect(judged.inlets[0]?.lineToLineV).toBe(0);
  });

  it('trips ground-fault devices on opposite lines, whatever their setting', () => {
    const judged = through(locked, [l1, l2], i50);
    expect(judged.findings[0]).toMatchObject({ rule: 'hookup.residual', level: 'refuse', actual: 30_000, unit: 'mA' });
    const one = through(
      locked,
      [
        { ...l1, ...quiet },
        { ...l2, groundFault: { ...l2.groundFault, settingMa: null } },
      ],
      i50,
    );
    expect(one.said).toContain('refuse hookup.residual');
    const unknown = through(
      locked,
      [
        { ...l1, ...quiet },
        { ...l2, groundFault: unknownDevice },
      ],
      i50,
    );
    expect(unknown.said).toContain('confirm hookup.residual');
    const above = [{ equipmentId: 'feeder', device: 'fitted' }] as const;
    expect(
      through(
        locked,
        [
          { ...l1, ...quiet, devicesAbove: above },
          { ...l2, ...quiet },
        ],
        i50,
      ).said,
    ).toContain('refuse hookup.residual');
    expect(
      through(
        locked,
        [
          { ...l1, ...quiet, devicesAbove: above },
          { ...l2, ...quiet, devicesAbove: above },
        ],
        i50,
      ).verdict,
    ).toBe('cautioned');
  });

  it('is never clear without an interlock, and cautioned with one where no device trips', () => {
    const quietly = [
      { ...l1, ...quiet },
      { ...l2, ...quiet },
    ];
    expect(through(kindId, quietly, i50).said).toContain('confirm hookup.exposedContacts');
    const judged = through(locked, quietly, i50);
    expect(judged.verdict).toBe('cautioned');
    expect(judged.inlets[0]?.lineToLineV).toBe(240);
    expect(judged.availableVa).toBe(7200);
  });

  it('refuses different supplies, and outlets in parallel', () => {
    expect(through(locked, [l1, { ...l2, supplyId: 'another' }], i50).said).toContain(
      'refuse hookup.differentSupplies',
    );
    expect(through(locked, [l1, { ...l2, supplyId: null }], i50).said).toContain('confirm hookup.suppliesUnknown');
    const big = inlet('I1', 'PS-100-125/250-3P4W');
    const doubled = through('combiner-2xSS2-50-to-PS-100-125-250', [both, { ...both, id: 'd', label: 'D' }], big);
    expect(doubled.said).toContain('refuse hookup.parallelSources');
  });

  it('refuses a plug left loose', () => {
    expect(through(locked, [l1], i50).said).toContain('refuse hookup.loosePlug');
  });
});

describe('aboard', () => {
  it('a joint of neutral and ground is refused on shore power, and asked for where nobody has stated it', () => {
    const bonded = (given: Parameters<typeof boat>[1], theOutlet = l1) => straight(theOutlet, i30, given).said;
    expect(bonded({ neutralBond: fact('always') })).toEqual(['refuse hookup.bondAboard']);
    expect(bonded({ neutralBond: fact('ownSupply') })).toEqual([]);
    // A device that would find it may fail: nobody asked is not safe, whatever the outlet has.
    expect(bonded({ neutralBond: null })).toEqual(['confirm hookup.bondAboard']);
    expect(bonded({ neutralBond: null }, { ...l1, groundFault: noDevice })).toContain('confirm hookup.bondAboard');
    expect(bonded({ neutralBond: { value: 'none', origin: 'default', at: 0 } })).toEqual(['confirm hookup.bondAboard']);
  });

  it('a generator or inverter needs a transfer switch', () => {
    const with_ = (transfer: 'switched' | 'parallel' | null) =>
      straight(l1, i30, { ownSupplies: fact([{ kind: 'generator', transfer }]) }).said;
    expect(with_('switched')).toEqual([]);
    expect(with_('parallel')).toEqual(['refuse hookup.ownSupplyParallel']);
    expect(with_(null)).toEqual(['confirm hookup.ownSupplyUnknown']);
    expect(straight(l1, i30, { ownSupplies: null }).said).toEqual(['confirm hookup.ownSupplyUnknown']);
  });

  const transformer = fact({
    place: 'aboard' as const,
    primaryV: 240,
    secondaryV: 240,
    legs: 2 as const,
    ratedVa: null,
  });
  it('a transformer across two lines needs both, may be joined to ground, and uses no neutral', () => {
    const behind = inlet('I1', 'SS2-50', { transformer });
    expect(straight(both, behind, { neutralBond: fact('always') }).said).toEqual([]);
    expect(through('single-leg-bridged-L5-30-to-SS2-50', [l1], behind).said).toContain('refuse hookup.sameLine');
    expect(straight(outlet('w', 'SS2-50', ['L2', 'L3'], { systemId: '208Y/120' }), behind).said).toEqual([
      'confirm hookup.reducedVoltage',
    ]);
    const primary = inlet('I1', 'L6-30', { transformer });
    expect(straight(outlet('t', 'L6-30', ['L1', 'L2']), primary).said).toEqual([]);
  });

  it('a transformer of one line takes its own current within what the breaker passes: its neutral carries no more', () => {
    // Kirchhoff: the primary's neutral carries what its line does, and the line's breaker opens for both.
    for (const place of ['aboard', 'dockBox'] as const) {
      const behind = inlet('I1', 'L5-30', {
        transformer: fact({ place, primaryV: 120, secondaryV: 120, legs: 1, ratedVa: 12_000 }),
      });
      expect(straight(l1, behind).said).toEqual([]);
    }
  });

  it('a charger for 100-250 V and 50/60 Hz takes what its pattern is not made for', () => {
    const accepts = fact({ lowestV: 100, highestV: 250, frequenciesHz: [50, 60] });
    const european = outlet('e', 'L5-30', ['L1'], { systemId: '230-single-phase', earthing: 'TT' });
    const charger = inlet('I1', 'L5-30', { duty: fact('charger'), accepts });
    expect(straight(european, charger).said).toEqual([]);
    expect(straight(european, i30).said).toContain('refuse hookup.voltage');
    const narrow = inlet('I1', 'L5-30', { accepts: fact({ lowestV: 100, highestV: 200, frequenciesHz: [60] }) });
    expect(straight(european, narrow).said).toEqual(['refuse hookup.frequency']);
  });
});

describe('a long cord', () => {
  // 50 m of 10 AWG (1.24 ohm/kft, NEC Chapter 9 Table 8) at 30 A: 2 x 50 m x 4.07 mohm/m x 30 A = 12.2 V of 120 V.
  const longCord = { cordSets: fact([{ ...cord('L5-30', 30), lengthM: 50 }]) };
  const on = (loadVa: number) => [
    { name: 'heater', loadVa, motor: false, continuous: true, inletId: 'I1', legs: 'L1' as const },
  ];
  it('leaves too few volts at full amperes: the loads aboard decide', () => {
    expect(straight(l1, i30).said).toEqual([]);
    expect(straight(l1, i30, longCord).said).toEqual(['confirm hookup.voltageDrop']);
    expect(straight(l1, i30, { ...longCord, appliances: fact(on(1500)) }).said).toEqual(['caution hookup.voltageDrop']);
    expect(straight(l1, i30, { ...longCord, appliances: fact(on(3600)) }).said).toEqual(['confirm hookup.voltageDrop']);
  });
});

describe('what runs', () => {
  const words = ({ findings }: ReturnType<typeof judge>) =>
    findings.find(({ rule }) => rule === 'hookup.whatRuns')?.message ?? '';
  it('is said by leg and in all, with what must stay off', () => {
    expect(words(straight(both, i50))).toBe(
      'Test Boat can run 12 kVA at once: I1 L1 50 A (6 kVA), I1 L2 50 A (6 kVA).',
    );
    expect(words(through('single-leg-open-L5-30-to-SS2-50', [l1], i50))).toContain(
      'Stays off: what hangs on L2 of inlet I1; what needs 240 V behind inlet I1.',
    );
    const heater = { name: 'heater', loadVa: 5000, motor: false, continuous: true, inletId: 'I1', legs: 'L1' as const };
    expect(words(straight(l1, i30, { appliances: fact([heater]) }))).toContain('heater (5 kVA)');
  });
});

describe('an adapter of bad wiring', () => {
  const good = kindsById.get('step-up-L5-30-to-SS1-50');
  if (good === undefined) throw new Error('no such kind');
  const i50one = inlet('I1', 'SS1-50');
  const wired = (conductors: AdapterKind['conductors']) => {
    const bad = { ...good, conductors };
    return through(good.id, [l1], i50one, { adapterKinds: new Map([[good.id, bad]]) }).said;
  };

  it('is refused without ground or neutral, with crossed polarity, and below the volts', () => {
    expect(wired(good.conductors.filter(({ to }) => to.terminal !== 'G'))).toContain('refuse hookup.groundOpen');
    expect(wired(good.conductors.filter(({ to }) => to.terminal !== 'N'))).toContain('refuse hookup.neutralOpen');
    expect(wired(good.conductors.filter(({ to }) => to.terminal !== 'L1'))).toContain('refuse hookup.noPower');
    const crossed = { L1: 'N', N: 'L1', G: 'G', L2: 'L2', L3: 'L3' } as const;
    expect(
      wired(good.conductors.map((each) => ({ ...each, to: { ...each.to, terminal: crossed[each.to.terminal] } }))),
    ).toContain('refuse hookup.polarity');
    expect(wired(good.conductors.map((each) => ({ ...each, ratedV: 50 })))).toContain('refuse hookup.adapterVolts');
  });

  it('is refused as a straight blade piece', () => {
    const small = inlet('I1', '5-15');
    expect(through('step-down-L5-30-to-5-15', [l1], small).said).toContain('refuse hookup.straightBlade');
  });

  it('in a circle ends the trace', () => {
    const loop: HookUp = {
      adapters: [{ ref: 'A1', kindId: 'splitter-L5-30-to-2xL5-30', from: 'aboard', stockId: null }],
      joints: [
        {
          from: { kind: 'connector', adapter: 'A1', fitting: 'C2' },
          to: { kind: 'plug', adapter: 'A1', fitting: 'P1' },
        },
        {
          from: { kind: 'connector', adapter: 'A1', fitting: 'C1' },
          to: { kind: 'inlet', inletId: 'I1', configurationId: 'L5-30' },
        },
      ],
    };
    expect(judge(loop, contextOf(request(boat([i30]), [l1]))).verdict).toBe('refused');
  });
});

describe('a boat without power', () => {
  const nothing: HookUp = { adapters: [], joints: [] };
  it('gets a note where it wants none, and no clear verdict otherwise', () => {
    const said = (wants: boolean | null) =>
      judge(nothing, contextOf(request(boat([i30], { wantsPower: wants === null ? null : fact(wants) }), []))).said;
    expect(said(false)).toEqual(['note hookup.noPowerWanted']);
    expect(said(true)).toEqual(['refuse hookup.none']);
    expect(said(null)).toEqual(['confirm hookup.wantsPowerUnknown']);
  });
});

import { describe, expect, it } from 'vitest';
import type { CheckInEntry } from '../../../core/check-in/check-in.ts';
import { fittingPoints } from '../../../core/check-in/fitting-points.ts';
import { judgeCheckIn } from '../../../core/check-in/judge-check-in.ts';
import { connectSteps, disconnectSteps } from '../../../core/check-in/steps.ts';
import { cord, noDevice, outlet } from '../electrical/hook-up/support.ts';
import {
  factsFor,
  fiftyAmpere,
  notLooked,
  soundEntry,
  soundReadings,
  thirtyAmpere,
  wholeBoat,
  withReading,
} from './support.ts';

const boat30 = wholeBoat('L5-30', 30);
const boat50 = wholeBoat('SS2-50', 50);
const facts30 = factsFor(boat30, [thirtyAmpere]);
const rulesOf = (judged: ReturnType<typeof judgeCheckIn>, level: string) =>
  judged.findings.filter((finding) => finding.level === level).map(({ rule }) => rule);
const judged30 = (given: Partial<CheckInEntry>) => judgeCheckIn(facts30, soundEntry([thirtyAmpere], given));
const read30 = (...changes: Parameters<typeof withReading> extends [unknown, ...infer Rest] ? Rest : never) =>
  judged30({ readings: withReading(soundReadings(thirtyAmpere), ...changes) });

describe('a check-in', () => {
  it('powers a boat of which everything is looked at, read and sound', () => {
    const judged = judged30({});
    expect(judged.findings.filter(({ level }) => level !== 'note')).toEqual([]);
    expect(judged.outcome).toBe('powered');
    expect(judged.mayEnergise).toBe(true);
  });

  it('lets the breaker be switched on before the leakage is read, and is held until it is', () => {
    const readings = soundReadings(thirtyAmpere).filter(({ name }) => !name.startsWith('leakage'));
    const judged = judged30({ readings });
    expect(judged.mayEnergise).toBe(true);
    expect(judged.outcome).toBe('heldWithoutPower');
  });

  it('powers with conditions where a caution speaks, and names them', () => {
    // NEC 555.35 (2020): a ground-fault device at each shore-power receptacle; an older one may lack it.
    const old = outlet('7a', 'L5-30', ['L1'], { groundFault: noDevice });
    const judged = judgeCheckIn(factsFor(boat30, [old]), soundEntry([old]));
    expect(judged.outcome).toBe('poweredWithConditions');
    expect(judged.conditions.join(' ')).toContain('ground-fault device');
  });

  it('counts no assumption as told: a default confirms nothing', () => {
    const assumed = wholeBoat('L5-30', 30, { frequenciesHz: { value: [60], origin: 'default', at: 0 } });
    const judged = judgeCheckIn(factsFor(assumed, [thirtyAmpere]), soundEntry([thirtyAmpere]));
    expect(judged.outcome).toBe('heldWithoutPower');
    expect(judged.mayEnergise).toBe(false);
  });
});

describe('what is really there', () => {
  it('is judged in place of what was announced: 50 A 125 V and 50 A 125/250 V never mate (NEMA WD 6)', () => {
    const found = { inlets: [], adapterKindIds: null, frequenciesHz: null, wantsPower: null, ...notLooked };
    const inlets = [
      { id: 'I1', configurationId: 'SS1-50', mainBreakerA: 50, duty: null, needsLineToLine: null },
    ] as const;
    const judged = judgeCheckIn(
      factsFor(boat50, [fiftyAmpere]),
      soundEntry([fiftyAmpere], { boat: { ...found, inlets, cordSets: [cord('SS1-50', 50)] } }),
    );
    expect(judged.outcome).toBe('refused');
    expect(judged.mayEnergise).toBe(false);
    expect(judged.mends.join(' ')).toContain('SS1-50');
  });

  it('refuses a cord that does not go into the inlet, and says which would', () => {
    const cords = { inlets: [], adapterKindIds: null, frequenciesHz: null, wantsPower: null, ...notLooked };
    const judged = judgeCheckIn(
      factsFor(boat50, [fiftyAmpere]),
      soundEntry([fiftyAmpere], { boat: { ...cords, cordSets: [cord('L5-30', 30)] } }),
    );
    expect(rulesOf(judged, 'refuse')).toEqual(['hookup.cordMissing']);
    expect(judged.mends).toEqual(['a cord set of SS2-50']);
  });

  it('judges the lines that were measured: a combiner on one line is refused, whatever was entered', () => {
    // Kirchhoff: both legs on one line give 0 V line to line and a neutral that carries their sum.
    const outlets = [outlet('7a', 'L5-30', ['L1']), outlet('7b', 'L5-30', ['L2'])];
    const adapters = [{ kindId: 'combiner-2xL5-30-to-SS2-50', from: 'aboard', stockId: null }] as const;
    const seen = { outletId: '7b', lines: ['L1'], breakerA: null, groundFault: null } as const;
    const judged = judgeCheckIn(factsFor(boat50, outlets), soundEntry(outlets, { adapters, outlets: [seen] }));
    expect(judged.outcome).toBe('refused');
    expect(rulesOf(judged, 'caution')).toContain('checkin.outletDiffers');
  });

  it('is held where the boat wants no power, whatever else is not read', () => {
    const none = {
      inlets: [],
      cordSets: null,
      adapterKindIds: null,
      frequenciesHz: null,
      wantsPower: false,
      ...notLooked,
    };
    const judged = judged30({ boat: none, outletIds: [], readings: [], fittings: [] });
    expect(judged.outcome).toBe('heldWithoutPower');
    expect(judged.verdict).toBe('clear');
  });

  it('is held for a reason of the person at the dock', () => {
    const judged = judged30({ heldBecause: 'nobody aboard' });
    expect(judged.outcome).toBe('heldWithoutPower');
    expect(judged.mayEnergise).toBe(false);
  });
});

describe('a phone', () => {
  it('says call once its facts have expired', () => {
    const judged = judged30({ at: facts30.holdsUntil });
    expect(judged.outcome).toBe('callDesk');
    expect(judged.mayEnergise).toBe(false);
  });

  it('says call for an outlet that nobody kept for the boat: its feeder was not judged', () => {
    const judged = judgeCheckIn({ ...facts30, keptOutletIds: [] }, soundEntry([thirtyAmpere]));
    expect(judged.outcome).toBe('callDesk');
  });

  it('passes on what the desk refused of the feeder', () => {
    const refusal = {
      rule: 'demand.breaker',
      level: 'refuse',
      subject: { kind: 'equipment', id: 'f', label: 'F' },
      actual: 210,
      limit: 200,
      unit: 'A',
      source: 'test',
      message: 'Feeder F is full.',
    } as const;
    expect(judgeCheckIn({ ...facts30, deskFindings: [refusal] }, soundEntry([thirtyAmpere])).outcome).toBe('refused');
  });
});

describe('fittings', () => {
  it.each(fittingPoints.filter(({ place }) => place !== 'adapter'))('refuse a bad $id with what mends it', (point) => {
    const looks = soundEntry([thirtyAmpere]).fittings;
    const fittings = looks.map((look) => (look.pointId === point.id ? { ...look, seen: 'bad' as const } : look));
    const judged = judged30({ fittings });
    expect(judged.outcome).toBe('refused');
    expect(judged.mends).toEqual([point.mend]);
  });

  it('not looked at leave it unconfirmed, with a reason or without', () => {
    const looks = soundEntry([thirtyAmpere]).fittings;
    for (const note of [null, 'under the tarpaulin'])
      for (const each of looks) {
        const fittings = looks.map((look) => (look === each ? { ...look, seen: 'notLooked' as const, note } : look));
        expect(judged30({ fittings }).mayEnergise).toBe(false);
      }
    expect(judged30({ fittings: [] }).mayEnergise).toBe(false);
  });
});

describe('volts', () => {
  // ANSI C84.1 range A (from memory): 114-126 V at the service, not below 108 V in use, on a nominal 120 V.
  it.each([
    [114, 'powered'],
    [126, 'powered'],
    [113.9, 'poweredWithConditions'],
    [108, 'poweredWithConditions'],
    [107.9, 'refused'],
    [126.1, 'refused'],
    [0, 'refused'],
  ])('of %d on a nominal 120 V: %s', (value, outcome) => {
    const readings = soundReadings(thirtyAmpere).map((each) =>
      each.name === 'lineToNeutralV' || each.name === 'lineToGroundV' ? { ...each, value } : each,
    );
    expect(judged30({ readings }).outcome).toBe(outcome);
  });

  // IEC 60038 (from memory): 230 V within 10 %.
  it.each([
    [207, 'powered'],
    [253, 'powered'],
    [206.9, 'refused'],
    [253.1, 'refused'],
  ])('of %d on a nominal 230 V: %s', (value, outcome) => {
    const blue = outlet('1', 'IEC-32-2P+E-230-6h', ['L1'], { systemId: '230-single-phase', earthing: 'TT' });
    const european = wholeBoat('IEC-32-2P+E-230-6h', 32, { frequenciesHz: { value: [50], origin: 'boater', at: 0 } });
    const readings = soundReadings(blue).map((each) =>
      each.name === 'lineToNeutralV' || each.name === 'lineToGroundV' ? { ...each, value } : each,
    );
    expect(judgeCheckIn(factsFor(european, [blue]), soundEntry([blue], { readings })).outcome).toBe(outcome);
  });

  it('line to line tell 208 V from 240 V, and two contacts on one line from both', () => {
    // 208 V is 86.7 % of 240 V (derived), outside any band of it; 0 V is one line on both contacts.
    for (const value of [208, 0]) {
      const readings = withReading(soundReadings(fiftyAmpere), 'lineToLineV', { value });
      const judged = judgeCheckIn(factsFor(boat50, [fiftyAmpere]), soundEntry([fiftyAmpere], { readings }));
      expect(rulesOf(judged, 'refuse')).toEqual(['checkin.volts']);
    }
  });

  it('neutral to ground have limits of their own (common practice)', () => {
    expect(read30('neutralToGroundV', { value: 2 }).outcome).toBe('powered');
    expect(read30('neutralToGroundV', { value: 2.1 }).outcome).toBe('poweredWithConditions');
    expect(read30('neutralToGroundV', { value: 5.1 }).outcome).toBe('refused');
  });

  it('tell exchanged line and neutral: the neutral then stands at the volts of the line', () => {
    const readings = withReading(
      withReading(soundReadings(thirtyAmpere), 'lineToGroundV', { value: 0.4 }),
      'neutralToGroundV',
      { value: 119.8 },
    );
    expect(rulesOf(judged30({ readings }), 'refuse')).toEqual(['checkin.polarity']);
  });

  it('tell an open ground: line to ground contradicts the other two (triangle inequality of phasors)', () => {
    const judged = read30('lineToGroundV', { value: 61 });
    expect(rulesOf(judged, 'refuse')).toEqual(['checkin.groundOpen']);
  });
});

describe('leakage by clamp', () => {
  // A boat above 30 mA is not connected, as an ELCI aboard is set; a device may trip from half its setting (from memory).
  it.each([
    [15, 'powered'],
    [15.1, 'poweredWithConditions'],
    [30, 'poweredWithConditions'],
    [30.1, 'refused'],
  ])('of %d mA: %s', (value, outcome) => {
    expect(read30('leakageMa', { value }).outcome).toBe(outcome);
  });

  // IEC 60479-1 (from memory): let-go threshold 5 mA.
  it.each([
    [5, 'powered'],
    [5.1, 'poweredWithConditions'],
    [30.1, 'refused'],
  ])('with the ground, %d mA into the water: %s', (value, outcome) => {
    expect(read30('leakageWithGroundMa', { value }).outcome).toBe(outcome);
  });
});

describe('not measured', () => {
  it('never counts as a pass: a mandatory reading holds the boat even with a reason', () => {
    for (const { name, contact } of soundReadings(thirtyAmpere)) {
      const readings = soundReadings(thirtyAmpere).map((each) =>
        each.name === name && each.contact === contact
          ? { ...each, value: null, notMeasuredBecause: 'meter is away' }
          : each,
      );
      const outcome = facts30.mandatory.includes(name) ? 'heldWithoutPower' : 'poweredWithConditions';
      expect(judged30({ readings }).outcome, name).toBe(outcome);
    }
  });

  it('needs a reason: without one even an optional reading holds the boat', () => {
    expect(read30('leakageWithGroundMa', { value: null }).outcome).toBe('heldWithoutPower');
  });
});

describe('the steps', () => {
  it('make no joint under load and come apart in reverse (common practice)', () => {
    const order = (steps: typeof connectSteps) =>
      steps.map(({ id }) => id).filter((id) => ['boatMainOff', 'boatEnd', 'outletBreakerOff', 'dockEnd'].includes(id));
    expect(order(connectSteps)).toEqual(['boatMainOff', 'boatEnd', 'outletBreakerOff', 'dockEnd']);
    expect(order(disconnectSteps)).toEqual(['boatMainOff', 'outletBreakerOff', 'dockEnd', 'boatEnd']);
    const ids = connectSteps.map(({ id }) => id);
    expect(ids.indexOf('testOutlet')).toBe(0);
    expect(ids.indexOf('mayEnergise')).toBeLessThan(ids.indexOf('outletBreakerOn'));
    expect(ids.indexOf('outletBreakerOn')).toBeLessThan(ids.indexOf('boatMainOn'));
    expect(ids.indexOf('boatMainOn')).toBeLessThan(ids.indexOf('measure'));
  });

  it('each have a source', () => {
    for (const { source } of [...connectSteps, ...disconnectSteps]) expect(source.title).not.toBe('');
  });
});

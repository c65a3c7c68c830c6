import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { loadDemo } from '../../seed-demo/load.ts';
import { openTestDatabase, type TestDatabase } from '../support/database.ts';

/** 2030-06-14T16:00:00Z: noon at the demo marina. */
const now = Date.UTC(2030, 5, 14, 16);

describe('a load that was cut off', () => {
  let database: TestDatabase;

  beforeAll(async () => {
    database = await openTestDatabase();
  }, 60_000);

  afterAll(() => database.close());

  it('goes on with what is missing, also on a later day, and then is finished', async () => {
    const { db } = database;
    const cutOff = loadDemo(db, now, (line) => {
      if (line.startsWith('500 stays')) throw new Error('cut off');
    });
    await expect(cutOff).rejects.toThrow('cut off');
    expect(await db.prisma.stay.count()).toBe(500);

    const dayLater = now + 86_400_000;
    expect(await loadDemo(db, dayLater, () => {})).toBe(true);
    expect(await db.prisma.stay.count()).toBe(1_620);
    expect(
      await db.prisma.stay.count({ where: { state: 'promised', arrivalAt: { lt: new Date(now + 43_200_000) } } }),
    ).toBe(11);
    expect(await loadDemo(db, dayLater, () => {})).toBe(false);
  }, 180_000);
});

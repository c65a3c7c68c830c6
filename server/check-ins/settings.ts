import { isDeepStrictEqual } from 'node:util';
import { z } from 'zod';
import { readingNames, usualMandatoryReadings } from '../../core/check-in/readings.ts';
import type { Tx } from '../db/client.ts';
import { marinaTransaction } from '../db/marina-transaction.ts';
import { plainJson } from '../db/plain-json.ts';
import type { Principal } from '../http/access.ts';
import { line } from '../http/fields.ts';
import { requireVersion, type VersionCondition } from '../http/version.ts';
import type { Services } from '../services.ts';

const text = z.string().max(2_000).default('');

export const checkInSettingsSchema = z
  .strictObject({
    mandatoryReadings: z
      .array(z.enum(readingNames))
      .max(readingNames.length)
      .default([...usualMandatoryReadings])
      .describe('Without these no boat is powered. The others need a reason where they are not taken.'),
    contact: line(200).nullable().default(null).describe('Whom a boater calls; printed on the sheet.'),
    price: text.describe('As the marina words it; printed on the sheet.'),
    terms: text.describe('As the marina words them; printed on the sheet.'),
    afterHours: text.describe('What to do where nobody is at the dock; that the outlet stays off is always added.'),
  })
  .meta({ id: 'CheckInSettings' });

export type CheckInSettings = z.output<typeof checkInSettingsSchema>;

export const usualSettings: CheckInSettings = checkInSettingsSchema.parse({});

export interface VersionedSettings {
  readonly settings: CheckInSettings;
  readonly version: number;
}

/** What the marina says, or the usual where it has said nothing (version 0). */
export async function readCheckInSettings(tx: Tx, marinaId: string): Promise<VersionedSettings> {
  const row = await tx.checkInSettings.findUnique({ where: { marinaId } });
  if (row === null) return { settings: usualSettings, version: 0 };
  return { settings: checkInSettingsSchema.parse(row.document), version: row.version };
}

/** @throws Problem `stale-version` */
export async function replaceCheckInSettings(
  { db }: Services,
  command: {
    readonly principal: Principal;
    readonly now: number;
    readonly ifVersion: VersionCondition | null;
    readonly input: CheckInSettings;
  },
): Promise<VersionedSettings> {
  const { principal, now, ifVersion, input } = command;
  const { marinaId, id: actor } = principal;
  return marinaTransaction(
    db,
    { marinaId, actor, kind: 'checkInSettings.replaced', now },
    async ({ tx, recordChange }) => {
      const before = await readCheckInSettings(tx, marinaId);
      requireVersion(ifVersion, before.version, 'The settings of check-ins');
      const version = before.version + (isDeepStrictEqual(before.settings, input) ? 0 : 1);
      const document = plainJson(input);
      await tx.checkInSettings.upsert({
        where: { marinaId },
        create: { marinaId, document, version },
        update: { document, version },
      });
      await recordChange(plainJson(before.settings), document);
      return { settings: input, version };
    },
  );
}

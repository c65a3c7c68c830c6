import { randomUUID } from 'node:crypto';
import type { z } from 'zod';
import type { Tx } from '../db/client.ts';
import { plainJson } from '../db/plain-json.ts';
import type { findingSchema } from '../http/finding-schema.ts';

export const alertKinds = [
  'contradiction',
  'withoutPower',
  'shutDown',
  'outletFault',
  'wrongBerth',
  'trouble',
  'adapterMissing',
  'boaterAnswered',
  'notCome',
] as const;

/** A finding as it is stored and answered. */
export type StoredFinding = z.output<typeof findingSchema>;

/** Something that the desk should look at. */
export interface DeskAlert {
  readonly kind: (typeof alertKinds)[number];
  readonly stayId: string | null;
  readonly message: string;
  readonly findings: readonly StoredFinding[];
}

/** Inside the caller's marina transaction. */
export async function raiseAlerts(tx: Tx, marinaId: string, now: number, alerts: readonly DeskAlert[]): Promise<void> {
  await tx.deskAlert.createMany({
    data: alerts.map(({ findings, ...alert }) => ({
      marinaId,
      id: randomUUID(),
      at: new Date(now),
      findings: plainJson(findings),
      ...alert,
    })),
  });
}

import { Readable } from 'node:stream';
import type pg from 'pg';
import type { z } from 'zod';
import { csvText } from '../feeds/csv-text.ts';
import type { measuredLoadSchema } from './schema.ts';

type Deep<T> = T extends object ? { readonly [K in keyof T]: Deep<T[K]> } : T;

/** The table of existing load, with bills and notebook entries below it marked as what they are. */
export function measuredLoadCsv({
  parts,
  notes,
}: Deep<Pick<z.output<typeof measuredLoadSchema>, 'parts' | 'notes'>>): string {
  const columns = [
    'kind',
    'subjectId',
    'label',
    'from',
    'until',
    'peakVa',
    'peakAt',
    'peakA',
    'existingA',
    'totalA',
    'limitA',
    'method',
    'assessment',
    'completeShare',
    'daysRead',
    'unmeteredOutlets',
    'ratedVa',
    'statedVa',
    'why',
    'energyKwh',
    'peakDemandKw',
    'turnedAway',
    'suppliedBy',
  ] as const;
  type Row = Partial<Record<(typeof columns)[number], string | number | null>>;
  const rows: Row[] = [
    ...parts.map(({ equipmentId, why, ...part }) => ({
      kind: 'meters',
      subjectId: equipmentId,
      label: part.label,
      peakVa: part.peakVa,
      peakAt: part.peakAt,
      peakA: part.peakA,
      existingA: part.existingA,
      totalA: part.totalA,
      limitA: part.limitA,
      method: part.method,
      assessment: part.assessment,
      completeShare: part.completeShare,
      daysRead: part.daysRead,
      unmeteredOutlets: part.unmeteredOutlets,
      ratedVa: part.ratedVa,
      statedVa: part.statedVa,
      why: why.join(' '),
    })),
    ...notes.map(({ kind, subjectId, from, until, energyKwh, peakDemandKw, turnedAway, suppliedBy, note }) => ({
      kind,
      subjectId,
      label: note,
      from,
      until,
      energyKwh,
      peakDemandKw,
      turnedAway,
      suppliedBy,
    })),
  ];
  return csvText([columns, ...rows.map((row) => columns.map((column) => row[column] ?? null))]);
}

const pageSize = 20_000;
const lineNames = ['', 'L1', 'L2', 'L3'] as const;

interface ReadingRow {
  readonly meter_id: string;
  readonly line: number;
  readonly from_at: Date;
  readonly value: number;
}

/** Readings of a period as the import takes them, page by page, in memory that does not grow with the period. */
export function readingsCsv(
  pool: pg.Pool,
  marinaId: string,
  { from, until }: { readonly from: number; readonly until: number },
  meterId: string | null,
): Readable {
  async function* pages() {
    yield csvText([['meterId', 'from', 'line', 'value']]);
    let after: Pick<ReadingRow, 'meter_id' | 'line' | 'from_at'> = { meter_id: '', line: -1, from_at: new Date(0) };
    for (;;) {
      const { rows } = await pool.query<ReadingRow>(
        `SELECT meter_id, line, from_at, value FROM meter_reading
          WHERE marina_id = $1 AND from_at >= $2 AND from_at < $3 AND ($4::text IS NULL OR meter_id = $4)
            AND (meter_id, line, from_at) > ($5, $6, $7)
          ORDER BY meter_id, line, from_at LIMIT ${pageSize}`,
        [marinaId, new Date(from), new Date(until), meterId, after.meter_id, after.line, after.from_at],
      );
      yield csvText(
        rows.map(({ meter_id, line, from_at, value }) => [
          meter_id,
          from_at.toISOString(),
          lineNames[line] ?? '',
          value,
        ]),
      );
      const last = rows.at(-1);
      if (last === undefined || rows.length < pageSize) return;
      after = last;
    }
  }
  return Readable.from(pages());
}

import type { z } from 'zod';
import { csvText } from '../feeds/csv-text.ts';
import type { comparisonSchema } from './schema.ts';
import type { StoredStudy } from './stored-study.ts';

export const tableNames = ['changes', 'limits', 'sizes', 'volts', 'leakage', 'findings', 'obligations'] as const;

type Cell = string | number | null;

function csvOf(columns: readonly string[], rows: readonly (readonly Cell[])[]): string {
  return csvText([columns, ...rows]);
}

/** Every table of a comparison as CSV. */
export function comparisonTables(
  { changes, settings }: StoredStudy,
  { before, after, mended, remaining, added, obliged, obligations }: z.output<typeof comparisonSchema>,
): Record<(typeof tableNames)[number], string> {
  const sides = [
    { name: 'before', standing: before },
    { name: 'after', standing: after },
  ];
  const findings = { mended, remaining, added, obliged };
  return {
    changes: csvOf(
      ['id', 'label', 'cost', 'currency', 'lifeYears', 'outOfServiceDays', 'suppliedBy', 'requires'],
      changes.map((change) => [
        change.id,
        change.label,
        change.cost,
        settings.currency,
        change.lifeYears,
        change.outOfServiceDays,
        change.suppliedBy,
        change.requires.join(' '),
      ]),
    ),
    limits: csvOf(
      ['side', 'equipmentId', 'label', 'limit', 'winding', 'actual', 'limitValue', 'unit', 'assessment'],
      sides.flatMap(({ name, standing }) =>
        standing.parts.flatMap((part) =>
          part.limits.map(({ kind, winding, actual, limit, unit }) => [
            name,
            part.equipmentId,
            part.label,
            kind,
            winding,
            actual,
            limit,
            unit,
            part.assessment,
          ]),
        ),
      ),
    ),
    sizes: csvOf(
      ['side', 'equipmentId', 'label', 'demandVa', 'deviceNeededA', 'size', 'sizeUnit', 'parallelSets'],
      sides.flatMap(({ name, standing }) =>
        standing.parts.map(({ equipmentId, label, demandVa, deviceNeededA, conductorNeeded }) => [
          name,
          equipmentId,
          label,
          demandVa,
          deviceNeededA,
          conductorNeeded?.size ?? null,
          conductorNeeded?.sizeUnit ?? null,
          conductorNeeded?.parallelSets ?? null,
        ]),
      ),
    ),
    volts: csvOf(
      ['side', 'outletId', 'label', 'between', 'voltageV', 'nominalV', 'assessment'],
      sides.flatMap(({ name, standing }) =>
        standing.volts.map(({ outletId, label, between, voltageV, nominalV, assessment }) => [
          name,
          outletId,
          label,
          between,
          voltageV,
          nominalV,
          assessment,
        ]),
      ),
    ),
    leakage: csvOf(
      ['side', 'equipmentId', 'label', 'settingMa', 'boats', 'expectedMa', 'assessment'],
      sides.flatMap(({ name, standing }) =>
        standing.leakage.map(({ equipmentId, label, settingMa, boats, expectedMa, assessment }) => [
          name,
          equipmentId,
          label,
          settingMa,
          boats,
          expectedMa,
          assessment,
        ]),
      ),
    ),
    findings: csvOf(
      ['group', 'level', 'rule', 'subject', 'subjectId', 'message', 'source'],
      Object.entries(findings).flatMap(([group, list]) =>
        list.map(({ level, rule, subject, message, source }) => [
          group,
          level,
          rule,
          subject.label,
          subject.id,
          message,
          source,
        ]),
      ),
    ),
    obligations: csvOf(
      ['id', 'label', 'rule', 'changeIds', 'cost', 'currency', 'due', 'suppliedBy', 'confirmedBy', 'toBeConfirmed'],
      obligations.map(({ id, label, rule, changeIds, cost, due, suppliedBy, confirmedBy, toBeConfirmed }) => [
        id,
        label,
        rule,
        changeIds.join(' '),
        cost,
        settings.currency,
        String(due),
        suppliedBy,
        confirmedBy,
        String(toBeConfirmed),
      ]),
    ),
  };
}

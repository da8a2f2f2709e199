import { describe, expect, it } from 'vitest';
import type { SourcePosition } from '../../src/files/problem';
import { placeResult } from '../../src/session/placeResult';
import { aReference, aResult, judge } from '../review/scenario';

const at = (line: number, column: number): SourcePosition => ({ line, column });

describe('placing a judged result', () => {
  const finding = {
    rule: 'limit-exceeded',
    level: 'error',
    message: 'Beyond a limit.',
    next: 'Look.',
    evidence: {},
  } as const;
  const table = aResult();
  const reference = aReference();
  const position = at(table.rows[3]!.line, 1);
  const result = {
    ...judge({ table, reference }),
    findings: [
      { ...finding, file: table.file, position, related: [{ position, message: 'here' }] },
      { ...finding, file: reference.file, position: at(reference.rows[2]!.line, 1) },
      { ...finding, file: 'elsewhere.testlog.csv', position },
    ],
  };
  const down = <Row extends { readonly line: number }>(rows: readonly Row[], by: number): Row[] =>
    rows.map((row) => ({ ...row, line: row.line + by }));

  it('moves every finding with the row that it is about, and no other', () => {
    const placed = placeResult(result, {
      table: { ...table, headerLine: table.headerLine + 2, rows: down(table.rows, 2) },
      reference: { ...reference, headerLine: reference.headerLine + 1, rows: down(reference.rows, 1) },
    });
    const moved = at(position.line + 2, 1);
    expect(placed.findings.map((one) => one.position)).toEqual([moved, at(reference.rows[2]!.line + 1, 1), position]);
    expect(placed.findings[0]!.related).toEqual([{ position: moved, message: 'here' }]);
    expect(placed.table.headerLine).toBe(table.headerLine + 2);
  });

  it('is the same object where nothing moved', () => {
    expect(placeResult(result, { table, reference })).toBe(result);
  });
});

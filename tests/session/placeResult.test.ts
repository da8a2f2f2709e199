import { describe, expect, it } from 'vitest';
import type { SourcePosition } from '../../src/files/problem';
import { placeResult, recordingSpec } from '../../src/session/placeResult';
import { aReference, aResult, aSpec, judge } from '../review/scenario';

const at = (line: number, column: number): SourcePosition => ({ line, column });

describe('placing a judged result', () => {
  const spec = aSpec({ positionOf: (key) => (key === 'limits.maxForce' ? at(12, 5) : at(1, 1)) });
  const places = new Map<string, SourcePosition>();
  const position = recordingSpec(spec, places).positionOf('limits.maxForce');
  const finding = {
    rule: 'limit-exceeded',
    level: 'error',
    message: 'Beyond a limit.',
    next: 'Look.',
    evidence: {},
  } as const;
  const table = aResult();
  const reference = aReference();
  const result = {
    ...judge({ table, reference, spec }),
    findings: [
      { ...finding, file: spec.file, position, related: [{ position, message: 'here' }] },
      { ...finding, file: table.file, position: at(table.rows[3]!.line, 1) },
      { ...finding, file: reference.file, position: at(reference.rows[2]!.line, 1) },
      { ...finding, file: 'elsewhere.testlog.csv', position: at(12, 5) },
    ],
  };
  const down = <Row extends { readonly line: number }>(rows: readonly Row[], by: number): Row[] =>
    rows.map((row) => ({ ...row, line: row.line + by }));

  it('moves every finding with the key or row that it is about, and no other', () => {
    const placed = placeResult(
      { result, spec, specPlaces: places },
      {
        spec: aSpec({ positionOf: (key) => (key === 'limits.maxForce' ? at(15, 7) : at(1, 1)) }),
        table: { ...table, headerLine: table.headerLine + 2, rows: down(table.rows, 2) },
        reference: { ...reference, headerLine: reference.headerLine + 1, rows: down(reference.rows, 1) },
      },
    );
    expect(placed.findings.map((one) => one.position)).toEqual([
      at(15, 7),
      at(table.rows[3]!.line + 2, 1),
      at(reference.rows[2]!.line + 1, 1),
      at(12, 5),
    ]);
    expect(placed.findings[0]!.related).toEqual([{ position: at(15, 7), message: 'here' }]);
    expect(placed.table.headerLine).toBe(table.headerLine + 2);
  });

  it('is the same object where nothing moved', () => {
    expect(placeResult({ result, spec, specPlaces: places }, { spec, table, reference })).toBe(result);
  });
});

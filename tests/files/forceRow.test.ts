import { describe, expect, it } from 'vitest';
import { copyOfRow, sayTheSame } from '../../src/files/forceRow';
import type { ForceRow } from '../../src/files/forceTable';
import { readPlainTable } from '../../src/files/plain/plainTable';
import { readAnyForceTable } from '../../src/files/readForceTable';
import { REFERENCE, REFERENCE_TEXT, RESULT, RESULT_TEXT } from './forceTableTexts';
import { bytesOf } from './support';

const PLAIN_REFERENCE = REFERENCE_TEXT.replace(/"/g, '');

describe('rows that are views of the numbers of their table', () => {
  it.each([
    [RESULT, RESULT_TEXT],
    [REFERENCE, PLAIN_REFERENCE],
  ])('of %s say what rows say that are objects, as they are and as copies', (file, text) => {
    const views = readPlainTable(file, bytesOf(text))!.rows;
    const objects = readAnyForceTable(file, bytesOf(text)).table!.rows;
    expect(views.length).toBeGreaterThan(1);
    expect(sayTheSame(views, objects)).toBe(true);
    expect(views.map(copyOfRow)).toStrictEqual(objects);
    expect(objects.map(copyOfRow)).toStrictEqual(objects);
  });

  it('are other where any number is other, or there', () => {
    const views = readPlainTable(RESULT, bytesOf(RESULT_TEXT))!.rows;
    const others: ((row: ForceRow) => ForceRow)[] = [
      ...(['pass', 'velocity', 'compression', 'rebound', 'gas', 'temperature'] as const).map(
        (key) => (row: ForceRow) => ({ ...row, [key]: 12.5 }),
      ),
      ...Object.keys(copyOfRow(views[0]!).measured!).map((key) => (row: ForceRow) => ({
        ...row,
        measured: { ...row.measured!, [key]: 12.5 },
      })),
      (row) => ({ ...row, measured: undefined }),
      (row) => ({ ...row, compression: -row.compression }),
      (row) => ({ ...row, setting: row.setting.slice(1) }),
      (row) => ({ ...row, setting: [...row.setting.slice(1), 12.5] }),
    ];
    for (const other of others) {
      const changed = [...views.slice(0, -1), other(copyOfRow(views.at(-1)!))];
      expect(sayTheSame(views, changed)).toBe(false);
      expect(sayTheSame(changed, views)).toBe(false);
    }
    expect(sayTheSame(views, views.slice(1))).toBe(false);
    const moved = views.map((row) => ({ ...copyOfRow(row), line: row.line + 1 }));
    expect(sayTheSame(views, moved)).toBe(true);
  });
});

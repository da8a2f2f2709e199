import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { cellText, MEASURED_COLUMNS, POINT_COLUMNS } from '../../src/files/forceColumns';
import type { ForceColumn } from '../../src/files/forceColumns';
import { openTestLog } from '../../src/files/log/openTestLog';
import { readCorner } from '../../src/files/readCorner';
import { readCsvw } from '../../src/files/readCsvw';
import { readForceTable } from '../../src/files/readForceTable';
import { readReviewConfig } from '../../src/files/readReviewConfig';
import { readSpec } from '../../src/files/readSpec';
import { parseUnit } from '../../src/quantities/unit';
import { UNIT_ROWS } from '../../src/quantities/unitTable';
import { bytesOf, told } from './support';

/** The page for users must be true to the code. */
const PAGE = readFileSync(join(import.meta.dirname, '../../docs/formats.md'), 'utf-8');

function example(kind: string): Uint8Array {
  const match = new RegExp(`^\`\`\`\\w+ ${kind}\\n([\\s\\S]*?)^\`\`\``, 'm').exec(PAGE);
  if (match === null) throw new Error(`docs/formats.md has no example '${kind}'`);
  return bytesOf(match[1]!);
}

function tableUnder(heading: string): string[][] {
  const section = PAGE.slice(PAGE.indexOf(heading));
  const rows = /(?:^\|.*\n)+/m.exec(section)![0].trim().split('\n').slice(2);
  return rows.map((row) =>
    row
      .split('|')
      .slice(1, -1)
      .map((cell) => cell.trim()),
  );
}

const codes = (cell: string) => [...cell.matchAll(/`([^`]+)`/g)].map((match) => match[1]!);

describe('docs/formats.md', () => {
  it('shows files that can be read without a fault', () => {
    const problems = [
      ...readForceTable('a.refcurve.csv', example('refcurve')).problems,
      ...readSpec('a.damper.yaml', example('spec')).problems,
      ...readReviewConfig('damper-review.yaml', example('config')).problems,
      ...readCsvw('x.csv-metadata.json', example('csvw')).problems,
      ...readCorner('a.corner.yaml', example('corner')).problems,
    ];
    expect(problems.map(told)).toEqual([]);
  });

  it('shows a test log that can be read without a fault', async () => {
    const bytes = example('testlog');
    // eslint-disable-next-line @typescript-eslint/require-await -- the port is asynchronous, the example is not
    const log = await openTestLog({ file: 'a.testlog.csv', open: async function* () { yield bytes; } }); // prettier-ignore
    let rows = 0;
    for await (const chunk of log.chunks()) rows += chunk.rows;
    expect([log.warnings.map(told), log.head.serial, rows]).toEqual([[], 'F-017', 2]);
  });

  it('lists every unit and spelling, and no other', () => {
    const rows = tableUnder('## Units');
    const listed = rows.flatMap(([, units, spellings]) => [...codes(units!), ...codes(spellings!)]);
    const known = UNIT_ROWS.flatMap(({ unit, spellings }) => [unit.code, ...spellings]);
    expect([...listed].sort()).toEqual([...known].sort());
    for (const [, units, spellings] of rows) {
      const dimensions = [...codes(units!), ...codes(spellings!)].map((one) => parseUnit(one)?.dimension);
      expect(new Set(dimensions).size).toBe(1);
    }
  });

  it('states the rounding of every column', () => {
    const columns: ForceColumn[] = [...Object.values<ForceColumn>(POINT_COLUMNS), ...Object.values(MEASURED_COLUMNS)];
    const stated = tableUnder('#### Rounding').map(([name, unit, decimals]) => [
      codes(name!)[0],
      unit,
      Number.parseInt(decimals!, 10),
      decimals!.includes('left off'),
    ]);
    expect(stated).toEqual(
      columns.map(({ name, unit, decimals, short }) => [name, unit ?? '', decimals, short === true]),
    );
    expect(cellText(POINT_COLUMNS.velocity, 0.1)).toBe('100');
  });
});

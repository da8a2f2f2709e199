import { describe, expect, it } from 'vitest';
import { renderGitDiff, type GitDiffContent } from '../../src/reports/gitDiffText';
import { renderAdoption } from '../../src/reports/adoptionText';
import { diffTables } from '../../src/session/tableDiff';
import { HOSTILE } from '../text/hostileText';

const BASE = '# formatVersion: 1\n# spec: alder-front\n# gas: {force: 100 N}\n';
const table = (rows: string): Uint8Array =>
  new TextEncoder().encode(`${BASE}R [click],velocity [mm/s],compression [N],rebound [N]\n${rows}`);
// eslint-disable-next-line no-control-regex
const ACTING = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/;

function shown(before: Uint8Array | undefined, after: Uint8Array | undefined): string {
  const diff = diffTables('x.refcurve.csv', before, after);
  return renderGitDiff({ ...diff, change: 'changed', lines: { before: [], after: [] } }, false);
}

describe('a diff of reference curves', () => {
  it('aligns old, new and drift, and tells rows that came and went', () => {
    const text = shown(
      table('4,100,500,-300\n4,200,600,-400\n6,100,450,-250\n'),
      table('4,100,520,-300\n4,300,700,-500\n6,100,450,-250\n'),
    );
    expect(text.split('\n')).toEqual([
      'x.refcurve.csv',
      '',
      '  R 4',
      '             compression                              rebound',
      '       mm/s       old      new    drift       %        old      new    drift       %',
      '        100     400.0    420.0   +20.0     +5.0     -400.0   -400.0     0.0      0.0',
      ' -      200     500.0                               -500.0',
      ' +      300              600.0                               -600.0',
      '  1 row as before',
      '  Damping force in N, compression positive; % harder; * more than the scatter between cycles',
      '',
      '',
    ]);
  });

  it('shows a file that came, and keys of the preamble that differ', () => {
    expect(shown(undefined, table('4,100,500,-300\n'))).toContain(' +      100              400.0');
    const other = new TextEncoder().encode(
      new TextDecoder().decode(table('4,100,500,-300\n')).replace('100 N', '120 N'),
    );
    const text = shown(table('4,100,500,-300\n'), other);
    expect(text).toContain('gas: {force: 100 N} -> {force: 120 N}');
    expect(text).toMatch(/100 +400\.0 +380\.0 +-20\.0/); // less constant force taken for damping
  });

  it('lets no text of a file act on the terminal', () => {
    for (const hostile of HOSTILE) {
      const content: GitDiffContent = {
        path: hostile,
        change: 'changed',
        from: hostile,
        preamble: [{ key: hostile, before: hostile, after: hostile }],
        rows: [{ setting: { [hostile]: 1 }, velocity: 0.1, pass: 1, change: 'changed', sides: {} }],
        lines: { before: [], after: [] },
      };
      expect(renderGitDiff(content, false)).not.toMatch(ACTING);
      const lines = { before: [hostile], after: [`${hostile}.`] };
      expect(renderGitDiff({ ...content, problem: hostile, lines }, false)).not.toMatch(ACTING);
      const plan = {
        path: hostile,
        bytes: new Uint8Array(),
        spec: hostile,
        specFile: hostile,
        from: [hostile],
        entries: [],
        doubts: [hostile],
        preview: [],
      };
      expect(renderAdoption(plan, { colour: false, width: 80 })).not.toMatch(ACTING);
    }
  });
});

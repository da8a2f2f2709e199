import { describe, expect, it } from 'vitest';
import { deepEqual } from '../../src/session/deepEqual';
import {
  CONFIG,
  LOGS,
  logText,
  openWorkshop,
  REFERENCES,
  resultOf,
  SPECS,
  specText,
  textOf,
  told,
  verdicts,
  workshopFiles,
} from './workshop';

const original = await workshopFiles();

/** Everything but functions, numbers that JSON lacks by their names. */
function figures(value: unknown): string {
  return JSON.stringify(value, (_, part: unknown) =>
    typeof part === 'number' && !Number.isFinite(part) ? String(part) : part,
  );
}

describe('one edit', () => {
  /** Counts of the second of two reviews with a change between them. */
  async function countsAfter(change: Record<string, string | Uint8Array | null>) {
    const opened = await openWorkshop();
    const { session, files } = opened;
    const before = await session.review([]);
    const counted = session.counts();
    for (const [path, content] of Object.entries(change)) {
      if (content === null) files.remove(path);
      else files.set(path, content);
    }
    session.invalidate(Object.keys(change));
    const after = await session.review([]);
    const counts = Object.fromEntries(
      Object.entries(session.counts()).map(([name, count]) => [name, count - (counted[name] ?? 0)]),
    );
    return { ...opened, before, after, counts };
  }
  it('computes nothing when nothing changed', async () => {
    const { counts, before, after } = await countsAfter({});
    expect(Object.entries(counts).filter(([, count]) => count > 0)).toEqual(
      [
        ['inventory', 1],
        ['paths', 0],
        ['today', 1],
      ].filter(([name]) => name === 'today'),
    );
    expect(after).toEqual(before);
  });

  it('of a comment in a reference judges nothing again, and every place follows its line', async () => {
    const { counts, before, after } = await countsAfter({
      [REFERENCES.front]: `# Measured twice.\n\n${textOf(original, REFERENCES.front)}`,
    });
    expect(counts).toMatchObject({
      'parse table': 1,
      judge: 0,
      'analyse run': 0,
      'reduce log': 0,
      'measured table': 0,
      provenance: 0,
    });
    expect(verdicts(after)).toEqual(verdicts(before));
    const [then, now] = [before, after].map((outcome) => outcome.results[0]!.reference!);
    expect(now!.headerLine).toBe(then!.headerLine + 2);
    expect(now!.rows[0]!.line).toBe(then!.rows[0]!.line + 2);
  });

  it('of a comment moves findings with their lines, in a reference and in a spec, and judges nothing again', async () => {
    const falling = textOf(original, REFERENCES.front).split('\n');
    const last = falling.findLastIndex((line) => line !== '');
    falling[last] = falling[last]!.replace(/^(\d+,300,)-?[\d.]+/u, '$1400.0');
    const limited = `${specText('alder-front')}limits: { maxForce: 300 N }\n`;
    const opened = await openWorkshop({ [REFERENCES.front]: falling.join('\n'), [SPECS.front]: limited });
    const before = await opened.session.review([]);
    const falls = told(before, 'reference-not-monotonic');
    expect(falls).toContain(`reference-not-monotonic ${REFERENCES.front}:${last + 1}`);
    const related = before.findings.flatMap((finding) => finding.related ?? []).length;
    opened.files.set(REFERENCES.front, `# One.\n# Two.\n${falling.join('\n')}`);
    opened.files.set(SPECS.front, `# One.\n${limited}`);
    opened.session.invalidate([REFERENCES.front, SPECS.front]);
    const judgedSoFar = opened.session.counts()['judge'];
    const after = await opened.session.review([]);
    expect(opened.session.counts()['judge']).toBe(judgedSoFar);
    expect(told(after, 'reference-not-monotonic')).toContain(`reference-not-monotonic ${REFERENCES.front}:${last + 3}`);
    expect(told(after, 'reference-not-monotonic')).toHaveLength(falls.length);
    expect(after.findings.flatMap((finding) => finding.related ?? [])).toHaveLength(related);
  });

  it('of a number in a reference judges its results and no others', async () => {
    const lines = textOf(original, REFERENCES.front).split('\n');
    const last = lines.findLastIndex((line) => line !== '');
    lines[last] = lines[last]!.replace(/,(-?\d+)\./u, (_, force: string) => `,${Number(force) + 200}.`);
    const { counts, after } = await countsAfter({ [REFERENCES.front]: lines.join('\n') });
    expect(counts).toMatchObject({ judge: 3, 'analyse run': 0, 'reduce log': 0, 'measured table': 0, provenance: 0 });
    expect(verdicts(after)[resultOf(LOGS.one)]).toBe('fail');
  });

  it('of a comment in a spec judges nothing', async () => {
    const { counts } = await countsAfter({ [SPECS.front]: `# a comment\n${specText('alder-front')}` });
    expect(counts).toMatchObject({
      'parse spec': 1,
      judge: 0,
      'analyse run': 0,
      'reduce log': 0,
      'measured table': 0,
      provenance: 0,
    });
  });

  it('of a tolerance judges the results of its spec, from what is measured already', async () => {
    const { counts, after } = await countsAfter({ [SPECS.front]: specText('alder-front', '40 %') });
    expect(counts).toMatchObject({
      'parse spec': 1,
      judge: 3,
      'analyse run': 0,
      'reduce log': 0,
      'measured table': 0,
      provenance: 0,
    });
    expect(verdicts(after)[resultOf(LOGS.two)]).toBe('pass');
  });

  it("of the plan makes the spec's results stale and reads no log", async () => {
    const { counts, after } = await countsAfter({
      [SPECS.front]: specText('alder-front').replace('300 mm/s]', '305 mm/s]'),
    });
    expect(counts).toMatchObject({ judge: 3, 'analyse run': 0, 'reduce log': 0 });
    expect(told(after, 'result-stale')).toHaveLength(3);
  });

  it('of a mapping reads its logs again and no others', async () => {
    const { counts, after } = await countsAfter({
      'damper-review.yaml': CONFIG.replace('header: "load", unit: N', 'header: "load", unit: kN'),
    });
    expect(counts).toMatchObject({ 'reduce log': 1, 'read head': 1, judge: 1, 'analyse run': 1, 'digest log': 0 });
    expect(told(after, 'result-stale')).toEqual([`result-stale ${resultOf(LOGS.foreign)}:15`]);
  });

  it('of the order of mappings reads nothing again', async () => {
    const other = '  - files: "elsewhere/**/*.csv"\n    preamble: { spec: alder-front }\n';
    const { counts } = await countsAfter({ 'damper-review.yaml': CONFIG.replace('logs:\n', `logs:\n${other}`) });
    expect(counts).toMatchObject({ 'parse config': 1, 'reduce log': 0, judge: 0 });
  });

  it('of a waiver judges what it covers', async () => {
    const waiver = `waivers:\n  - { rule: drift-from-reference, file: "dampers/F-002/**", reason: "known", by: "the bench", until: 2026-12-31 }\n`;
    const { counts, after } = await countsAfter({ 'damper-review.yaml': `${CONFIG}${waiver}` });
    expect(counts).toMatchObject({ judge: 1, 'analyse run': 0, 'reduce log': 0, provenance: 0 });
    expect(after.findings.find((finding) => finding.rule === 'drift-from-reference')?.waived?.by).toBe('the bench');
  });

  it('of bench data analyses the logs of that bench again, without reading them', async () => {
    const { counts, after } = await countsAfter({ 'damper-review.yaml': CONFIG.replace('U: 2 N', 'U: 3 N') });
    expect(counts).toMatchObject({ 'reduce log': 0, 'analyse run': 4, judge: 4 });
    expect(told(after, 'result-stale')).toHaveLength(4);
  });

  it('of a log reads that log', async () => {
    const { counts, after } = await countsAfter({ [LOGS.one]: logText({ serial: 'F-001', seed: 77 }) });
    expect(counts).toMatchObject({ 'reduce log': 1, 'analyse run': 1, judge: 1 });
    expect(told(after, 'result-stale')).toEqual([`result-stale ${resultOf(LOGS.one)}:17`]);
  });

  it('that saves a log unchanged reads its bytes and computes nothing', async () => {
    const { counts } = await countsAfter({ [LOGS.one]: original[LOGS.one]! });
    expect(counts).toMatchObject({ 'digest log': 1, 'reduce log': 0, 'analyse run': 0, judge: 0 });
  });

  it('that turns line endings round changes nothing', async () => {
    const change = Object.fromEntries(
      [LOGS.one, resultOf(LOGS.one), REFERENCES.front, SPECS.front].map((path) => [
        path,
        textOf(original, path).replaceAll('\n', '\r\n'),
      ]),
    );
    const { before, after, counts } = await countsAfter(change);
    expect(counts).toMatchObject({ 'reduce log': 0, judge: 0 });
    expect(figures(after)).toBe(figures(before)); // the files were parsed again: their functions are others
  });

  it('by hand in a result is found at its line', async () => {
    const lines = textOf(original, resultOf(LOGS.two)).split('\n');
    const row = lines.findIndex((line) => line.startsWith('4,300'));
    lines[row] = lines[row]!.replace(/^(4,300,)(-?[\d.]+)/u, '$1999.9');
    const { counts, after } = await countsAfter({ [resultOf(LOGS.two)]: lines.join('\n') });
    expect(counts).toMatchObject({ judge: 1, 'analyse run': 0, 'reduce log': 0 });
    expect(told(after, 'result-altered')).toEqual([`result-altered ${resultOf(LOGS.two)}:${row + 1}`]);
    expect(after.findings.find((finding) => finding.rule === 'result-altered')?.message).toContain('999.9');
  });

  it('in an unsaved buffer counts, and undoing it brings everything back', async () => {
    const { session } = await openWorkshop();
    const before = await session.review([]);
    session.overlay(SPECS.front, specText('alder-front', '40 %'));
    expect(verdicts(await session.review([]))[resultOf(LOGS.two)]).toBe('pass');
    session.overlay(SPECS.front, 'formatVersion: 1\nid: [');
    expect((await session.review([])).unreadable).toBe(true);
    session.overlay(SPECS.front, undefined);
    expect(deepEqual(await session.review([]), before)).toBe(true);
  });
});

import { describe, expect, it } from 'vitest';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { fixedClock, MemoryStore } from '../../src/platform/memory/memoryServices';
import type { FileEntry } from '../../src/ports/repositoryFiles';
import type { TextPiece, ToldOutcome } from '../../src/review/toldOutcome';
import type { ResultTeller } from '../../src/session/toldQueries';
import { createRandom } from '../simulator/random';
import {
  CONFIG,
  foreignLogText,
  LOGS,
  logText,
  openSession,
  type Opened,
  REFERENCES,
  resultOf,
  SPECS,
  specText,
  textOf,
  TODAY,
  workshopFiles,
} from './workshop';
import { thorough } from '../thorough';

const original = await workshopFiles();
const TWO = resultOf(LOGS.two);

type Content = string | Uint8Array | null;
const changedForce = (file: string, from: RegExp, to: string): string => textOf(original, file).replace(from, to);
const pointer = 'version https://git-lfs.github.com/spec/v1\noid sha256:00\nsize 1000\n';

/** One edit of each kind; null removes the file. */
const EDITS: Readonly<Record<string, Readonly<Record<string, Content>>>> = {
  'a number of a result': { [TWO]: changedForce(TWO, /,300,(\d+)/u, ',300,9') },
  'a comment in a result': { [TWO]: `# seen by the workshop\n${textOf(original, TWO)}` },
  'a number of a reference': { [REFERENCES.front]: changedForce(REFERENCES.front, /,300,(\d)/u, ',300,9') },
  'a comment in a reference': { [REFERENCES.front]: `# Measured twice.\n${textOf(original, REFERENCES.front)}` },
  'no reference': { [REFERENCES.front]: null },
  'a tolerance': { [SPECS.front]: specText('alder-front', '40 %') },
  'a comment in a spec': { [SPECS.front]: `# a comment\n${specText('alder-front')}` },
  'a plan': { [SPECS.front]: specText('alder-front').replace('300 mm/s]', '305 mm/s]') },
  'an id': { [SPECS.front]: specText('alder-other') },
  'an id borne twice': { 'specs/second.damper.yaml': specText('alder-front') },
  'a check standard': { [SPECS.rear]: `${specText('birch-rear')}role: checkStandard\n` },
  'no spec': { [SPECS.rear]: null },
  'a spec that cannot be read': { [SPECS.rear]: 'formatVersion: [1\n' },
  'a mapping': { 'damper-review.yaml': CONFIG.replace('header: "load", unit: N', 'header: "load", unit: kN') },
  'another bench': { 'damper-review.yaml': CONFIG.replace('U: 2 N', 'U: 40 N') },
  'a waiver': {
    'damper-review.yaml': `${CONFIG}waivers:\n  - { rule: drift-from-reference, file: "**", reason: new seals, by: lead, until: 2026-06-30 }\n`,
  },
  'a level': { 'damper-review.yaml': `${CONFIG}rules: { drift-from-reference: note }\n` },
  'no config': { 'damper-review.yaml': null },
  'another log': { [LOGS.two]: logText({ serial: 'F-002', seed: 9, reboundShare: 0.9 }) },
  'a log of another damper': { [LOGS.two]: logText({ serial: 'F-009', seed: 2, reboundShare: 0.8 }) },
  'a foreign log': { [LOGS.foreign]: foreignLogText(7) },
  'a log as a pointer': { [LOGS.one]: pointer },
  'no log': { [LOGS.one]: null },
  'no result': { [TWO]: null },
  'a result that cannot be read': { [TWO]: textOf(original, TWO).replace('# spec', '# sp') },
  'a result without source': { [TWO]: textOf(original, TWO).replace(/^# source:.*\n/mu, '') },
  'a build after it': {
    'dampers/F-002/build-2/two.result.csv': textOf(original, TWO)
      .replace('# build: 1', '# build: 2')
      .replace(/^# source:.*\n/mu, ''),
  },
  'repeats of it': Object.fromEntries(
    [2, 3, 4].map((run) => [
      `dampers/F-002/build-1/run-${run}.result.csv`,
      textOf(original, TWO)
        .replace(/^# date:.*$/mu, `# date: 2026-03-0${run}T10:00:00Z\n# run: ${run}`)
        .replace(/^# source:.*\n/mu, '')
        .replace(/,300,(\d+)/u, (_, digits: string) => `,300,${Number(digits) + run}`),
    ]),
  ),
  'a retest of it': {
    'dampers/F-002/build-1/again.result.csv': textOf(original, TWO)
      .replace('2026-03-01', '2026-03-02')
      .replace(/^# source:.*\n/mu, ''),
  },
  'metadata beside a log': { [`${LOGS.one}-metadata.json`]: '{"@context": "http://www.w3.org/ns/csvw"' },
  'a run without a result': { 'dampers/F-010/build-1/new.testlog.csv': logText({ serial: 'F-010', seed: 12 }) },
};

const FACTS: ResultTeller = {
  form: 'facts',
  head: ({ points, reasons, attempt, specId, serial }) => ({
    name: `${serial} ± 1`,
    text: `${JSON.stringify({ points, reasons, attempt, specId })}\n`,
  }),
  rest: ({ findings, correction }) =>
    `${JSON.stringify(correction ?? {})}\n${findings.map(({ rule, level, message }) => `${rule} ${level} ${message}\n`).join('')}`,
  partOfFinding: (finding) => `${JSON.stringify(finding)}\n`,
};

/** An outcome with its pieces as text, and names told apart as they are alike. */
function facts({ results, ofFiles, ...rest }: ToldOutcome): unknown {
  const text = (piece: TextPiece): string =>
    typeof piece === 'string' ? piece : new TextDecoder().decode(piece.bytes.subarray(piece.from, piece.end));
  const names = results.map(({ name }) => name);
  return {
    ...rest,
    results: results.map(({ file, verdict, name, head, rest: more }) => {
      return { file, verdict, alike: names.indexOf(name), head: text(head), rest: more && text(more) };
    }),
    ofFiles: ofFiles.map(text),
  };
}

/** Files of which some were always written just now, so that their times vouch for nothing. */
class FilesWithFresh extends MemoryFiles {
  readonly fresh = new Set<string>();

  override async list(...asked: Parameters<MemoryFiles['list']>): ReturnType<MemoryFiles['list']> {
    const { files, ...rest } = await super.list(...asked);
    return { files: files.map((file) => this.#aged(file)), ...rest };
  }

  override async stat(path: string): ReturnType<MemoryFiles['stat']> {
    const file = await super.stat(path);
    return file && this.#aged(file);
  }

  #aged(file: FileEntry): FileEntry {
    const now = Date.now();
    return this.fresh.has(file.path) ? { ...file, modified: now, changed: now } : file;
  }
}

/** A workshop whose sessions share what they keep, as processes do. */
class Shared {
  readonly files = new FilesWithFresh(original);
  readonly logs = new MemoryStore();
  readonly kept = { store: new MemoryStore(), key: 'workshop' };
  today = TODAY;

  apply(edit: Readonly<Record<string, Content>>): void {
    for (const [path, content] of Object.entries(edit)) {
      if (content === null) this.files.remove(path);
      else this.files.set(path, content);
    }
  }

  undo(edit: Readonly<Record<string, Content>>): void {
    this.apply(Object.fromEntries(Object.keys(edit).map((path) => [path, original[path] ?? null])));
  }

  open(keep = true): Opened {
    const ports = { store: this.logs, clock: fixedClock(this.today), ...(keep && { kept: this.kept }) };
    return openSession(this.files, ports);
  }

  /** What a new process tells, and how much it computes for it. */
  async tell(paths: readonly string[] = [], keep = true) {
    const { session } = this.open(keep);
    const outcome = await session.tell(FACTS, paths);
    return { outcome: facts(outcome), counts: session.counts() };
  }

  /** What new processes answer to all but a review, or why they do not; each has what was kept by then. */
  async answers(keep: boolean): Promise<readonly unknown[]> {
    const asked: readonly ((session: Opened['session']) => Promise<unknown>)[] = [
      (session) => session.compare(resultOf(LOGS.one), TWO),
      (session) => session.compare('F-001/1', 'R-001/1'),
      (session) => session.correct(TWO),
      (session) => session.reduce([]),
    ];
    const answer = (value: unknown): string => JSON.stringify(value);
    return Promise.all(asked.map((ask) => ask(this.open(keep).session).then(answer, String)));
  }

  async expectAsCold(paths: readonly string[] = []): Promise<void> {
    const { outcome } = await this.tell(paths);
    expect(outcome).toEqual((await this.tell(paths, false)).outcome);
  }
}

describe('what is kept between processes', () => {
  it('is told again without judging or reading anything', async () => {
    const shared = new Shared();
    const first = await shared.tell();
    expect(first.counts).toMatchObject({ judge: 4, 'told entry as facts': 4 });
    const again = await shared.tell();
    expect(again.outcome).toEqual(first.outcome);
    expect(again.counts).toMatchObject({ 'told entry as facts (kept)': 4 });
    for (const name of [
      'judge',
      'parse table',
      'parse spec',
      'parse config',
      'read',
      'read head',
      'digest log',
      'reduce log',
    ])
      expect(again.counts[name] ?? 0, name).toBe(0);
  });

  it('of one edit is judged for what rests on it alone', async () => {
    const shared = new Shared();
    await shared.tell();
    shared.apply(EDITS['a number of a result']!);
    const { counts } = await shared.tell();
    expect(counts).toMatchObject({ judge: 1, 'told entry as facts (kept)': 3 });
    expect(counts).not.toHaveProperty('parse config');
    expect(counts).not.toHaveProperty('parse spec');
  });

  it('holds beside a file that was written just now, which is read and judged anew', async () => {
    const shared = new Shared();
    shared.files.fresh.add(TWO);
    await shared.tell();
    const again = await shared.tell();
    expect(again.counts).toMatchObject({ judge: 1, 'told entry as facts (kept)': 3 });
    expect(again.outcome).toEqual((await shared.tell([], false)).outcome);
    shared.apply(EDITS['a number of a result']!);
    await shared.expectAsCold();
    shared.files.fresh.delete(TWO);
    await shared.expectAsCold();
    expect((await shared.tell()).counts).toMatchObject({ 'told entry as facts (kept)': 4 });
  });

  it('is nothing where many files were written just now', async () => {
    const shared = new Shared();
    for (const path of Object.keys(original)) shared.files.fresh.add(path);
    await shared.tell();
    expect((await shared.tell()).counts).toMatchObject({ judge: 4 });
  });

  it('is told again where a spec says what it said', async () => {
    const shared = new Shared();
    const { outcome } = await shared.tell();
    const spec = Object.keys(original).find((path) => path.endsWith('.damper.yaml'))!;
    shared.apply({ [spec]: `# A comment, which moves every line.\n\n${textOf(original, spec)}` });
    const again = await shared.tell();
    expect(again.counts).toMatchObject({ 'parse spec': 1, 'told entry as facts (kept)': 4 });
    expect(again.outcome).toEqual(outcome);
  });

  for (const [name, edit] of Object.entries(EDITS))
    it(`equals a review from nothing after ${name}, and after its undoing`, async () => {
      const shared = new Shared();
      await shared.tell();
      const { session } = shared.open(); // of a process that stays, as an editor's does
      await session.tell(FACTS, []);
      expect(session.counts()['judge'] ?? 0).toBe(0);
      shared.apply(edit);
      session.invalidate(Object.keys(edit));
      const later = await session.tell(FACTS, []);
      expect(facts(later)).toEqual((await shared.tell([], false)).outcome);
      expect(await shared.answers(true)).toEqual(await shared.answers(false));
      await shared.expectAsCold();
      await shared.expectAsCold(); // from what the run with the edit has kept
      shared.undo(edit);
      await shared.expectAsCold();
    });

  it('equals a review from nothing after many edits in any order, of a part of the repository too', async () => {
    const random = createRandom(20261125);
    const shared = new Shared();
    const edits = Object.values(EDITS);
    const rounds = thorough ? 200 : 10;
    for (let round = 0; round < rounds; round++) {
      const edit = edits[Math.floor(random.uniform(0, edits.length))]!;
      if (random.uniform(0, 1) < 0.6) shared.apply(edit);
      else shared.undo(edit);
      if (random.uniform(0, 1) < 0.5) shared.files.fresh.clear();
      else shared.files.fresh.add(Object.keys(edit)[0]!);
      const exists = (await shared.files.stat(TWO)) !== undefined;
      await shared.expectAsCold(exists && random.uniform(0, 1) < 0.3 ? ['dampers/F-002'] : []);
    }
  });

  it('spares other commands reading what nobody changed', async () => {
    const shared = new Shared();
    await shared.tell();
    const { session } = shared.open();
    await session.correct(TWO);
    expect(session.counts()).toMatchObject({ 'identity of table (kept)': 4, 'entries (kept)': 1, 'parse table': 2 });
    expect(session.counts()).toMatchObject({ 'read head': 1 }); // of its own log
  });

  it('does not outlive its day, as waivers and calibrations run out', async () => {
    const shared = new Shared();
    await shared.tell();
    shared.today = '2026-05-02';
    expect((await shared.tell()).counts).toMatchObject({ judge: 4 });
  });

  it('is of no use to another build, and a damaged store to nobody', async () => {
    const shared = new Shared();
    await shared.tell();
    const other = { ...shared.kept, key: 'workshop, another build' };
    const { session } = openSession(shared.files, { store: shared.logs, kept: other });
    await session.tell(FACTS, []);
    expect(session.counts()).toMatchObject({ judge: 4 });
    const get = (): Promise<Uint8Array> => Promise.resolve(new TextEncoder().encode('{"queries":[],"anchors":0}'));
    const damaged = { key: 'workshop', store: { get, put: () => Promise.resolve() } };
    const from = openSession(shared.files, { store: shared.logs, kept: damaged });
    await from.session.tell(FACTS, []);
    expect(from.session.counts()).toMatchObject({ judge: 4 });
  });

  it('holds nothing of an unsaved text', async () => {
    const shared = new Shared();
    const { session } = openSession(shared.files, { store: shared.logs, kept: shared.kept });
    session.overlay(TWO, EDITS['a number of a result']![TWO] as string);
    await session.tell(FACTS, []);
    const { outcome } = await shared.tell();
    expect(outcome).toEqual((await shared.tell([], false)).outcome);
  });
});

import { describe, expect, it } from 'vitest';
import type { Finding } from '../../src/review/finding';
import type { ReviewChanges } from '../../src/session/liveReview';
import {
  CONFIG,
  LOGS,
  logText,
  openSession,
  openWorkshop,
  REFERENCES,
  resultOf,
  SPECS,
  specText,
  textOf,
  workshopFiles,
} from './workshop';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { createRandom } from '../simulator/random';
import { thorough } from '../thorough';

const original = await workshopFiles();

/** What all changes so far add up to: verdicts by file, and every finding once. */
class Told {
  readonly results = new Map<string, string>();
  readonly findings = new Map<string, readonly Finding[]>();

  take(changes: ReviewChanges): void {
    for (const [entry, result] of changes.results)
      if (result === undefined) this.results.delete(entry);
      else this.results.set(entry, `${result.file} ${result.verdict}`);
    for (const [source, findings] of changes.findings) this.findings.set(source, findings);
  }

  get all(): string[] {
    return [...new Set([...this.findings.values()].flat().map(keyOf))].sort();
  }
}

function keyOf(finding: Finding): string {
  return JSON.stringify([
    finding.rule,
    finding.level,
    finding.file,
    finding.position,
    finding.message,
    finding.waived ?? null,
  ]);
}

const WAIVER = `waivers:
  - { rule: drift-from-reference, file: "dampers/F-002/**", reason: "known", by: "the bench", until: 2026-12-31 }
  - { rule: drift-from-reference, file: "dampers/F-001/**", reason: "old", by: "the bench", until: 2026-01-31 }
`;

/** Edits of every kind; each gives a file's new content, null for none. */
const EDITS: readonly (readonly [path: string, content: string | null])[] = [
  [SPECS.front, specText('alder-front', '40 %')],
  [SPECS.front, specText('alder-front')],
  [SPECS.front, `# a comment\n${specText('alder-front')}`],
  [SPECS.front, specText('alder-front').replace('relative: 5 %', 'relative: 5 parts')],
  [SPECS.front, specText('renamed')],
  [SPECS.rear, specText('alder-front')],
  [SPECS.rear, specText('birch-rear')],
  [REFERENCES.front, null],
  [REFERENCES.front, textOf(original, REFERENCES.front)],
  [REFERENCES.front, `# twice\n${textOf(original, REFERENCES.front)}`],
  [resultOf(LOGS.one), textOf(original, resultOf(LOGS.one)).replace(/4,200,(\d+)/, '4,200,1$1')],
  [resultOf(LOGS.one), textOf(original, resultOf(LOGS.one))],
  [resultOf(LOGS.one), 'nonsense'],
  [resultOf(LOGS.two), null],
  [resultOf(LOGS.two), textOf(original, resultOf(LOGS.two))],
  [LOGS.two, null],
  [LOGS.two, textOf(original, LOGS.two)],
  [LOGS.one, logText({ serial: 'F-001', seed: 77 })],
  [LOGS.one, textOf(original, LOGS.one)],
  ['dampers/F-009/build-1/nine.testlog.csv', logText({ serial: 'F-009', seed: 9, reboundShare: 0.7 })],
  ['dampers/F-009/build-1/nine.testlog.csv', null],
  ['damper-review.yaml', `${CONFIG}${WAIVER}`],
  ['damper-review.yaml', CONFIG],
  ['damper-review.yaml', CONFIG.replace('U: 2 N', 'U: 9 N')],
  ['damper-review.yaml', CONFIG.replace('incoming/**', 'elsewhere/**')],
  ['damper-review.yaml', `${CONFIG}rules: { drift-from-reference: { level: note } }\n`],
  ['damper-review.yaml', null],
];

describe('a review that answers with what changed', () => {
  it('tells everything at first and nothing when nothing changed', async () => {
    const { session } = await openWorkshop();
    const whole = await openWorkshop().then((opened) => opened.session.review([]));
    const told = new Told();
    told.take(await session.reviewChanges());
    expect(told.all).toEqual([...new Set(whole.findings.map(keyOf))].sort());
    expect([...told.results.values()].sort()).toEqual(
      whole.results.map(({ file, verdict }) => `${file} ${verdict}`).sort(),
    );
    const again = await session.reviewChanges();
    expect([again.results.size, again.findings.size]).toEqual([0, 0]);
  });

  it('tells of one result where one row of it was edited, and computes nothing for the others', async () => {
    const { session, files } = await openWorkshop();
    await session.reviewChanges();
    const counted = session.counts();
    const path = resultOf(LOGS.one);
    files.set(path, textOf(original, path).replace(/4,200,(\d+)/, '4,200,1$1'));
    session.invalidate([path]);
    const { results } = await session.reviewChanges();
    expect([...results.keys()]).toEqual([`result ${path}`]);
    const computed = Object.entries(session.counts()).filter(([name, count]) => count > (counted[name] ?? 0));
    expect(Object.fromEntries(computed.map(([name, count]) => [name, count - (counted[name] ?? 0)]))).toMatchObject({
      'parse table': 1,
      judge: 1,
      'explained entry': 1,
    });
    const names = computed.map(([name]) => name);
    for (const global of [
      'entries',
      'attempts',
      'group logs',
      'all repeats',
      'tests before',
      'inventory',
      'reduce log',
    ])
      expect(names).not.toContain(global);
  });

  it.each(Array.from({ length: thorough ? 60 : 4 }, (_, seed) => seed))(
    'adds up to what a fresh review says, whatever was edited (seed %i)',
    async (seed) => {
      const source = createRandom(seed + 1);
      const random = (): number => source.next();
      const opened = await openWorkshop();
      const told = new Told();
      told.take(await opened.session.reviewChanges());
      for (let step = 0; step < 12; step++) {
        for (let edit = 0; edit < 1 + Math.floor(random() * 2); edit++) {
          const [path, content] = EDITS[Math.floor(random() * EDITS.length)]!;
          if (content === null) opened.files.remove(path);
          else opened.files.set(path, content);
          opened.session.invalidate([path]);
        }
        // A run that is given up must lose nothing; another kind of run between must not either.
        if (random() < 0.3) {
          const controller = new AbortController();
          const given = opened.session.reviewChanges({ signal: controller.signal });
          setTimeout(() => {
            controller.abort();
          }, random() * 8);
          await given.then(
            (changes) => {
              told.take(changes);
            },
            () => undefined,
          );
        }
        if (random() < 0.3) await opened.session.specs();
        told.take(await opened.session.reviewChanges());
        const files = new MemoryFiles();
        for (const { path } of (await opened.files.list('')).files) files.set(path, await opened.files.read(path));
        const fresh = await openSession(files).session.review([]);
        expect(told.all).toEqual([...new Set(fresh.findings.map(keyOf))].sort());
        expect([...told.results.values()].sort()).toEqual(
          fresh.results.map(({ file, verdict }) => `${file} ${verdict}`).sort(),
        );
      }
    },
  );
});

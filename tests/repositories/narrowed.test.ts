import { rmSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { MemoryStore } from '../../src/platform/memory/memoryServices';
import { reviewRepository, TWO_SETTINGS } from '../bench/shared/reviewRepository';
import { temporaryFolder } from '../platform/temporaryFolder';
import { createRandom, type RandomSource } from '../simulator/random';
import { changesOf, documentOf, WholeFiles } from './branchReview';
import { ScriptedGit } from './scriptedGit';
import { thorough } from '../thorough';

/*
 * A session that is shown only what a change can reach says the same as one that is shown everything, after edits at random: of results and
 * the words that tie them, of references, specs and logs.
 */
const ROUNDS = thorough ? 120 : 8;
const SEED = 20261125;

type Files = ReadonlyMap<string, string>;
type Edit = (
  text: string,
  path: string,
  files: Files,
  random: RandomSource,
) => Record<string, string | Uint8Array | null>;

/** Another line in place of the one with a key, of the file itself. */
const line =
  (key: string, value: (files: Files, random: RandomSource) => string): Edit =>
  (text, path, files, random) => ({
    [path]: text.replace(new RegExp(`^(#? ?${key}: ).*$`, 'mu'), `$1${value(files, random)}`),
  });
const some = <Item>(items: readonly Item[], random: RandomSource): Item =>
  items[Math.floor(random.uniform(0, items.length))]!;
const pathOf = (files: Files, ending: string, random: RandomSource): string =>
  some(
    [...files.keys()].filter((path) => path.endsWith(ending)),
    random,
  );
/** The value of a key in some other result. */
const asInOther =
  (key: string) =>
  (files: Files, random: RandomSource): string =>
    new RegExp(`^# ${key}: (.*)$`, 'mu').exec(files.get(pathOf(files, '.result.csv', random))!)![1]!;
const gone: Edit = (_, path) => ({ [path]: null });
const scaled: Edit = (text, path) => ({
  [path]: text.replace(
    /^(\d+,\d+,)([\d.]+)/mu,
    (_, start: string, force: string) => start + (Number(force) * 1.04).toFixed(1),
  ),
});

/** A log that is there, of the test that some result is of. @param kind `staircase` or another one */
function logOf(result: string, kind: string): Uint8Array {
  const stated = result.split('\n').filter((text) => /^# (?:spec|serial|build|run|date|stroke|drive):/u.test(text));
  const rows = Array.from({ length: 2000 }, (_, i) => {
    const angle = i / 20;
    return `${(i / 500).toFixed(3)},${(20 * Math.sin(angle)).toFixed(2)},${(400 + 300 * Math.cos(angle)).toFixed(1)}`;
  });
  const head = [
    '# formatVersion: 1',
    ...stated,
    `# kind: ${kind}`,
    'time [s],displacement [mm],force [N],temperature [Cel]',
  ];
  return gzipSync([...head, ...rows, ''].join('\n'));
}

const EDITS: Readonly<Record<string, readonly Edit[]>> = {
  '.result.csv': [
    scaled,
    gone,
    line('serial', asInOther('serial')),
    line('build', asInOther('build')),
    line('run', (_, random) => String(1 + Math.floor(random.uniform(0, 3)))),
    line('spec', asInOther('spec')),
    line('source', asInOther('source')),
    line('date', () => '2026-01-02'),
    (text, path) => ({ [path.replace('run', 'copy-of-run')]: text }),
    (text, path) => ({ [path]: null, [path.replace('run', 'moved-run')]: text }),
    (text, path) => ({ [path]: text.replace('# spec:', '#  spec:') }),
  ],
  '.refcurve.csv': [
    scaled,
    gone,
    (text, path, files, random) => ({
      [path]: text.replace('\n', `\n# adopted: {from: [${pathOf(files, '.result.csv', random)}]}\n`),
    }),
  ],
  '.damper.yaml': [
    line('id', (_, random) => `alder-0${1 + Math.floor(random.uniform(0, 9))}`),
    (text, path) => ({ [path]: text.replace('5 %', '2 %') }),
    (text, path) => ({ [path]: `${text}role: checkStandard\n` }),
    (text, path, _, random) => ({ [path]: `${text}formerly: [alder-0${1 + Math.floor(random.uniform(0, 9))}]\n` }),
    (text, path, files, random) => ({
      [path]: text.replace(/^reference: .*$/mu, `reference: ../${pathOf(files, '.refcurve.csv', random)}`),
    }),
  ],
  '.testlog.csv.gz': [
    gone,
    (text, path) => ({ [path]: text.replace(/size \d+/u, 'size 7') }),
    (_, path, files, random) => ({
      [path]: logOf(files.get(pathOf(files, '.result.csv', random))!, some(['staircase', 'endurance'], random)),
    }),
  ],
};

describe('what a branch is said to do', () => {
  it('does not depend on files that it cannot reach', async () => {
    const random = createRandom(SEED);
    const git = new ScriptedGit(temporaryFolder()).init();
    const files = new Map(
      reviewRepository(96, 4, TWO_SETTINGS)
        .main.flat()
        .map(({ path, text }) => [path, text]),
    );
    git.commit('all', Object.fromEntries(files));
    // Of every third result the log is there, of every third one another test without a result; one log is of another test than its result
    // says.
    const results = [...files.keys()].filter((path) => path.endsWith('.result.csv'));
    const logs = results.flatMap((path, i): [string, Uint8Array][] => {
      const log = path.replace('.result.', '.testlog.') + '.gz';
      const result = files.get(path)!;
      if (i === 6) return [[log, logOf(files.get(results[1]!)!, 'endurance')]];
      if (i % 3 === 0) return [[log, logOf(result, 'staircase')]];
      const loose = result.replace(/^# build: .*$/mu, '# build: 9');
      return i % 3 === 1 ? [[log.replace('run', 'loose'), logOf(loose, 'staircase')]] : [];
    });
    git.commit('logs', Object.fromEntries(logs));
    const store = new MemoryStore();
    let told = 0;
    let left = 0;
    for (let round = 0; round < ROUNDS; round++) {
      for (let edit = 0; edit <= round % 3; edit++) {
        const ending = some(Object.keys(EDITS), random);
        const path = pathOf(files, ending, random);
        git.put(some(EDITS[ending]!, random)(files.get(path)!, path, files, random));
      }
      const status = git.git('status', '--short');
      const narrowed = documentOf(await changesOf(git.folder, 'HEAD', store));
      const whole = await changesOf(
        git.folder,
        'HEAD',
        store,
        (work) => new WholeFiles(work, (kept) => (left += kept)),
      );
      expect(narrowed, `seed ${SEED}, round ${round}: ${status}`).toEqual(documentOf(whole));
      told += narrowed.moved.length + narrowed.findings.length;
      git.git('checkout', '-q', '--', '.');
      git.git('clean', '-q', '-f', '-d');
    }
    expect(told).toBeGreaterThan(ROUNDS);
    expect(left).toBeLessThan(0.6 * ROUNDS * files.size); // else nothing would have been shown
    rmSync(git.folder, { recursive: true, force: true });
  }, 600_000);
});

import { existsSync, mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import Ajv2020 from 'ajv/dist/2020';
import { z } from 'zod';
import { RevisionFault } from '../../src/ports/revisions';
import { branchDocumentSchema, type BranchDocument } from '../../src/reports/branchSchema';
import { arm, somethingRan } from './armed';
import { changesOf, documentOf, WholeFiles } from './branchReview';
import { scriptBranches, store } from './branchWorkshop';
import { ScriptedGit } from './scriptedGit';
import { thorough } from '../thorough';

/*
 * A scripted repository: the whole document of every branch is kept under expected/ (`npx vitest run tests/repositories -u` writes it anew),
 * and what matters in it is stated here by hand.
 */
const IN_CLONES = ['measurement'] as const;

/** Rules about the branch that are told, verdicts that turn with their cause, and the verdict of the whole. */
const EXPECTED: Readonly<
  Record<string, { readonly rules: string; readonly turned: string; readonly verdict: string }>
> = {
  reference: {
    rules: 'reference-moved',
    turned:
      'F-001/1 pass-fail reference, F-002/1 fail-pass reference, F-006/1 undecided-fail reference, F-009/1 undecided-fail reference, F-003/1 pass-fail reference',
    verdict: 'fail',
  },
  tolerance: {
    rules: 'tolerance-moved',
    turned: 'F-002/1 fail-pass tolerance, F-009/1 undecided-pass tolerance',
    verdict: 'pass',
  },
  // F-007 was edited by hand: by another plan it is stale, and what cannot be compared any more is no longer called altered.
  plan: { rules: 'test-plan-narrowed', turned: 'F-006/1 undecided-pass plan, F-007/1 fail-pass plan', verdict: 'pass' },
  bench: { rules: 'bench-data-moved', turned: 'F-009/1 undecided-pass bench data', verdict: 'pass' },
  waiver: { rules: 'waiver-added', turned: 'F-007/1 fail-pass waiver', verdict: 'pass' },
  rules: { rules: 'tolerance-moved', turned: 'F-007/1 fail-pass rules', verdict: 'pass' },
  mapping: { rules: 'mapping-moved', turned: 'F-003/1 pass-fail mapping', verdict: 'fail' },
  measurement: { rules: 'retest-not-declared', turned: 'F-001/1 pass-fail measurement', verdict: 'fail' },
  retest: { rules: 'retest-not-declared', turned: '', verdict: 'pass' },
  'retest-declared': { rules: '', turned: '', verdict: 'pass' },
  rows: {
    rules: 'reference-rows-removed',
    turned: 'F-001/1 pass-undecided reference, F-003/1 pass-undecided reference',
    verdict: 'undecided',
  },
  'reference-gone': {
    rules: 'reference-rows-removed',
    turned: 'R-001/1 fail-undecided reference',
    verdict: 'undecided',
  },
  history: { rules: 'history-broken', turned: '', verdict: 'fail' },
  ahead: { rules: 'reference-crept', turned: '', verdict: 'pass' },
  crept: { rules: 'reference-crept reference-moved', turned: '', verdict: 'pass' },
  method: { rules: 'method-moved', turned: '', verdict: 'pass' },
  'moved-folder': { rules: '', turned: '', verdict: 'fail' },
  comments: { rules: '', turned: '', verdict: 'pass' },
  both: {
    rules: 'reference-moved tolerance-moved',
    turned:
      'F-001/1 pass-fail reference, F-002/1 fail-pass reference and tolerance, F-006/1 undecided-fail reference, F-003/1 pass-fail reference',
    verdict: 'fail',
  },
  either: {
    rules: 'reference-moved tolerance-moved',
    turned: 'F-002/1 fail-pass reference or tolerance',
    verdict: 'pass',
  },
};

const BRANCH_RULES =
  /^(?:reference-moved|reference-rows-removed|reference-crept|tolerance-moved|test-plan-narrowed|mapping-moved|bench-data-moved|method-moved|waiver-added|retest-not-declared|history-broken)$/;

let folder = '';
let git: ScriptedGit;
let commits = 0;
const documents = new Map<string, BranchDocument>();

beforeAll(async () => {
  folder = realpathSync(mkdtempSync(join(tmpdir(), 'damper-branches-')));
  ({ git, commits } = await scriptBranches(join(folder, 'origin')));
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

function said({ findings, turned, verdict }: BranchDocument): (typeof EXPECTED)[string] {
  const rules = [...new Set(findings.map(({ rule }) => rule).filter((rule) => BRANCH_RULES.test(rule)))].sort();
  const unit = (file: string): string => /([FR]-\d+)\/(?:build-)?(\d+)/u.exec(file)!.slice(1).join('/');
  return {
    rules: rules.join(' '),
    turned: turned.map((one) => `${unit(one.file)} ${one.before}-${one.after} ${one.cause}`).join(', '),
    verdict,
  };
}

async function refusal(work: Promise<unknown>): Promise<string> {
  try {
    await work;
    return 'no fault';
  } catch (error) {
    return error instanceof RevisionFault ? `${error.message} ${error.remedy}` : String(error);
  }
}

describe('a branch against its base', () => {
  const schema = new Ajv2020({ strict: false }).compile(z.toJSONSchema(branchDocumentSchema));

  it('is one of at least twenty-five commits', () => {
    expect(commits).toBeGreaterThanOrEqual(25);
    const branches = git.git('branch', '--format=%(refname:short)').split('\n');
    expect(branches.filter((name) => name !== 'main').sort()).toEqual(Object.keys(EXPECTED).sort());
  });

  it.each(Object.keys(EXPECTED))('%s', async (name) => {
    git.checkout(name);
    const document = documentOf(await changesOf(git.folder, undefined, store));
    documents.set(name, document);
    expect(said(document)).toEqual(EXPECTED[name]);
    expect(document.base.words).toBe('main');
    schema(document);
    expect(schema.errors).toBe(null);
    await expect(`${JSON.stringify(document, null, 2)}\n`).toMatchFileSnapshot(`expected/${name}.json`);
  });

  // The narrowed review is held against the whole one on three branches, or on all.
  it.each(thorough ? Object.keys(EXPECTED) : ['reference', 'history', 'either'])(
    '%s: nothing that it does not concern would change a word',
    async (name) => {
      git.checkout(name);
      const whole = await changesOf(git.folder, undefined, store, (work) => new WholeFiles(work));
      expect(documentOf(whole)).toEqual(documents.get(name));
    },
  );

  it('says the same of what is not committed yet, and that it is not', async () => {
    git.checkout('tolerance');
    git.git('reset', '-q', '--soft', 'main');
    try {
      const document = documentOf(await changesOf(git.folder, 'main', store));
      expect(document.head.uncommitted).toBe(true);
      expect({ ...document, head: undefined }).toEqual({ ...documents.get('tolerance'), head: undefined });
    } finally {
      git.git('reset', '-q', '--hard', 'ORIG_HEAD');
      git.checkout('main');
    }
  });

  it('says nothing where nothing changed, and on the default branch itself', async () => {
    git.checkout('main');
    const document = documentOf(await changesOf(git.folder, undefined, store));
    expect(document).toMatchObject({ moved: [], turned: [], findings: [], verdict: 'pass' });
  });

  it('is told by the levels and waivers of the base: a branch cannot silence what is said of it', async () => {
    git.checkout('tolerance');
    git.put({
      'damper-review.yaml': `${git.git('show', 'HEAD:damper-review.yaml')}\nrules: { tolerance-moved: { level: off } }\nwaivers: [{ rule: waiver-added, file: "**", reason: "No", by: "Nobody", until: 2026-12-31 }]\n`,
    });
    try {
      const { findings } = documentOf(await changesOf(git.folder, 'main', store));
      expect(findings.filter(({ rule }) => rule === 'tolerance-moved')).toHaveLength(2); // the tolerance, and the level itself
      expect(findings.find(({ rule }) => rule === 'waiver-added')?.waived).toBe(undefined);
    } finally {
      git.git('checkout', '-q', '--', '.');
      git.checkout('main');
    }
  });
});

describe.each(thorough ? Object.keys(EXPECTED) : [...IN_CLONES])('%s says the same', (name) => {
  /** The document of a clone with the branch checked out; words of the base differ by the clone's own names. */
  const inClone = async (clone: string): Promise<BranchDocument> => {
    const document = documentOf(await changesOf(clone, undefined, store));
    expect(document.base.words).toBe('origin/main');
    return { ...document, base: { ...document.base, words: 'main' } };
  };
  const cloned = (...options: readonly string[]): string => {
    const clone = join(mkdtempSync(join(folder, 'clone-')), 'clone');
    git.git('clone', '-q', '--no-checkout', ...options, `file://${git.folder}`, clone);
    new ScriptedGit(clone).git('checkout', '-q', name);
    return clone;
  };

  /** Files of the base whose contents a checkout of the branch alone does not bring, as git tells them. */
  const missingContents = (): string[] => {
    const present = git.git('ls-tree', '-r', '--format=%(objectname)', name).split('\n');
    const base = git.git('merge-base', 'main', name);
    const changed = git.git('diff', '--no-renames', '--name-only', '--diff-filter=MD', base, name).split('\n');
    return changed.filter((path) => path !== '' && !present.includes(git.git('rev-parse', `${base}:${path}`)));
  };

  it('in a worktree of its own', async () => {
    const path = join(mkdtempSync(join(folder, 'tree-')), 'tree');
    git.git('worktree', 'add', '-q', path, name);
    expect(documentOf(await changesOf(path, undefined, store))).toEqual(documents.get(name));
    git.git('worktree', 'remove', path);
  });

  it('in a clone with CRLF line endings', async () => {
    expect(await inClone(cloned('-c', 'core.autocrlf=true'))).toEqual(documents.get(name));
  });

  it('in a shallow clone that reaches the base, and says how far it saw', async () => {
    const { notes, ...document } = await inClone(cloned('--depth=3', '--no-single-branch'));
    expect(notes).toEqual([expect.stringContaining('shallow')]);
    if (name !== 'crept' && name !== 'ahead') expect(document).toEqual(documents.get(name));
  });

  it('in a shallow clone that does not: in words, with what to do', async () => {
    const clone = cloned('--depth=1', '--no-single-branch');
    expect(await refusal(changesOf(clone, undefined, store))).toContain('--unshallow');
  });

  it('in a partial clone once what it names as missing is there, which it never fetches itself', async () => {
    git.git('config', 'uploadpack.allowFilter', 'true');
    const clone = cloned('--filter=blob:none');
    const objects = (): string => new ScriptedGit(clone).git('count-objects', '-v');
    const before = objects();
    const missing = missingContents();
    const refused = await refusal(changesOf(clone, undefined, store));
    if (missing.length === 0) expect(refused).toBe('no fault');
    else expect(missing.filter((path) => refused.includes(path))).not.toEqual([]);
    if (missing.length > 0) expect(refused).toContain('git diff --stat');
    expect(objects()).toBe(before);
    new ScriptedGit(clone).git('diff', '--stat', 'origin/main');
    const { notes, ...document } = await inClone(clone);
    const lacks = notes?.join(' ') ?? '';
    if (name === 'retest') expect(lacks).toContain('eight.testlog.csv');
    if (notes === undefined) expect(document).toEqual(documents.get(name));
  });

  it('in a repository armed with programs of every kind, none of which runs', async () => {
    const clone = cloned();
    arm(clone);
    expect(await inClone(clone)).toEqual(documents.get(name));
    expect(somethingRan(clone)).toBe(false);
    expect(existsSync(join(clone, '.git', 'index.lock'))).toBe(false);
  });
});

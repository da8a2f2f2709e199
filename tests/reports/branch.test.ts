import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import MarkdownIt from 'markdown-it';
import { z } from 'zod';
import type { BranchChanges } from '../../src/changes/branchChanges';
import { branchDocumentSchema } from '../../src/reports/branchSchema';
import { branchDocument } from '../../src/reports/branchJson';
import { renderBranchMarkdown } from '../../src/reports/branchMarkdown';
import { movedSentence, reviewOfBranch } from '../../src/reports/branchStory';
import { renderBranchText } from '../../src/reports/branchText';
import { ScriptedGit } from '../repositories/scriptedGit';
import { changesOf } from '../repositories/branchReview';
import { MemoryStore } from '../../src/platform/memory/memoryServices';
import { HOSTILE } from '../text/hostileText';
import { unwelcomeIn } from './htmlElements';
import { LOGS, REFERENCES, resultOf, SPECS, specText, workshopFiles } from '../session/workshop';

const SCHEMA_FILE = new URL('../../docs/schema/changes.schema.json', import.meta.url);
const PLAIN = { colour: false, width: 100 };

let folder = '';
let changes: BranchChanges;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'damper-branch-report-'));
  const git = new ScriptedGit(folder).init();
  git.commit('first', await workshopFiles());
  git.branch('work');
  git.commit('wider', {
    [SPECS.front]: specText('alder-front', '30 %'),
    [REFERENCES.rear]: null,
    [resultOf(LOGS.rear)]: null,
  });
  changes = await changesOf(folder, undefined, new MemoryStore());
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

describe('the document of a branch', () => {
  it('has a published schema that is the one its types come from (`npx vitest run tests/reports -u` writes it anew)', async () => {
    expect(existsSync(SCHEMA_FILE)).toBe(true);
    const schema = `${JSON.stringify(z.toJSONSchema(branchDocumentSchema), null, 2)}\n`;
    await expect(schema).toMatchFileSnapshot('../../docs/schema/changes.schema.json');
  });
});

describe('what a reviewer reads of a branch', () => {
  it('begins with what moved that results are judged by, in text and in a comment', () => {
    const text = renderBranchText(changes, PLAIN);
    expect(text.slice(0, 500)).toMatch(
      /This branch itself moves: reference and tolerance\. 2 verdicts\s+turn, 2 of them not\s+by\s+the\s+measurement/,
    );
    const markdown = renderBranchMarkdown(changes);
    expect(markdown.indexOf('This branch itself moves')).toBeLessThan(120);
    for (const report of [text, markdown]) {
      expect(report).toContain('fail to pass with the tolerance');
      expect(report).toMatch(/tolerance of alder-front changed: .*5 % -(?:>|&gt;) 30 %/);
      expect(report.indexOf('tolerance-moved')).toBeLessThan(report.indexOf('fail to pass with the tolerance'));
    }
    expect(text).not.toContain('\u001b');
  });

  it('begins with a waiver or a mapping that is new, not with a spec that is, and says so where nothing changed', () => {
    const config = { ...changes.moves.config, benches: [], mappings: [], rules: [], waivers: [] };
    const nothing: BranchChanges = { ...changes, results: [], logs: [], turned: [], moves: { specs: [], config } };
    expect(movedSentence(nothing)).toBe('Nothing that results are judged by moved here.');
    const position = { line: 3, column: 1 };
    const waiver = { rule: 'drift-high', file: '**', reason: 'No', by: 'Nobody', until: '2027-01-01', position };
    const waived = { ...config, waivers: [{ waiver, change: 'added' as const }] };
    expect(movedSentence({ ...nothing, moves: { specs: [], config: waived } })).toMatch(
      /^This branch itself moves: waiver\./,
    );
    const mapping = { name: '*.csv', change: 'added' as const, keys: [], position };
    const mapped = { ...config, mappings: [mapping] };
    expect(movedSentence({ ...nothing, moves: { specs: [], config: mapped } })).toMatch(
      /^This branch itself moves: mapping\./,
    );
    const { after } = changes.moves.specs.find(({ reference }) => reference === undefined) ?? changes.moves.specs[0]!;
    const added = { id: 'new', after: after!, tolerance: [], plan: [], rules: [], other: [], narrowed: [] };
    expect(movedSentence({ ...nothing, moves: { specs: [added], config } })).toMatch(/^Nothing .* measurements\.$/);
  });

  it('has the same numbers in every form', () => {
    const document = branchDocument(changes);
    expect(document.turned.map(({ file, cause }) => [file, cause])).toEqual(
      changes.turned.map(({ file, cause }) => [file, cause]),
    );
    const outcome = reviewOfBranch(changes);
    expect(outcome.findings).toHaveLength(document.findings.length);
    expect(outcome.verdict).toBe(document.verdict);
    for (const { file } of document.turned)
      for (const report of [renderBranchText(changes, PLAIN), renderBranchMarkdown(changes)])
        expect(report).toContain(file);
  });

  it('lets no text of a file act where it is shown', () => {
    for (const hostile of HOSTILE) {
      const result = changes.results.find(({ after }) => after !== undefined)!;
      const finding = { ...changes.findings[0]!, message: hostile, file: hostile };
      const armed: BranchChanges = {
        ...changes,
        base: { commit: changes.base.commit, words: hostile },
        results: [{ ...result, file: hostile, from: hostile }],
        logs: [{ file: hostile, change: 'added' }],
        findings: [finding],
        notes: [hostile],
      };
      const text = renderBranchText(armed, PLAIN);
      // eslint-disable-next-line no-control-regex
      expect(text).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/);
      const html = new MarkdownIt({ html: true, linkify: true }).render(renderBranchMarkdown(armed));
      expect(unwelcomeIn(html).filter((what) => !/^t[hd] style$/.test(what))).toEqual([]);
    }
  });

  it('leaves out from the end what a comment cannot hold, and says so', () => {
    const many = Array.from({ length: 3000 }, (_, i) => ({
      ...changes.findings[0]!,
      message: `${i} ${'x'.repeat(2000)}`,
    }));
    const markdown = renderBranchMarkdown({ ...changes, findings: many });
    expect(markdown.length).toBeLessThanOrEqual(60_000);
    expect(markdown).toContain('The rest is in the full report');
  });
});

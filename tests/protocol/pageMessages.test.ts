import { describe, expect, it } from 'vitest';
import { isHostMessage, isPageMessage } from '../../src/protocol/pageMessages';
import type { BranchView, PreviewView } from '../../src/protocol/views';

const view: PreviewView = {
  page: 'preview',
  uri: 'file:///w/a.result.csv',
  linked: true,
  title: '<img src=x onerror=alert(1)>',
  verdict: 'fail',
  sentences: ['one'],
  facts: [{ name: 'Gas', text: '1' }],
  settings: [{ key: 'R=6', label: 'R 6', current: true }],
  charts: [
    {
      id: 'force',
      title: 't',
      description: 'd',
      spec: { layer: [{ x: null }] },
      points: [{ row: 7, key: 'c 7', label: 'l' }],
    },
  ],
  tables: [
    {
      id: 'points',
      caption: 'c',
      columns: [{ head: 'h', numeric: true }],
      rows: [{ row: 7, cells: ['1'] }],
      folded: false,
    },
  ],
  findings: [],
  steps: [],
  cautions: [],
};

describe('messages between the extension host and a page', () => {
  it('takes each message in full', () => {
    expect(isHostMessage({ kind: 'show', view })).toBe(true);
    expect(isHostMessage({ kind: 'select', row: 7 })).toBe(true);
    expect(isHostMessage({ kind: 'empty', page: 'preview', sentence: 'Open a result.' })).toBe(true);
    expect(isPageMessage({ kind: 'ready', width: 640 })).toBe(true);
    expect(isPageMessage({ kind: 'resized', width: 380 })).toBe(true);
    expect(isPageMessage({ kind: 'drawMore', drawn: 80 })).toBe(true);
    expect(isPageMessage({ kind: 'save', format: 'png', name: 'force', data: 'aGk=' })).toBe(true);
    expect(isPageMessage({ kind: 'openFile', uri: 'file:///a', line: 3 })).toBe(true);
  });

  it.each([
    ['nothing', undefined],
    ['a text', 'show'],
    ['a list', [{ kind: 'ready' }]],
    ['an unknown kind', { kind: 'eval', code: '1' }],
    ['a kind of the other side', { kind: 'ready' }],
    ['a row that is text', { kind: 'select', row: '7' }],
    ['a row below zero', { kind: 'select', row: -1 }],
    ['a view without a page', { kind: 'show', view: { ...view, page: undefined } }],
    ['a view of an unknown page', { kind: 'show', view: { ...view, page: 'settings' } }],
    ['a view with a key of its own', { kind: 'show', view: { ...view, script: 'x' } }],
    [
      'a chart id that is no name',
      { kind: 'show', view: { ...view, charts: [{ ...view.charts[0], id: 'a" onload="x' }] } },
    ],
    [
      'a function in a chart',
      { kind: 'show', view: { ...view, charts: [{ ...view.charts[0], spec: { f: () => 1 } }] } },
    ],
    ['a verdict that is none', { kind: 'show', view: { ...view, verdict: 'good' } }],
    [
      'a cell that is a number',
      { kind: 'show', view: { ...view, tables: [{ ...view.tables[0], rows: [{ cells: [1] }] }] } },
    ],
  ])('refuses %s from the host', (_, message) => {
    expect(isHostMessage(message)).toBe(false);
  });

  it('refuses a chart that holds itself', () => {
    const spec: Record<string, unknown> = {};
    spec['layer'] = [spec];
    expect(isHostMessage({ kind: 'show', view: { ...view, charts: [{ ...view.charts[0], spec }] } })).toBe(false);
  });

  it.each([
    ['a page without its width', { kind: 'ready' }],
    ['a width below zero', { kind: 'resized', width: -400 }],
    ['a number of results that is text', { kind: 'drawMore', drawn: '80' }],
    ['a row that is no whole number', { kind: 'selectRow', row: 1.5 }],
    ['a line that is missing', { kind: 'openFile', uri: 'file:///a' }],
    ['a format that is none', { kind: 'save', format: 'html', name: 'a', data: '' }],
    ['data that is no text', { kind: 'save', format: 'svg', name: 'a', data: {} }],
    ['a setting longer than any', { kind: 'chooseSetting', setting: 'x'.repeat(5000) }],
    ['a message of the host', { kind: 'select', row: 1 }],
  ])('refuses %s from a page', (_, message) => {
    expect(isPageMessage(message)).toBe(false);
  });
});

const branch: BranchView = {
  page: 'branch',
  base: '',
  uri: 'file:///w',
  title: 'What this branch changes',
  verdict: 'fail',
  verdictWord: 'FAIL',
  sentences: ['This branch itself moves: reference.'],
  facts: [],
  settings: [],
  charts: [],
  tables: [],
  findings: [],
  steps: [],
  cautions: [],
  moved: [
    { text: 't', file: 'a.refcurve.csv', uri: 'file:///w/a.refcurve.csv', line: 1, compare: { a: 'a@1', b: 'a' } },
    { text: 'gone', file: 'b.refcurve.csv', line: 1 },
  ],
  about: [],
  changed: [
    {
      id: 'changed-1',
      label: 'F-001 build 1',
      file: 'a.result.csv',
      change: 'changed: pass to fail with the measurement',
      uri: 'file:///w/a.result.csv',
      before: 'pass',
      after: 'fail',
      was: 'w',
      now: 'n',
      chart: { id: 'drift-1', title: 't', description: 'd', spec: {} },
      table: { id: 'points-1', caption: 'c', columns: [], rows: [], folded: true },
      compare: { a: 'a@1', b: 'a' },
    },
    { id: 'changed-2', label: 'F-002 build 1', file: 'b.result.csv', change: 'removed' },
  ],
  drawn: 2,
};

describe('the view of a branch', () => {
  const shown = (more: object): unknown => ({ kind: 'show', view: { ...branch, ...more } });

  it('is taken in full', () => {
    expect(isHostMessage(shown({}))).toBe(true);
  });

  it.each([
    ['no base', { base: undefined }],
    ['no repository', { uri: undefined }],
    ['a moved thing without a file', { moved: [{ text: 't', line: 1 }] }],
    ['a moved thing at no line', { moved: [{ text: 't', file: 'a', line: 0.5 }] }],
    ['a comparison of one side', { moved: [{ text: 't', file: 'a', line: 1, compare: { a: 'a' } }] }],
    ['a result with an id that is markup', { changed: [{ ...branch.changed[0], id: '"><img>' }] }],
    ['a verdict that is none', { changed: [{ ...branch.changed[0], after: 'worse' }] }],
    ['a key of its own', { changed: [{ ...branch.changed[0], html: '<b>' }] }],
    ['a finding that is a text', { about: ['reference-moved'] }],
  ])('is refused with %s', (_, more) => {
    expect(isHostMessage(shown(more))).toBe(false);
  });

  it('may be asked for with any revision of a sensible length', () => {
    expect(isPageMessage({ kind: 'chooseBase', base: '' })).toBe(true);
    expect(isPageMessage({ kind: 'chooseBase', base: 'origin/main' })).toBe(true);
    expect(isPageMessage({ kind: 'chooseBase', base: 'x'.repeat(300) })).toBe(false);
    expect(isPageMessage({ kind: 'chooseBase' })).toBe(false);
  });
});

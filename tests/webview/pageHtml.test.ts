import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { pageHtml } from '../../extension/pages/pageHtml';
import { isPageState } from '../../extension/pages/pageState';

const places = { script: 'https://page/page.js', style: 'https://page/page.css', source: 'https://page' };

describe('a page before it runs', () => {
  it('has one script by nonce, no inline script, style or handler, and a policy that allows nothing else', () => {
    const html = pageHtml('preview', places);
    expect(html.match(/<script/g)).toHaveLength(1);
    expect(html).not.toMatch(/<style|style=|\son[a-z]+=|javascript:/i);
    const policy = /content="([^"]*)">/.exec(html)?.[1] ?? '';
    const nonce = /nonce="([0-9a-f]{32})"/.exec(html)?.[1];
    expect(policy.split('; ').sort()).toEqual(
      [
        "base-uri 'none'",
        "default-src 'none'",
        "form-action 'none'",
        `script-src 'nonce-${nonce}'`,
        'style-src https://page',
      ].sort(),
    );
    expect(pageHtml('preview', places)).not.toBe(html); // a nonce is used once
  });

  it('is restored only from a state that fits', () => {
    expect(isPageState({ page: 'preview', uri: 'file:///a', setting: 'x' })).toBe(true);
    expect(isPageState({ page: 'comparison', a: 'F-1/1', b: 'F-1/2' })).toBe(true);
    for (const state of [undefined, null, 7, 'preview', [], {}, { page: 'preview' }, { page: 'preview', uri: 7 }])
      expect(isPageState(state)).toBe(false);
    expect(isPageState({ page: 'comparison', a: 'x'.repeat(5000), b: '' })).toBe(false);
  });

  it('starts the extension narrowly: by its marker, by a file that may be ours, by what of it is asked for', () => {
    const { activationEvents } = JSON.parse(readFileSync('package.json', 'utf8')) as { activationEvents: string[] };
    expect(activationEvents.some((event) => event === '*' || event === 'onStartupFinished')).toBe(false);
    expect(activationEvents.filter((event) => event.startsWith('workspaceContains:') && event.includes('*'))).toEqual(
      [],
    );
  });
});

import fc from 'fast-check';
import MarkdownIt from 'markdown-it';
import { parseFragment, type DefaultTreeAdapterTypes } from 'parse5';
import { describe, expect, it } from 'vitest';
import { escapeMarkdown, markdownCode } from '../../src/text/markdown';
import { spellHidden } from '../../src/text/visible';
import { hostileText, runs } from './hostileText';

/** CommonMark with tables, raw HTML and automatic links on, as hosts have it; they do not link bare words such as `name.net`. */
const markdown = new MarkdownIt({ html: true, linkify: true });
markdown.linkify.set({ fuzzyLink: false });

interface Seen {
  readonly elements: readonly string[];
  /** One entry a run of text between elements and comments. */
  readonly texts: readonly string[];
}
function look(html: string): Seen {
  const elements: string[] = [];
  const texts: string[] = [];
  const walk = (node: DefaultTreeAdapterTypes.Node): void => {
    if ('tagName' in node) elements.push(node.tagName);
    if (node.nodeName === '#text' && 'value' in node) texts.push(node.value);
    if ('childNodes' in node) node.childNodes.forEach(walk);
  };
  walk(parseFragment(html));
  return { elements, texts };
}
const tidy = (text: string): string => text.replace(/\s+/g, ' ').trim();

/** What hosts link in finished text: mentions, references, addresses, emoji names. */
const LINKED = /@[\w-]|[#!~%$&^][\w"{[]|\bGH-\d|:[\w+-]|:\/\/|\bwww\./;

describe('escapeMarkdown', () => {
  it('shows the text itself, in a paragraph of its own and in a list', () => {
    fc.assert(
      fc.property(hostileText, (text) => {
        for (const [lead, expected] of [
          ['', ['p']],
          ['- ', ['ul', 'li']],
          ['Serial ', ['p']],
        ] as const) {
          const seen = look(markdown.render(lead + escapeMarkdown(text)));
          if (spellHidden(text).trim() !== '') expect(seen.elements).toEqual(expected);
          expect(tidy(seen.texts.join(''))).toBe(tidy((lead === '- ' ? '' : lead) + spellHidden(text)));
        }
      }),
      runs,
    );
  });

  it('stays in its cell of a table', () => {
    fc.assert(
      fc.property(hostileText, hostileText, (first, second) => {
        const seen = look(
          markdown.render(`| a | b |\n| --- | --- |\n| ${escapeMarkdown(first)} | ${escapeMarkdown(second)} |\n`),
        );
        expect(seen.elements.filter((name) => name === 'td').length).toBe(2);
        expect(seen.elements.filter((name) => !['table', 'thead', 'tbody', 'tr', 'th', 'td'].includes(name))).toEqual(
          [],
        );
        expect(tidy(seen.texts.join(' '))).toContain(tidy(spellHidden(first)).slice(0, 1));
      }),
      runs,
    );
  });

  it('leaves nothing for a host to link in any run of text', () => {
    fc.assert(
      fc.property(hostileText, (text) => {
        for (const run of look(markdown.render(`Serial ${escapeMarkdown(text)}`)).texts)
          expect(run).not.toMatch(LINKED);
      }),
      runs,
    );
  });
});

describe('markdownCode', () => {
  it('is one code element with the text, in prose and in a table', () => {
    fc.assert(
      fc.property(hostileText, (text) => {
        const prose = look(markdown.render(`Serial ${markdownCode(text)} ends`));
        expect(prose.elements).toEqual(['p', 'code']);
        expect(tidy(prose.texts.join(''))).toBe(tidy(`Serial ${spellHidden(text)} ends`));
        const table = look(markdown.render(`| a | b |\n| --- | --- |\n| ${markdownCode(text)} | x |\n`));
        expect(table.elements).toEqual(['table', 'thead', 'tr', 'th', 'th', 'tbody', 'tr', 'td', 'code', 'td']);
      }),
      runs,
    );
  });
});

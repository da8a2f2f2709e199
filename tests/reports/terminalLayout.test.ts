import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TerminalLayout } from '../../src/reports/terminalLayout';
import { thorough } from '../thorough';

const layout = new TerminalLayout(false, 40);

/** Word by word and character by character: what breaking at blanks means, however it is done. */
function broken(text: string, room: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && Array.from(line).length + 1 + Array.from(word).length > room) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, line];
}

const word = fc.oneof(
  { weight: 6, arbitrary: fc.stringMatching(/^[a-z.]{0,12}$/u) },
  { weight: 1, arbitrary: fc.stringMatching(/^[a-z/]{30,60}$/u) },
  {
    weight: 1,
    arbitrary: fc.constantFrom('°C', 'Ä±ß', '漢字', '\u{1f600}', 'a\u{1f600}\u{1f600}b', '\u{10000}'.repeat(39)),
  },
);
const text = fc.array(word, { maxLength: 40 }).map((words) => words.join(' '));

describe('a paragraph', () => {
  it('is broken at blanks as word by word, whatever the characters and however many blanks', () => {
    fc.assert(
      fc.property(text, fc.integer({ min: 0, max: 15 }), (words, indent) => {
        const start = ' '.repeat(indent);
        expect(layout.paragraph(indent, '', words)).toEqual(broken(words, 40 - indent).map((line) => start + line));
      }),
      { seed: 7, numRuns: thorough ? 100_000 : 2000 },
    );
  });

  it('hangs behind its lead, and paints each line by itself', () => {
    const painted = new TerminalLayout(true, 30);
    expect(painted.paragraph(2, 'Next: ', 'one two three four five six', 'fail', 'strong')).toEqual([
      '  \u001b[1mNext: \u001b[0m\u001b[1;31mone two three four\u001b[0m',
      '        \u001b[1;31mfive six\u001b[0m',
    ]);
    expect(layout.paragraph(2, 'A  ', '')).toEqual(['  A  ']);
  });

  it('spells out what would move the cursor, before it counts', () => {
    expect(layout.paragraph(0, '', 'a\u001b[2Jb\u{e0001}c')).toEqual(['a\\u{1b}[2Jb\\u{e0001}c']);
  });
});

describe('columns of figures', () => {
  const drawn = (...columns: string[][]): string[] => layout.columns(2, ['mm/s', 'N'], columns);

  it('stand under their heads, right-aligned, in even blocks', () => {
    expect(drawn(['25', '-3'], ['1000', '+120.5'])).toEqual(['  mm/s  25    1000', '  N     -3  +120.5']);
    expect(drawn(...Array.from({ length: 6 }, () => ['1000', '12345']))).toEqual([
      '  mm/s   1000   1000   1000',
      '  N     12345  12345  12345',
      '',
      '  mm/s   1000   1000   1000',
      '  N     12345  12345  12345',
    ]);
  });

  it('spell out what a cell hides and count its characters, whichever cell it is', () => {
    expect(drawn(['25', '1'], ['50', 'a\u001bb'], ['75', '±2'])).toEqual([
      '  mm/s  25        50  75',
      '  N      1  a\\u{1b}b  ±2',
    ]);
    expect(drawn(['2\n5', '1'])).toEqual(['  mm/s  2\\n5', '  N        1']);
  });
});

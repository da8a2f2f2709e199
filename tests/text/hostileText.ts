import fc from 'fast-check';
import { thorough } from '../thorough';

/** Strings that broke other programs' output, and what a file of ours may hold in a serial, an id or a message. */
export const HOSTILE: readonly string[] = [
  '<script>alert(1)</script>',
  '"><img src=x onerror=alert(1)>',
  "' onmouseover='alert(1)",
  '</title></style></svg><svg onload=alert(1)>',
  '&lt;b&gt; &#60; &amp;',
  '--> <!-- ]]> <![CDATA[',
  '\u001b[31mred\u001b[0m \u001b]8;;http://host.invalid\u0007link\u001b]8;;\u0007',
  '\u009b2J \u0090q\u009c',
  'line\nbreak\r\nand\u2028separator\u2029\u0085end',
  'safe\u202egnitset\u202c \u2066iso\u2069 \u200fmark',
  'zero\u200bwidth\u200d\ufeff\u2060\u00ad \u{e0041}tag',
  'lone \ud800 surrogate \udc00, non\uffffchar \u0000nul',
  '@everyone, see #12, !34, group/project#5, GH-6, :tada:, user@mail.invalid',
  'https://host.invalid/x?y=1 www.host.invalid [text](javascript:alert(1)) ![i](http://host.invalid/p.png)',
  '| a | b |\\| c \\\\| d `x|y` ``z``',
  '*bold* _it_ ~~gone~~ `code` # head $x^2$ <b>tag</b> ![](x)',
  '- item',
  '1. item',
  '=== ',
  '/close',
  '> quote',
  '=HYPERLINK("http://host.invalid","x")',
  "+1+cmd|' /C calc'!A0",
  '-2+3',
  '@SUM(1)',
  '\t=1+1',
  '＝1+1',
  '::error file=a,line=1::boo%0A::set-env name=X::y',
  '%0D%0A::stop-commands::x',
  '__proto__',
  'constructor',
  'a\\',
  '`',
  '',
  ' ',
];

const alphabet = [
  ...Array.from('<>&"\'`*_{}[]()#+-.!|~$^@:%/\\=;,\t\n\r aAwwwGH1290'),
  '\u001b',
  '\u202e',
  '\u200b',
  '\u0000',
  '\u009b',
  '\ud800',
  '\u2028',
  'é',
  '＝',
  '😀',
];

/** Hostile strings whole, pieces of them joined, and random strings over the marks that some sink gives a meaning. */
export const hostileText = fc.oneof(
  fc.constantFrom(...HOSTILE),
  fc.array(fc.constantFrom(...HOSTILE), { minLength: 2, maxLength: 4 }).map((parts) => parts.join('')),
  fc.array(fc.constantFrom(...alphabet), { maxLength: 30 }).map((parts) => parts.join('')),
  fc.string({ unit: 'binary', maxLength: 30 }),
);

export const runs = { numRuns: thorough ? 20_000 : 500, seed: 20260314 };

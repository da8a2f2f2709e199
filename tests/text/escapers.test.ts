import { parse as parseCsv } from 'csv-parse/sync';
import fc from 'fast-check';
import { parseFragment } from 'parse5';
import { describe, expect, it } from 'vitest';
import { validateXML } from 'xmllint-wasm';
import { escapeAnnotation, escapeAnnotationProperty } from '../../src/text/annotation';
import { escapeCsvCell } from '../../src/text/csvCell';
import { escapeHtml } from '../../src/text/html';
import { escapeTerminal } from '../../src/text/terminal';
import { clip, spellHidden } from '../../src/text/visible';
import { escapeXml } from '../../src/text/xml';
import { HOSTILE, hostileText, runs } from './hostileText';

/** Written apart from the product's own list: code points that must never reach a sink as they are. */
function mustBeSpelled(code: number): boolean {
  return (
    code < 0x20 ||
    (code >= 0x7f && code <= 0x9f) ||
    code === 0xad ||
    code === 0x61c ||
    (code >= 0x200b && code <= 0x200f) ||
    (code >= 0x2028 && code <= 0x202e) ||
    (code >= 0x2060 && code <= 0x206f) ||
    code === 0xfeff ||
    (code >= 0xd800 && code <= 0xdfff) ||
    (code & 0xfffe) === 0xfffe ||
    (code >= 0xe0000 && code <= 0xe0fff)
  );
}

const sinks = { escapeTerminal, escapeHtml, escapeXml, escapeCsvCell, escapeAnnotation, escapeAnnotationProperty };

describe('every escaper', () => {
  for (const [name, escape] of Object.entries(sinks))
    it(`${name} lets no hidden character through`, () => {
      fc.assert(
        fc.property(hostileText, (text) => {
          expect(Array.from(escape(text)).filter((c) => mustBeSpelled(c.codePointAt(0)!))).toEqual([]);
        }),
        runs,
      );
    });

  it('leaves plain trade text as it is', () => {
    const plain = 'F-017 build 2, rebound 300 to 500 mm/s, ±25.4 N at R 6, größer, 減衰力';
    expect(escapeTerminal(plain)).toBe(plain);
    expect(escapeHtml(plain)).toBe(plain);
    expect(escapeXml(plain)).toBe(plain);
    expect(escapeAnnotation(plain)).toBe(plain);
  });

  it('spells what it hides so that it can be read', () => {
    expect(spellHidden('a\u202eb\nc\u001b[31m')).toBe('a\\u{202e}b\\nc\\u{1b}[31m');
  });
});

describe('escapeHtml', () => {
  it('reads back as the same single text node, in an element and in an attribute (HTML parser: parse5)', () => {
    fc.assert(
      fc.property(hostileText, (text) => {
        const shown = spellHidden(text);
        for (const quote of ['"', "'"]) {
          const fragment = parseFragment(`<p title=${quote}${escapeHtml(text)}${quote}>${escapeHtml(text)}</p>`);
          expect(fragment.childNodes.length).toBe(1);
          const element = fragment.childNodes[0]!;
          if (!('attrs' in element)) throw new Error('no element');
          expect(element.attrs).toEqual([{ name: 'title', value: shown }]);
          expect(element.childNodes.map((node) => ('value' in node ? node.value : 'an element'))).toEqual(
            shown === '' ? [] : [shown],
          );
        }
      }),
      runs,
    );
  });
});

describe('escapeXml', () => {
  it('keeps a document well-formed and reads back the same (libxml2)', async () => {
    const texts = [...HOSTILE, ...fc.sample(hostileText, runs)];
    const contents = `<?xml version="1.0" encoding="UTF-8"?>\n<r>${texts.map((t) => `<t a="${escapeXml(t)}">${escapeXml(t)}</t>`).join('\n')}</r>`;
    const schema = `<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"><xs:element name="r"><xs:complexType><xs:sequence>
      <xs:element name="t" minOccurs="${texts.length}" maxOccurs="${texts.length}"><xs:complexType><xs:simpleContent><xs:extension base="xs:string"><xs:attribute name="a" type="xs:string"/></xs:extension></xs:simpleContent></xs:complexType></xs:element>
      </xs:sequence></xs:complexType></xs:element></xs:schema>`;
    const report = await validateXML({ xml: { fileName: 'hostile.xml', contents }, schema });
    expect(report.errors).toEqual([]);
    const broken = await validateXML({
      xml: { fileName: 'broken.xml', contents: contents.replace('&lt;', '<') },
      schema,
    });
    expect(broken.valid).toBe(false);
  });
});

describe('escapeCsvCell', () => {
  it('is one cell for every delimiter, and no formula (csv-parse)', () => {
    fc.assert(
      fc.property(hostileText, (text) => {
        const cell = escapeCsvCell(text);
        for (const delimiter of [',', ';', '\t']) {
          const rows = parseCsv(`first${delimiter}${cell}${delimiter}last\n`, { delimiter });
          expect(rows.length).toBe(1);
          const read = rows[0]![1]!;
          expect(rows[0]!.length).toBe(3);
          expect(read.replace(/^'/, '')).toBe(spellHidden(text).replace(/^'/, ''));
          expect(/^\s*[=+\-@＝＋－＠](?![\d.]+(e[+-]?\d+)?$)/i.test(read)).toBe(false);
        }
      }),
      runs,
    );
  });

  it('leaves negative numbers as numbers', () => {
    expect(escapeCsvCell('-34.5')).toBe('-34.5');
    expect(escapeCsvCell('-2+3')).toBe("'-2+3");
  });
});

describe('escapeAnnotation', () => {
  /** The runner's own reading: a command ends with its line; percent codes are undone in the data, and colon and comma in properties. */
  const data = (text: string): string => text.replaceAll('%0D', '\r').replaceAll('%0A', '\n').replaceAll('%25', '%');
  const property = (text: string): string =>
    text
      .replaceAll('%0D', '\r')
      .replaceAll('%0A', '\n')
      .replaceAll('%3A', ':')
      .replaceAll('%2C', ',')
      .replaceAll('%25', '%');

  it('is one command with the same text, whatever the text holds', () => {
    fc.assert(
      fc.property(hostileText, hostileText, (file, message) => {
        const line = `::error file=${escapeAnnotationProperty(file)},line=1::${escapeAnnotation(message)}`;
        expect(line.split(/\r|\n/).length).toBe(1);
        const read = /^::error file=([^:,]*),line=1::(.*)$/u.exec(line);
        expect(read && property(read[1]!)).toBe(spellHidden(file));
        expect(read && data(read[2]!)).toBe(spellHidden(message));
      }),
      runs,
    );
  });
});

describe('clip', () => {
  it('cuts by characters, never inside one', () => {
    expect(clip('😀😀😀😀', 3)).toBe('😀😀…');
    expect(clip('abc', 3)).toBe('abc');
  });
});

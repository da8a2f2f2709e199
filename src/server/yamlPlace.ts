import { flowStart, structureOf } from './flowText';
import type { Lines } from './lines';

/** Where a cursor stands in a YAML document, also in one that is only half written. List items count as 0. */
export interface YamlPlace {
  /** Keys of the map or list that holds the cursor. */
  readonly path: readonly (string | number)[];
  /** The key whose value the cursor is in; undefined where a key is expected. */
  readonly key?: string;
  /** What stands before the cursor of the word that it is in, and the column where that word begins. */
  readonly word: string;
  readonly start: number;
}

const KEY = /^(?:"([^"]*)"|'([^']*)'|([^\s:#[\]{},][^:#[\]{},]*?))\s*:(?=\s|$)/;

/** Follows indentation upwards and braces to the right, also those that were opened on an earlier line. */
export function yamlPlaceAt(lines: Lines, line: number, character: number, firstColumn = 0): YamlPlace {
  const begin = flowStart(lines, line, firstColumn);
  const above = lines.slice(begin, line).map((text) => `${structureOf(text.slice(firstColumn))} `);
  const before = above.join('') + (lines[line] ?? '').slice(firstColumn, character);
  const opened = openedBlock(before);
  const path = [...parentsOf(lines, begin, opened.indent, opened.isItem), ...(opened.isItem ? [0] : [])];
  if (/^[{[]/.test(opened.rest) && path.length > 0) {
    const around = path.pop()!; // a brace without a key before it fills a place of the list, or the key of an earlier line
    return flowPlace(path, around === 0 ? '' : String(around), opened.rest, character);
  }
  const key = KEY.exec(opened.rest);
  if (key === null || key[0].length >= opened.rest.length + 1) return keyPlace(path, opened.rest, character);
  const name = nameOf(key);
  return flowPlace([...path], name, opened.rest.slice(key[0].length), character);
}

interface OpenedBlock {
  /** Column of the first key or value. */
  readonly indent: number;
  readonly isItem: boolean;
  readonly rest: string;
}

function openedBlock(text: string): OpenedBlock {
  const match = /^(\s*)((?:-\s+)*)(.*)$/.exec(text)!;
  const [, spaces, dashes, rest] = match as unknown as [string, string, string, string];
  return { indent: spaces.length + dashes.length, isItem: dashes !== '', rest };
}

/** Keys of the maps around a line, from the outermost. */
function parentsOf(lines: Lines, line: number, indent: number, isItem: boolean): (string | number)[] {
  const parents: (string | number)[] = [];
  let limit = isItem ? indent - 1 : indent;
  for (let at = line - 1; at >= 0 && limit > 0; at--) {
    const text = lines[at]!;
    if (text.trim() === '' || text.trimStart().startsWith('#')) continue;
    const block = openedBlock(text);
    const dash = text.length - text.trimStart().length;
    if (block.isItem && dash < limit && block.indent === limit) {
      parents.unshift(0); // the item whose first key stands beside its dash
      limit = dash + 1;
      continue;
    }
    const key = KEY.exec(block.rest);
    if (key === null || dash >= limit) continue;
    if (block.isItem && block.indent < limit) {
      parents.unshift(0, nameOf(key));
      limit = dash + 1;
    } else if (!block.isItem) {
      parents.unshift(nameOf(key));
      limit = dash;
    }
  }
  return parents;
}

function nameOf(key: RegExpExecArray): string {
  return key[1] ?? key[2] ?? key[3] ?? '';
}

function keyPlace(path: readonly (string | number)[], rest: string, character: number): YamlPlace {
  const word = /[^\s:#[\]{},]*$/.exec(rest)![0];
  return { path, word, start: character - word.length };
}

/** Goes through what stands behind `key:` up to the cursor. */
function flowPlace(path: (string | number)[], name: string, text: string, character: number): YamlPlace {
  let key: string | undefined = name;
  let word = '';
  const close = (): void => {
    // What was opened last was entered by a key of the map around it, or by a place in a list.
    path.pop();
    key = undefined;
  };
  for (const letter of text) {
    if (letter === '{' || letter === '[') {
      path.push(key === undefined || key === '' ? 0 : key);
      key = letter === '[' ? '' : undefined;
    } else if (letter === '}' || letter === ']') close();
    else if (letter === ',') key = key === '' ? '' : undefined;
    else if (letter === ':' && key === undefined) key = word.trim().replace(/^["']|["']$/g, '');
    word = /[{}[\],:]/.test(letter) ? '' : word + letter;
  }
  const typed = word.trimStart();
  const place = { word: typed, start: character - typed.length };
  if (key === '') return { path: [...path], key: '0', ...place };
  return key === undefined ? { path: [...path], ...place } : { path: [...path], key, ...place };
}

/** Path of the value that the cursor is in, as a schema is walked. */
export function valuePath({ path, key }: YamlPlace): readonly (string | number)[] {
  return key === undefined ? path : [...path, key === '0' ? 0 : key];
}

import { isQuantityProblem, NUMBER_PATTERN, parseQuantity } from '../../quantities/quantity';
import type { Dimension } from '../../quantities/unit';
import { nearestKey } from '../nearest';
import type { FileProblem, SourcePosition } from '../problem';
import { quotedValue } from '../problemText';

/** A value of the preamble, the path or the mapping: text, or lists and maps of text, as written. */
export interface HeadEntry {
  readonly value: unknown;
  readonly position: SourcePosition;
}

/** Reads the values of a log's preamble one key at a time and collects what is wrong with them. */
export class HeadValues {
  readonly problems: FileProblem[] = [];

  constructor(
    private readonly file: string,
    private readonly entries: ReadonlyMap<string, HeadEntry>,
  ) {}

  text(key: string): string | undefined {
    const entry = this.entries.get(key);
    if (entry === undefined) return undefined;
    const { value } = entry;
    if ((typeof value === 'string' || typeof value === 'number') && String(value).trim() !== '') return String(value);
    const message = typeof value === 'string' ? `${key} is empty.` : `${key} is one text, not a list or a map.`;
    this.refuse(key, entry, message, `Write it like '# ${key}: text', or remove the line.`);
    return undefined;
  }

  oneOf<const Word extends string>(key: string, words: readonly Word[]): Word | undefined {
    return this.wordOf(key, this.entries.get(key), words);
  }

  length(key: string): number | undefined {
    return this.quantity(key, 'length');
  }

  yesOrNo(key: string): boolean | undefined {
    const word = this.oneOf(key, ['true', 'false', 'yes', 'no']);
    return word === undefined ? undefined : word === 'true' || word === 'yes';
  }

  /** A whole number from 1. */
  count(key: string): number | undefined {
    const text = this.text(key);
    if (text === undefined) return undefined;
    if (/^[1-9]\d{0,5}$/.test(text)) return Number(text);
    this.refuse(key, this.entries.get(key)!, `${key} is not a whole number from 1.`, `Write it like '# ${key}: 1'.`);
    return undefined;
  }

  /** A date or a date and time of ISO 8601, as written. */
  date(key: string): string | undefined {
    const text = this.text(key);
    if (text === undefined || isIsoDate(text)) return text;
    const remedy = `Write it like 2026-03-14 or 2026-03-14T10:22:00Z.`;
    this.refuse(key, this.entries.get(key)!, `${key} is not a date.`, remedy);
    return undefined;
  }

  /** A map of words to numbers. */
  numbers(key: string): Record<string, number> {
    const result: Record<string, number> = {};
    for (const [name, value] of this.map(key, `{LSC: 8, R: 6}`)) {
      const text = typeof value === 'string' || typeof value === 'number' ? String(value).trim() : '';
      if (NUMBER_PATTERN.test(text) && Number.isFinite(Number(text))) result[name] = Number(text);
      else
        this.refuse(
          `${key}.${name}`,
          { ...this.entries.get(key)!, value },
          `The position of ${name} in ${key} is not a number.`,
          `Write it like '# ${key}: {${name}: 8}'.`,
        );
    }
    return result;
  }

  /** A map of channels to words. */
  words<Name extends string, Word extends string>(
    key: string,
    names: readonly Name[],
    words: readonly Word[],
  ): Partial<Record<Name, Word>> {
    const result: Partial<Record<Name, Word>> = {};
    for (const [name, value] of this.map(key, `{${names[0]!}: ${words.at(-1)!}}`)) {
      const known = names.find((candidate) => candidate === name);
      const entry = { ...this.entries.get(key)!, value };
      if (known === undefined) {
        const remedy = `Use ${names.join(', ')}.`;
        this.refuse(`${key}.${name}`, { ...entry, value: name }, `${key} has no part '${quotedValue(name)}'.`, remedy);
        continue;
      }
      const word = this.wordOf(`${key}.${name}`, entry, words);
      if (word !== undefined) result[known] = word;
    }
    return result;
  }

  /** The named texts of a map; others are refused. */
  texts<Name extends string>(key: string, names: readonly Name[]): Partial<Record<Name, string>> | undefined {
    if (!this.entries.has(key)) return undefined;
    const result: Partial<Record<Name, string>> = {};
    for (const [name, value] of this.map(key, `{${names.map((each) => `${each}: TEXT`).join(', ')}}`)) {
      const known = names.find((candidate) => candidate === name);
      if (known !== undefined && typeof value === 'string') result[known] = value;
      else {
        const entry = { ...this.entries.get(key)!, value: name };
        this.refuse(`${key}.${name}`, entry, `${key} has no text '${quotedValue(name)}'.`, `Use ${names.join(', ')}.`);
      }
    }
    return result;
  }

  refuse(key: string, entry: HeadEntry, message: string, remedy: string, rule = 'file-invalid'): void {
    const { file } = this;
    const value = quotedValue(typeof entry.value === 'string' ? entry.value : JSON.stringify(entry.value));
    this.problems.push({ rule, file, position: entry.position, column: key, value, message, remedy });
  }

  private quantity(key: string, dimension: Dimension): number | undefined {
    const text = this.text(key);
    if (text === undefined) return undefined;
    const result = parseQuantity(text, dimension);
    if (!isQuantityProblem(result)) return result.value;
    const rule = result.fault === 'no-number' ? 'file-invalid' : 'unit-mismatch';
    this.refuse(key, this.entries.get(key)!, `${key}: ${result.problem}`, result.remedy, rule);
    return undefined;
  }

  private wordOf<Word extends string>(
    key: string,
    entry: HeadEntry | undefined,
    words: readonly Word[],
  ): Word | undefined {
    if (entry === undefined) return undefined;
    const text = typeof entry.value === 'boolean' ? String(entry.value) : entry.value;
    const known = words.find((word) => word === text);
    if (known !== undefined) return known;
    const near = typeof text === 'string' ? nearestKey(text, words) : undefined;
    const all = `It is one of ${words.join(', ')}.`;
    const remedy = near === undefined ? all : `Did you mean '${near}'? ${all}`;
    this.refuse(key, entry, `This is no known value of ${key}.`, remedy);
    return undefined;
  }

  private map(key: string, example: string): [string, unknown][] {
    const entry = this.entries.get(key);
    if (entry === undefined) return [];
    const { value } = entry;
    if (typeof value === 'object' && value !== null && !Array.isArray(value)) return Object.entries(value);
    this.refuse(key, entry, `${key} is not a map of names to values.`, `Write it like '# ${key}: ${example}'.`);
    return [];
  }
}

function isIsoDate(text: string): boolean {
  const parts = /^(\d{4}-\d{2}-\d{2})(?:[T ]\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:Z|[+-]\d{2}:?\d{2})?)?$/.exec(text);
  if (parts === null) return false;
  const day = new Date(`${parts[1]!}T00:00:00Z`);
  return !Number.isNaN(day.getTime()) && day.toISOString().startsWith(parts[1]!);
}

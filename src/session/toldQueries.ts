import type { FileProblem } from '../files/problem';
import type { Finding } from '../review/finding';
import { rankOf } from '../review/findingTally';
import type { JudgedResult, Verdict } from '../review/judgedResult';
import type { KeptRow } from './keptRows';
import { defineQuery, type Query } from './query';
import type { EntryReport, ReportQueries } from './reportQueries';
import type { RowAtHand } from './rowsAtHand';

/** What a face tells of a result, once it is judged, and of a finding that belongs to none; every text is empty or ends with a line break. */
export interface ResultTeller {
  /** Names the form: what was kept in another form is not used. */
  readonly form: string;
  head(result: JudgedResult): ResultHead;
  /** All that is told beyond the head. @param result with what explains its drift */
  rest(result: JudgedResult): string;
  partOfFinding(finding: Finding): string;
}

export interface ResultHead {
  /** The damper and build. */
  readonly name: string;
  readonly text: string;
}

/**
 * Queries for what a face tells of each entry and each file, kept for the next process. A judged result itself is not kept: reading its
 * points back would take longer than most faces take to tell of it.
 */
export class ToldQueries {
  /** An entry's row, in the form of {@link readResult}; a problem is kept by nobody. */
  readonly ofEntry: Query<RowOrProblem>;
  /** The row of what is told of an entry beyond its head: one piece. */
  readonly restOfEntry: Query<RowOrProblem>;
  /** A file's row, in the form of {@link areAllAtFile}. */
  readonly ofFile: Query<KeptRow>;
  /** The row of what is told of a file's findings: a piece for each of those of `ofFile`. */
  readonly restOfFile: Query<KeptRow>;

  constructor(reports: ReportQueries, teller: ResultTeller) {
    this.ofEntry = defineQuery(
      `told entry as ${teller.form}`,
      (text, read) => rowOf(reports.entryNow(text, read), (result) => rowOfResult(result, teller.head(result))),
      { kept: true, inRows: true },
    );
    this.restOfEntry = defineQuery(
      `told rest as ${teller.form}`,
      (text, read) => rowOf(reports.explainedNow(text, read), (result) => ofPieces([teller.rest(result)])),
      { kept: true, inRows: true },
    );
    this.ofFile = defineQuery(
      'told file',
      (path, read) => {
        const { findings, isUnusable } = reports.fileNow(path, read);
        return findings.length === 0 && !isUnusable ? NOTHING : rowOfFile(path, findings, isUnusable);
      },
      { kept: true, inRows: true },
    );
    this.restOfFile = defineQuery(
      `told findings of file as ${teller.form}`,
      (path, read) => {
        const { findings } = reports.fileNow(path, read);
        return ofPieces(findings.map((finding) => teller.partOfFinding(finding)));
      },
      { kept: true, inRows: true },
    );
  }
}

export type RowOrProblem = KeptRow | { readonly problem: FileProblem };

function rowOf({ result, problem }: EntryReport, make: (result: JudgedResult) => KeptRow): RowOrProblem {
  if (result !== undefined) return make(result);
  return problem === undefined ? NOTHING : { problem };
}

/** The number says that the row tells something: one without any counts as empty. */
function ofPieces(pieces: readonly string[]): KeptRow {
  return { words: [], numbers: [1], pieces };
}

const NOTHING: KeptRow = { words: [], numbers: [], pieces: [] };

/** Words of a result before those of its findings: its name. A file has none. */
export const RESULT_WORDS = 1;

const VERDICTS: readonly Verdict[] = ['fail', 'undecided', 'pass'];
/** Numbers of a finding: its rank, line and column. They stand behind the one number of the row itself. */
export const FINDING_NUMBERS = 3;
/** Words of a finding: its rule, file and message. */
export const FINDING_WORDS = 3;

/** Words: the name, then those of each finding. Numbers: the verdict, then those of each finding. Pieces: the head. */
function rowOfResult({ verdict, findings }: JudgedResult, { name, text }: ResultHead): KeptRow {
  return {
    words: [name, ...findings.flatMap(wordsOf)],
    numbers: [VERDICTS.indexOf(verdict), ...findings.flatMap(numbersOf)],
    pieces: [text],
  };
}

/** Added up to the first number of a file's row. */
const UNUSABLE = 1;
const ALL_AT_FILE = 2;

/** Words: those of each finding. Numbers: what the two above add up to, then those of each finding. No piece. */
function rowOfFile(path: string, findings: readonly Finding[], isUnusable: boolean): KeptRow {
  return {
    words: findings.flatMap(wordsOf),
    numbers: [
      (isUnusable ? UNUSABLE : 0) + (findings.every(({ file }) => file === path) ? ALL_AT_FILE : 0),
      ...findings.flatMap(numbersOf),
    ],
    pieces: [],
  };
}

function wordsOf({ rule, file, message }: Finding): readonly string[] {
  return [rule, file, message];
}

function numbersOf(finding: Finding): readonly number[] {
  return [rankOf(finding), finding.position.line, finding.position.column];
}

/** The verdict of an entry, and the number of its name. */
export function readResult({ words, firstWord, numbers, firstNumber }: RowAtHand): { verdict: Verdict; name: number } {
  return { verdict: VERDICTS[numbers[firstNumber]!]!, name: words[firstWord]! };
}

export function isUnusable({ numbers, firstNumber }: RowAtHand): boolean {
  return (numbers[firstNumber]! & UNUSABLE) !== 0;
}

/** Whether all findings of a file are at the file itself. */
export function areAllAtFile({ numbers, firstNumber }: RowAtHand): boolean {
  return (numbers[firstNumber]! & ALL_AT_FILE) !== 0;
}

import { recogniseFile } from '../files/recognise';
import type { FileProblem } from '../files/problem';
import type { Finding } from '../review/finding';
import type { JudgedResult } from '../review/judgedResult';
import { problemFindings } from '../review/problemFindings';
import { applyWaivers } from '../review/waivers';
import { deepEqual } from './deepEqual';
import { placeOfEntry } from './entryQueries';
import { problemsOfFile } from './fileProblems';
import { findingsOfLog } from './findingsOfLog';
import { isNotUsable, ownFault } from './portProblems';
import { defineQuery, type Reading } from './query';
import type { SessionQueries } from './sessionQueries';

/** What a review says of one entry: its judged result, or why the program failed on it; neither where nothing can be judged. */
export interface EntryReport {
  readonly result?: JudgedResult;
  readonly problem?: FileProblem;
}

/** What a review says of one file by itself. */
export interface FileReport<Found = Finding> {
  /** With their waivers. */
  readonly findings: readonly Found[];
  /** Whether it could not be taken as it stands: the exit status says so. */
  readonly isUnusable: boolean;
}

const NOTHING: FileReport = { findings: [], isUnusable: false };

/** Queries whose values are what a review tells, one an entry and one a file: where none of them changed, nothing new is told. */
export class ReportQueries {
  readonly #queries: SessionQueries;

  constructor(queries: SessionQueries) {
    this.#queries = queries;
  }

  /** A result, with what explains its drift. */
  readonly explained = defineQuery<EntryReport>('explained entry', (text, read) => this.explainedNow(text, read), {
    same: (a, b) => isSameResult(a.result, b.result) && deepEqual(a.problem, b.problem),
    watched: true,
    isHeavy: true,
  });

  /** Without: of a drift, that takes as long as judging it, and code hosts and branches do not show it. */
  readonly ofEntry = defineQuery<EntryReport>('report entry', (text, read) => this.entryNow(text, read), {
    isHeavy: true,
  });

  /** Everything wrong with one file by itself. */
  readonly ofFile = defineQuery<FileReport>('report file', (path, read) => this.fileNow(path, read), {
    same: deepEqual,
    watched: true,
  });

  /** As `ofEntry`, for a query that is the only one to ask. */
  entryNow(text: string, read: Reading): EntryReport {
    return this.#guarded(text, read, () => this.#queries.judging.placedNow(text, read));
  }

  /** As `explained`, for a query that is the only one to ask. */
  explainedNow(text: string, read: Reading): EntryReport {
    return this.#guarded(text, read, () => this.#queries.corrections.corrected(text, read));
  }

  #guarded(text: string, read: Reading, judge: () => JudgedResult | undefined): EntryReport {
    try {
      const result = judge();
      return result === undefined ? {} : { result };
    } catch (error) {
      const problem = ownFault(placeOfEntry(text), error);
      read.notFinal();
      return { problem };
    }
  }

  /** As `ofFile`, for a query that is the only one to ask. */
  fileNow(path: string, read: Reading): FileReport {
    const { files, judging } = this.#queries;
    const problems = problemsOfFile(path, this.#queries, read);
    const own = this.#isAlone(path, read) ? findingsOfLog({ queries: this.#queries, read }, path) : [];
    if (problems.length + own.length === 0) return NOTHING;
    const { rules, waivers } = read.get(files.ruleConfig, '');
    const found = [...problemFindings(problems, rules), ...own];
    return {
      findings: applyWaivers(found, waivers, read.get(judging.today, '')),
      isUnusable: problems.some(isNotUsable),
    };
  }

  /** Whether a file is a log that is part of no run. One whose head cannot be read is neither part of one nor alone. */
  #isAlone(path: string, read: Reading): boolean {
    const { files, identities, runs } = this.#queries;
    if (recogniseFile(path, { logs: read.get(files.mappings, '') }) !== 'testLog') return false;
    return read.get(identities.ofLog, path) !== null && read.get(runs.isAlone, path);
  }
}

/** A result with its correction is put together each time. */
function isSameResult(a: JudgedResult | undefined, b: JudgedResult | undefined): boolean {
  if (a === b) return true;
  if (a?.correction === undefined || b?.correction === undefined) return false;
  const keys = Object.keys(a) as (keyof JudgedResult)[];
  return keys.length === Object.keys(b).length && keys.every((key) => a[key] === b[key]);
}

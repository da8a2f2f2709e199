import { REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
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
import { defineQuery } from './query';
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

  readonly ofEntry = defineQuery<EntryReport>(
    'report entry',
    (text, read) => {
      try {
        const result = read.get(this.#queries.corrections.corrected, text);
        return result === undefined ? {} : { result };
      } catch (error) {
        const problem = ownFault(placeOfEntry(text), error);
        read.notFinal();
        return { problem };
      }
    },
    { same: (a, b) => a.result === b.result && deepEqual(a.problem, b.problem), watched: true, isHeavy: true },
  );

  /** Everything wrong with one file by itself. */
  readonly ofFile = defineQuery<FileReport>(
    'report file',
    (path, read) => {
      const { files, judging, runs } = this.#queries;
      const isTestLog = recogniseFile(path, { logs: read.get(files.mappings, '') }) === 'testLog';
      const problems = problemsOfFile(path, this.#queries, read);
      const isAlone = isTestLog && read.get(runs.isAlone, path);
      const own = isAlone ? findingsOfLog({ queries: this.#queries, read }, path) : [];
      if (problems.length + own.length === 0) return NOTHING;
      const { rules, waivers } = read.get(judging.rulesFor, JSON.stringify([path, REVIEW_CONFIG_PATH]));
      const found = [...problemFindings(problems, rules), ...own];
      return {
        findings: applyWaivers(found, waivers, read.get(judging.today, '')),
        isUnusable: problems.some(isNotUsable),
      };
    },
    { same: deepEqual, watched: true },
  );
}

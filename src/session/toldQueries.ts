import type { FileProblem } from '../files/problem';
import type { Finding } from '../review/finding';
import type { FindingInPart, JudgedResult, ToldFinding, ToldResult } from '../review/judgedResult';
import { defineQuery, type Query } from './query';
import type { FileReport, ReportQueries } from './reportQueries';

/** What a face tells of a result, once it is judged, and of a finding that belongs to none. */
export interface ResultTeller<Part> {
  /** Names the form: what was kept in another form is not used. */
  readonly form: string;
  /** Plain JSON, as it is kept. */
  part(result: JudgedResult): Part;
  partOfFinding(finding: Finding): unknown;
}

/** What is kept of a judged result: its place among the others, and what a face tells of it. */
export interface ResultInPart<Part> extends ToldResult {
  readonly part: Part;
}

/**
 * Queries for what a face tells of each entry and each file, kept for the next process. A judged result itself is not kept: reading its
 * points back would take longer than most faces take to tell of it.
 */
export class ToldQueries<Part> {
  readonly ofEntry: Query<{ readonly result?: ResultInPart<Part>; readonly problem?: FileProblem }>;
  readonly ofFile: Query<FileReport<FindingInPart>>;

  constructor(reports: ReportQueries, teller: ResultTeller<Part>) {
    this.ofEntry = defineQuery(
      `told entry as ${teller.form}`,
      (text, read) => {
        const { result, problem } = reports.entryNow(text, read);
        if (result === undefined) return problem === undefined ? {} : { problem };
        const { file, verdict, findings } = result;
        return { result: { file, verdict, findings: findings.map(told), part: teller.part(result) } };
      },
      { kept: true },
    );
    this.ofFile = defineQuery(
      `told file as ${teller.form}`,
      (path, read) => {
        const { findings, isUnusable } = reports.fileNow(path, read);
        const inPart = (finding: Finding): FindingInPart => ({ ...told(finding), part: teller.partOfFinding(finding) });
        return { findings: findings.map(inPart), isUnusable };
      },
      { kept: true },
    );
  }
}

function told({ rule, level, file, position, message, waived }: ToldFinding): ToldFinding {
  return { rule, level, file, position, message, ...(waived !== undefined && { waived }) };
}

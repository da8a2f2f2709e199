import { AdoptedQueries } from './adoptedQueries';
import { CorrectionQueries } from './correctionQueries';
import { EntryQueries } from './entryQueries';
import { FileQueries } from './fileQueries';
import { JudgeQueries } from './judgeQueries';
import { LogQueries } from './logQueries';
import { RepeatQueries } from './repeatQueries';
import { ReportQueries } from './reportQueries';
import { RunQueries } from './runQueries';
import type { SessionPorts } from './sessionPorts';
import { TemperatureQueries } from './temperatureQueries';
import type { WorkFiles } from './workFiles';

/** All queries of a session, each part resting on those before it. */
export class SessionQueries {
  readonly files: FileQueries;
  readonly logs: LogQueries;
  readonly runs: RunQueries;
  readonly entries: EntryQueries;
  readonly adopted: AdoptedQueries;
  readonly temperature: TemperatureQueries;
  readonly repeats: RepeatQueries;
  readonly judging: JudgeQueries;
  readonly corrections: CorrectionQueries;
  readonly reports: ReportQueries;

  constructor(work: WorkFiles, ports: SessionPorts) {
    this.files = new FileQueries(work, ports.digest);
    this.logs = new LogQueries(work, ports, this.files);
    this.runs = new RunQueries(this.files, this.logs, ports.digest);
    this.entries = new EntryQueries(this.files, this.logs, this.runs);
    this.temperature = new TemperatureQueries(this.files, this.logs);
    this.adopted = new AdoptedQueries(this.files, this.entries, this.runs);
    this.repeats = new RepeatQueries(this.files, this.entries);
    this.judging = new JudgeQueries(this, ports.clock);
    this.corrections = new CorrectionQueries(this.files, this.entries, this.judging);
    this.reports = new ReportQueries(this);
  }
}

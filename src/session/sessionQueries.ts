import { AdoptedQueries } from './adoptedQueries';
import { CorrectionQueries } from './correctionQueries';
import { EntryQueries } from './entryQueries';
import { FileQueries } from './fileQueries';
import { IdentityQueries } from './identityQueries';
import { JudgeQueries } from './judgeQueries';
import { LogQueries } from './logQueries';
import type { Query } from './query';
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
  readonly identities: IdentityQueries;
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
    this.identities = new IdentityQueries(this.files, this.logs);
    this.runs = new RunQueries(this.files, this.logs, this.identities, ports.digest);
    this.entries = new EntryQueries(this.files, this.logs, this.runs, this.identities);
    this.temperature = new TemperatureQueries(this.files, this.logs, this.identities);
    this.adopted = new AdoptedQueries(this.files, this.entries, this.runs);
    this.repeats = new RepeatQueries(this.files, this.entries);
    this.judging = new JudgeQueries(this, ports.clock);
    this.corrections = new CorrectionQueries(this.files, this.entries, this.judging);
    this.reports = new ReportQueries(this);
  }

  /**
   * What is kept of a review beside what is told: what it rests on, by values that others may rest on again. What is looked through for many
   * (groups of logs, attempts, repeats, tests before) is among them, so that each of the many rests on that one and not on every file.
   */
  named(): readonly Query<unknown>[] {
    const { files, logs, identities, entries, runs, temperature, repeats, judging, corrections } = this;
    return [
      ...[files.paths, files.content, files.present, judging.today],
      ...[files.mappings, files.ruleConfig, files.bench, files.ofKind],
      ...[files.specMeaning, files.specIds, files.specOfId],
      ...[logs.metadataFiles, logs.mapping, identities.ofTable, identities.ofLog],
      ...[runs.groups, runs.isAlone, entries.groupOfLog, entries.groupByFirst, entries.entries],
      ...[entries.attempts, entries.attempt],
      ...[repeats.isCheckStandard, repeats.checkStandards, repeats.allRepeats, repeats.repeatsOf, repeats.runToRun],
      ...[repeats.testsBefore, repeats.before],
      ...[temperature.enduranceLogs, corrections.sweepsOfSpec],
    ];
  }
}

import type { FileProblem } from '../files/problem';
import type { Finding } from '../review/finding';
import { problemFindings } from '../review/problemFindings';
import type { ToldOutcome } from '../review/toldOutcome';
import { applyWaivers, expiredWaivers, isExpired } from '../review/waivers';
import { listingProblems } from './fileProblems';
import { NONE } from './keptDocument';
import { OutcomeOfRows } from './outcomeOfRows';
import { isNotUsable } from './portProblems';
import type { Query } from './query';
import { eachOf, entriesInScope, filesInScope, scopeOf } from './reviewPaths';
import type { SessionRun } from './reviewSession';
import type { RowAtHand, RowsAtHand } from './rowsAtHand';
import {
  FINDING_NUMBERS,
  FINDING_WORDS,
  RESULT_WORDS,
  type ResultTeller,
  type RowOrProblem,
  type ToldQueries,
} from './toldQueries';
import type { WordTable } from './wordTable';

/** As `reviewPaths`, with what a face tells of each result and file in its place. */
export async function tellPaths(
  run: SessionRun,
  paths: readonly string[],
  told: ToldQueries,
  teller: ResultTeller,
): Promise<ToldOutcome> {
  const { queries, read, work } = run;
  const scope = await scopeOf(run, paths);
  const entries = await entriesInScope(run, scope);
  const files = [...(await filesInScope(run, scope, entries))].filter((file) => work.has(file));
  const rows = read.rows();
  const problems: FileProblem[] = listingProblems(work).filter((problem) => scope.holds(problem.file));
  const ofEntries = await rowsOf(run, rows, told.ofEntry, entries, 'Judging', problems);
  const ofFiles = await rowsOf(run, rows, told.ofFile, files, 'Reading', problems);
  const config = await read.get(queries.files.ruleConfig, '');
  const today = await read.get(queries.judging.today, '');
  const outcome = new OutcomeOfRows(rows, teller);
  outcome.addResults(entries, ofEntries);
  outcome.addRests(await rowsOf(run, rows, told.restOfEntry, outcome.entriesInFull(), 'Explaining', problems));
  const own = applyWaivers(problemFindings(problems, config.rules), config.waivers, today);
  for (const finding of own) outcome.addFinding(finding);
  outcome.addFiles(files, ofFiles);
  if (config.waivers.some((waiver) => isExpired(waiver, today))) {
    const found = [...placesIn(rows.words, ofEntries, RESULT_WORDS), ...own, ...placesIn(rows.words, ofFiles, 0)];
    for (const finding of expiredWaivers(config, today, found)) outcome.addFinding(finding);
  }
  const unreadable = problems.some((problem) => isNotUsable(problem) || problem.rule === 'unreadable');
  const shown = outcome.filesInFull();
  outcome.addRestsOfFiles(shown, await rowsOf(run, rows, told.restOfFile, shown, 'Reading', problems));
  return outcome.done(unreadable);
}

/** The row of each key, where it has anything to tell: first those that are at hand, which of an unchanged repository is all of them, then the others as they come. */
async function rowsOf(
  run: SessionRun,
  rows: RowsAtHand,
  query: Query<RowOrProblem>,
  keys: readonly string[],
  what: string,
  problems: FileProblem[],
): Promise<readonly (RowAtHand | undefined)[]> {
  const found = run.read.findRows(query, keys);
  const all = rows.ofQuery(query.name).rows(found);
  const open = new Map<string, number>();
  for (let i = 0; i < keys.length; i++) if (found[i] === NONE) open.set(keys[i]!, i);
  await eachOf(run, [...open.keys()], what, async (key) => {
    const value = await run.read.get(query, key);
    if ('problem' in value) problems.push(value.problem);
    else if (value.numbers.length > 0) all[open.get(key)!] = rows.fresh(value);
  });
  return all;
}

/** Rule and file of every finding of some rows. @param wordsBefore words of a row before those of its findings */
function placesIn(
  words: WordTable,
  rows: readonly (RowAtHand | undefined)[],
  wordsBefore: number,
): readonly Pick<Finding, 'rule' | 'file'>[] {
  const places: Pick<Finding, 'rule' | 'file'>[] = [];
  for (const row of rows) {
    if (row === undefined) continue;
    let word = row.firstWord + wordsBefore;
    for (let at = row.firstNumber + 1; at < row.endOfNumbers; at += FINDING_NUMBERS) {
      places.push({ rule: words.at(row.words[word]!), file: words.at(row.words[word + 1]!) });
      word += FINDING_WORDS;
    }
  }
  return places;
}

import type { FileProblem } from '../files/problem';
import type { Finding } from '../review/finding';
import { ERROR_RANK, FindingTally, rankOf } from '../review/findingTally';
import { inOrder, resultsInOrder, verdictOfAll, type Placed } from '../review/outcome';
import { problemFindings } from '../review/problemFindings';
import { byFrequency, inFull, type Tellable } from '../review/inFull';
import type { RuleCount, TextOfFinding, TextOfResult, TextPiece, ToldOutcome } from '../review/toldOutcome';
import { applyWaivers, expiredWaivers, isExpired } from '../review/waivers';
import { placeOfEntry } from './entryQueries';
import { listingProblems } from './fileProblems';
import { NONE } from './keptDocument';
import { isNotUsable } from './portProblems';
import type { Query } from './query';
import { eachOf, entriesInScope, filesInScope, scopeOf } from './reviewPaths';
import type { SessionRun } from './reviewSession';
import type { RowAtHand, RowsAtHand } from './rowsAtHand';
import {
  areAllAtFile,
  FINDING_NUMBERS,
  FINDING_WORDS,
  isUnusable,
  readResult,
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

/** A finding that belongs to no result, as far as orders look at it. */
interface OfFile extends Placed, TextOfFinding {
  readonly rank: number;
}

/** A result as its row has it. */
interface ResultOfRow extends Pick<TextOfResult, 'file' | 'verdict' | 'name'> {
  readonly entry: string;
  readonly row: RowAtHand;
  rest?: TextPiece;
}

function lookOfRow({ verdict, row }: ResultOfRow): Tellable {
  const { numbers, firstNumber, endOfNumbers } = row;
  let hasError = false;
  for (let at = firstNumber + 1; at < endOfNumbers; at += FINDING_NUMBERS) hasError ||= numbers[at] === ERROR_RANK;
  return { verdict, isNoted: endOfNumbers > firstNumber + 1, hasError };
}

function textOfResult({ file, verdict, name, row, rest }: ResultOfRow): TextOfResult {
  const head = row.piece(0);
  return rest === undefined ? { file, verdict, name, head } : { file, verdict, name, head, rest };
}

/**
 * An outcome in the making. Its loops are met by code that has just started, with thousands of rows: they call little and make little, no list
 * for the sake of a short line either.
 */
class OutcomeOfRows {
  readonly #rows: RowsAtHand;
  readonly #teller: ResultTeller;
  readonly #tally: FindingTally;
  readonly #results: ResultOfRow[] = [];
  #inFull: readonly ResultOfRow[] = [];
  /** By number in the tally; absent where a result tells it. */
  readonly #ofFiles: (OfFile | undefined)[] = [];
  #unusable = false;

  constructor(rows: RowsAtHand, teller: ResultTeller) {
    this.#rows = rows;
    this.#teller = teller;
    this.#tally = new FindingTally(rows.words.size);
  }

  addResults(entries: readonly string[], rows: readonly (RowAtHand | undefined)[]): void {
    const tally = this.#tally;
    const results = this.#results;
    for (let i = 0; i < rows.length; i++) {
      const row = rows[i];
      if (row === undefined) continue;
      const { verdict, name } = readResult(row);
      const file = placeOfEntry(entries[i]!);
      results.push({ entry: entries[i]!, row, file, verdict, name });
      const { words, numbers, endOfNumbers } = row;
      let word = row.firstWord + RESULT_WORDS;
      for (let at = row.firstNumber + 1; at < endOfNumbers; at += FINDING_NUMBERS) {
        const rule = words[word]!;
        tally.add(numbers[at]!, rule, words[word + 1]!, numbers[at + 1]!, numbers[at + 2]!, words[word + 2]!);
        word += FINDING_WORDS;
      }
    }
  }

  /** Entries of the results that are told in full. */
  entriesInFull(): readonly string[] {
    this.#inFull = [...inFull(resultsInOrder(this.#results), lookOfRow)];
    return this.#inFull.map(({ entry }) => entry);
  }

  /** @param rests of these entries */
  addRests(rests: readonly (RowAtHand | undefined)[]): void {
    for (const [i, result] of this.#inFull.entries()) {
      const rest = rests[i]?.piece(0);
      if (rest !== undefined) result.rest = rest;
    }
  }

  addFiles(paths: readonly string[], rows: readonly (RowAtHand | undefined)[]): void {
    const tally = this.#tally;
    const texts = this.#rows.words;
    for (let i = 0; i < rows.length; i++) {
      const row = rows[i];
      if (row === undefined) continue;
      if (isUnusable(row)) this.#unusable = true;
      const path = areAllAtFile(row) ? paths[i] : undefined;
      const { words, numbers, endOfNumbers } = row;
      let word = row.firstWord;
      let index = 0;
      for (let at = row.firstNumber + 1; at < endOfNumbers; at += FINDING_NUMBERS) {
        const rank = numbers[at]!;
        const line = numbers[at + 1]!;
        const column = numbers[at + 2]!;
        const rule = words[word]!;
        const file = words[word + 1]!;
        const known = tally.size;
        const found = tally.add(rank, rule, file, line, column, words[word + 2]!);
        const position = { line, column };
        const piece = row.piece(index);
        this.#put(found, known, { rank, rule: texts.at(rule), file: path ?? texts.at(file), position, piece });
        word += FINDING_WORDS;
        index += 1;
      }
    }
  }

  addFinding(finding: Finding): void {
    const { rule, file, position, message } = finding;
    const [ruleNumber, fileNumber, messageNumber] = this.#rows.words.numbersOf([rule, file, message]);
    const rank = rankOf(finding);
    const { line, column } = position;
    const known = this.#tally.size;
    const at = this.#tally.add(rank, ruleNumber!, fileNumber!, line, column, messageNumber!);
    this.#put(at, known, { rank, rule, file, position, piece: this.#teller.partOfFinding(finding) });
  }

  done(unreadable: boolean): ToldOutcome {
    const ofFiles = this.#ofFiles.filter((finding) => finding !== undefined);
    return {
      verdict: verdictOfAll(this.#results),
      results: resultsInOrder(this.#results).map(textOfResult),
      untold: this.#untold(),
      counts: this.#tally.counts(),
      ofFiles: inOrder(ofFiles, ({ rank }) => rank).map(({ rule, piece }) => ({ rule, piece })),
      errorsOfFiles: ofFiles.filter(({ rank }) => rank === ERROR_RANK).length,
      unreadable: unreadable || this.#unusable,
    };
  }

  #untold(): readonly RuleCount[] {
    const counts = new Map<number, number>();
    for (const { row, rest } of this.#results) {
      if (rest !== undefined) continue;
      let word = row.firstWord + RESULT_WORDS;
      for (let at = row.firstNumber + 1; at < row.endOfNumbers; at += FINDING_NUMBERS) {
        const rule = row.words[word]!;
        counts.set(rule, (counts.get(rule) ?? 0) + 1);
        word += FINDING_WORDS;
      }
    }
    const { words } = this.#rows;
    return byFrequency(new Map([...counts].map(([rule, count]) => [words.at(rule), count])));
  }

  /** @param known how many there were before; one of them stays a result's, if it was */
  #put(at: number | undefined, known: number, finding: OfFile): void {
    if (at === known || (at !== undefined && this.#ofFiles[at] !== undefined)) this.#ofFiles[at] = finding;
  }
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

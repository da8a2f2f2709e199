import type { Finding } from '../review/finding';
import { ERROR_RANK, FindingTally, rankOf } from '../review/findingTally';
import { byFrequency, countsOfRules, inFull, inFullOfFiles, type Tellable } from '../review/inFull';
import { inOrder, resultsInOrder, verdictOfAll, type Placed } from '../review/outcome';
import type { RuleCount, TextOfResult, TextPiece, ToldOutcome } from '../review/toldOutcome';
import { placeOfEntry } from './entryQueries';
import type { RowAtHand, RowsAtHand } from './rowsAtHand';
import {
  areAllAtFile,
  FINDING_NUMBERS,
  FINDING_WORDS,
  isUnusable,
  readResult,
  RESULT_WORDS,
  type ResultTeller,
} from './toldQueries';

/** A finding that belongs to no result. */
interface OfFile extends Placed {
  readonly rank: number;
  /** Row that tells it, and which of the row's findings it is; absent where the text is there already. */
  readonly source?: { readonly path: string; readonly index: number };
  piece?: TextPiece;
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
export class OutcomeOfRows {
  readonly #rows: RowsAtHand;
  readonly #teller: ResultTeller;
  readonly #tally: FindingTally;
  readonly #results: ResultOfRow[] = [];
  #inFull: readonly ResultOfRow[] = [];
  /** By number in the tally; absent where a result tells it. */
  readonly #ofFiles: (OfFile | undefined)[] = [];
  #inFullOfFiles: readonly OfFile[] = [];
  #untoldOfFiles: readonly RuleCount[] = [];
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
        const source = { path: paths[i]!, index };
        const position = { line, column };
        this.#put(found, known, { rank, rule: texts.at(rule), file: path ?? texts.at(file), position, source });
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

  /** Files whose findings are told in full, of those that belong to no result; each once. */
  filesInFull(): readonly string[] {
    const ofFiles = this.#ofFiles.filter((finding) => finding !== undefined);
    const inTheirOrder = inOrder(ofFiles, ({ rank }) => rank);
    const count = inFullOfFiles(inTheirOrder, ({ rank }) => rank === ERROR_RANK);
    this.#inFullOfFiles = inTheirOrder.slice(0, count);
    this.#untoldOfFiles = countsOfRules(inTheirOrder.slice(count));
    return [...new Set(this.#inFullOfFiles.flatMap(({ source }) => source?.path ?? []))];
  }

  /** @param rests of these files: a piece for each of their findings */
  addRestsOfFiles(paths: readonly string[], rests: readonly (RowAtHand | undefined)[]): void {
    const byPath = new Map(paths.map((path, i) => [path, rests[i]]));
    for (const finding of this.#inFullOfFiles)
      if (finding.source !== undefined) finding.piece = byPath.get(finding.source.path)!.piece(finding.source.index);
  }

  done(unreadable: boolean): ToldOutcome {
    return {
      verdict: verdictOfAll(this.#results),
      results: resultsInOrder(this.#results).map(textOfResult),
      untold: this.#untold(),
      counts: this.#tally.counts(),
      ofFiles: this.#inFullOfFiles.map(({ piece }) => piece!),
      untoldOfFiles: this.#untoldOfFiles,
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

import { spellHidden } from './visible';

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
/** What spreadsheets take as the start of a formula, their wide forms included, also behind blanks. */
const FORMULA = /^\s*[=+\-@＝＋－＠]/u;

/**
 * For one cell of a CSV file that people open in a spreadsheet: text that would run as a formula gets an apostrophe before
 * it (plain numbers do not), and quotes stand where comma, semicolon, bar or quote would end the cell (RFC 4180).
 */
export function escapeCsvCell(text: string): string {
  const shown = spellHidden(text);
  const tame = FORMULA.test(shown) && !NUMBER.test(shown) ? `'${shown}` : shown;
  return /[",;|]|^\s|\s$/.test(tame) ? `"${tame.replaceAll('"', '""')}"` : tame;
}

/** The mark between whole and fraction. A log has one; the first number that shows it decides. */
export type DecimalMark = '.' | ',';

/** Why a cell holds no usable number. */
export type CellFault = 'empty' | 'not-a-number' | 'infinite' | 'too-large' | 'other-mark' | 'text';

const WITH_POINT = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;
const WITH_COMMA = /^[+-]?(?:\d+(?:,\d*)?|,\d+)(?:[eE][+-]?\d+)?$/;
const NAN_WORDS = /^[+-]?(?:nan|n\/a|null|none|-?1\.#(?:ind|qnan).*|#n\/a|#num!|#value!)$/i;
const INFINITY_WORDS = /^[+-]?(?:inf(?:inity)?|∞|1\.#inf.*)$/i;

/**
 * Turns the text of one cell into a number, as Number() does; narrower than Number() in that hexadecimal and words are
 * refused. This is the meaning of a cell: the byte path in numericRows.ts gives the same value, bit for bit, or leaves
 * the cell to this class.
 */
export class CellNumbers {
  /** Why the last cell was refused. */
  fault: CellFault = 'text';

  constructor(public mark: DecimalMark | undefined) {}

  /** The number, or NaN with {@link fault} set. Blanks around it do not count. */
  read(text: string): number {
    const trimmed = text.trim();
    const mark = this.mark ?? markOf(trimmed);
    if (!(mark === ',' ? WITH_COMMA : WITH_POINT).test(trimmed)) return this.refuse(trimmed, mark);
    const value = Number(mark === ',' ? trimmed.replace(',', '.') : trimmed);
    if (!Number.isFinite(value)) {
      this.fault = 'too-large';
      return NaN;
    }
    if (this.mark === undefined && mark !== undefined && trimmed.includes(mark)) this.mark = mark;
    return value;
  }

  private refuse(text: string, mark: DecimalMark | undefined): number {
    if (text === '') this.fault = 'empty';
    else if ((mark === ',' ? WITH_POINT : WITH_COMMA).test(text)) this.fault = 'other-mark';
    else if (NAN_WORDS.test(text)) this.fault = 'not-a-number';
    else this.fault = INFINITY_WORDS.test(text) ? 'infinite' : 'text';
    return NaN;
  }
}

function markOf(text: string): DecimalMark | undefined {
  if (text.includes(',')) return ',';
  return text.includes('.') ? '.' : undefined;
}

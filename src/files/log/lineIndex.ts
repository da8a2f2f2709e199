/** Runs of equal shape follow each other: `repeat` times `rows` rows on consecutive lines, with `gap` other lines before each. */
interface Run {
  gap: number;
  rows: number;
  repeat: number;
}

const RUNS_A_MARK = 64;

/**
 * Finds the line of a row where blank lines, comments and line breaks inside quotes stand between rows. Kept as runs in
 * bytes: a log without such lines needs one run, one with a comment after every tenth row still one, and the worst
 * about three bytes a row.
 */
export class LineIndex {
  private bytes = new Uint8Array(64);
  private length = 0;
  private runCount = 0;
  /** Every 64th run: its offset in `bytes`, its first row, and the line before its gap. */
  private marks: { readonly offset: number; readonly row: number; readonly line: number }[] = [];
  /** The finished runs end here. */
  private row = 0;
  private line = 0;
  private pending: Run | undefined;
  private current: Run | undefined;
  private currentLine = 0;

  get rows(): number {
    return this.row + sizeOf(this.pending) + sizeOf(this.current);
  }

  /** Adds `rows` rows that stand on consecutive lines from `line` on. Lines only grow. */
  add(line: number, rows: number): void {
    if (rows === 0) return;
    if (this.current !== undefined && line === this.currentLine) this.current.rows += rows;
    else {
      this.closeCurrent();
      this.current = { gap: line - this.currentLine, rows, repeat: 1 };
      this.currentLine = line;
    }
    this.currentLine += rows;
  }

  /** Line of a row, from 0; the last row's line for a row that is not there, 0 for an index without rows. */
  lineOf(row: number): number {
    const wanted = Math.min(row, this.rows - 1);
    if (wanted < 0) return 0;
    if (wanted < this.row) return this.lineInBytes(wanted);
    const behind = lineInRun(this.pending, this.row, this.line, wanted);
    if (behind !== undefined) return behind;
    const { pending } = this;
    const line = pending === undefined ? this.line : this.line + pending.repeat * (pending.gap + pending.rows);
    return lineInRun(this.current, this.row + sizeOf(pending), line, wanted)!;
  }

  private lineInBytes(row: number): number {
    let low = 0;
    let high = this.marks.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.marks[middle]!.row <= row) low = middle;
      else high = middle - 1;
    }
    let { offset, row: firstRow, line } = this.marks[low]!;
    for (;;) {
      const [gap, afterGap] = this.readNumber(offset);
      const [rows, afterRows] = this.readNumber(afterGap);
      const [repeat, next] = this.readNumber(afterRows);
      const found = lineInRun({ gap, rows, repeat }, firstRow, line, row);
      if (found !== undefined) return found;
      firstRow += rows * repeat;
      line += (gap + rows) * repeat;
      offset = next;
    }
  }

  private closeCurrent(): void {
    const { current, pending } = this;
    if (current === undefined) return;
    if (pending !== undefined && pending.gap === current.gap && pending.rows === current.rows) pending.repeat++;
    else {
      this.closePending();
      this.pending = current;
    }
    this.current = undefined;
  }

  private closePending(): void {
    const { pending } = this;
    if (pending === undefined) return;
    if (this.runCount % RUNS_A_MARK === 0) this.marks.push({ offset: this.length, row: this.row, line: this.line });
    this.runCount++;
    this.writeNumber(pending.gap);
    this.writeNumber(pending.rows);
    this.writeNumber(pending.repeat);
    this.row += sizeOf(pending);
    this.line += (pending.gap + pending.rows) * pending.repeat;
  }

  /** Seven bits a byte, the high bit set on all but the last. */
  private writeNumber(value: number): void {
    if (this.length + 10 > this.bytes.length) {
      const larger = new Uint8Array(this.bytes.length * 2);
      larger.set(this.bytes);
      this.bytes = larger;
    }
    let rest = value;
    while (rest >= 128) {
      this.bytes[this.length++] = (rest % 128) + 128;
      rest = Math.floor(rest / 128);
    }
    this.bytes[this.length++] = rest;
  }

  private readNumber(offset: number): [value: number, next: number] {
    let value = 0;
    let scale = 1;
    let at = offset;
    for (; this.bytes[at]! >= 128; at++, scale *= 128) value += (this.bytes[at]! - 128) * scale;
    return [value + this.bytes[at]! * scale, at + 1];
  }
}

function sizeOf(run: Run | undefined): number {
  return run === undefined ? 0 : run.rows * run.repeat;
}

function lineInRun(run: Run | undefined, firstRow: number, line: number, row: number): number | undefined {
  if (run === undefined || row >= firstRow + sizeOf(run)) return undefined;
  const repeat = Math.floor((row - firstRow) / run.rows);
  return line + repeat * (run.gap + run.rows) + run.gap + (row - firstRow - repeat * run.rows);
}

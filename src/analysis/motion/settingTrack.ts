import type { SampleChunk } from './sampleChunk';

interface SettingSpan {
  readonly firstRow: number;
  readonly setting: readonly number[];
}

/** Follows the adjuster columns of a log: which setting held from which row. */
export class SettingTrack {
  private spans: SettingSpan[] = [];

  constructor(private readonly adjusters: number) {
    if (adjusters === 0) this.spans.push({ firstRow: 0, setting: [] });
  }

  /** Takes rows `from` to `to` (excluded) of a chunk. */
  add(chunk: SampleChunk, from: number, to: number): void {
    if (this.adjusters === 0) return;
    for (let i = from; i < to; i++) {
      const last = this.spans.at(-1)?.setting;
      let same = last !== undefined;
      for (let a = 0; same && a < this.adjusters; a++) same = chunk.adjusters[a]![i] === last![a];
      if (same) continue;
      const setting = Array.from({ length: this.adjusters }, (_, a) => chunk.adjusters[a]![i]!);
      this.spans.push({ firstRow: chunk.firstRow + i, setting });
    }
  }

  /** The setting that held from `firstRow` to `lastRow`, or undefined where it changed in between. */
  over(firstRow: number, lastRow: number): readonly number[] | undefined {
    let i = this.spans.length - 1;
    while (i > 0 && this.spans[i]!.firstRow > firstRow) i--;
    const next = this.spans[i + 1];
    return next !== undefined && next.firstRow <= lastRow ? undefined : this.spans[i]?.setting;
  }

  /** Changes before this row will not be asked for any more. */
  release(row: number): void {
    let i = 0;
    while (i + 1 < this.spans.length && this.spans[i + 1]!.firstRow <= row) i++;
    if (i > 0) this.spans = this.spans.slice(i);
  }
}

export function sameSetting(a: readonly number[], b: readonly number[]): boolean {
  return a.length === b.length && a.every((value, i) => value === b[i]);
}

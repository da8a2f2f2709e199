import { adjusterColumns } from './sampleChunks';
import type { BenchRun } from './runBench';

/** How a log is written down. */
export interface LogLayout {
  /** Preamble lines without their `# `, such as `spec: alder-front`. */
  readonly preamble: readonly string[];
  readonly velocity?: boolean;
  readonly temperature?: boolean;
  readonly adjusters?: readonly string[];
  /** Decimals of time [s], displacement [mm], velocity [mm/s] and force [N]. */
  readonly decimals?: {
    readonly time: number;
    readonly displacement: number;
    readonly velocity: number;
    readonly force: number;
  };
}

const USUAL_DECIMALS = { time: 4, displacement: 2, velocity: 1, force: 1 };

/** The log as a `.testlog.csv` of formats.md: preamble, one header row, comma, decimal point, LF. */
export function toTestLogText(run: BenchRun, layout: LogLayout): string {
  const columns = columnsOf(run, layout);
  const lines = ['formatVersion: 1', ...layout.preamble].map((line) => `# ${line}`);
  lines.push(columns.map((column) => column.header).join(','));
  for (let row = 0; row < run.time.length; row++) {
    lines.push(columns.map((column) => column.cell(row)).join(','));
  }
  return lines.join('\n') + '\n';
}

interface TextColumn {
  readonly header: string;
  cell(row: number): string;
}

function columnsOf(run: BenchRun, layout: LogLayout): TextColumn[] {
  const decimals = layout.decimals ?? USUAL_DECIMALS;
  const columns = [
    numeric('time [s]', run.time, 1, decimals.time),
    numeric('displacement [mm]', run.displacement, 1000, decimals.displacement),
  ];
  if (layout.velocity) {
    if (!run.velocity) throw new Error('This bench has no velocity channel.');
    columns.push(numeric('velocity [mm/s]', run.velocity, 1000, decimals.velocity));
  }
  columns.push(numeric('force [N]', run.force, 1, decimals.force));
  if (layout.temperature) {
    const celsius = run.temperature.map((kelvin) => kelvin - 273.15);
    columns.push(numeric('temperature [Cel]', celsius, 1, 1));
  }
  const ids = layout.adjusters ?? [];
  adjusterColumns(run, ids).forEach((values, index) => columns.push(numeric(`${ids[index]!} [click]`, values, 1, 0)));
  return columns;
}

function numeric(header: string, values: Float64Array, factor: number, decimals: number): TextColumn {
  return { header, cell: (row) => fixed(values[row]! * factor, decimals) };
}

/** Fixed decimals without a minus sign on zero. */
export function fixed(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  return Number(text) === 0 && text.startsWith('-') ? text.slice(1) : text;
}

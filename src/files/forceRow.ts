import type { ForceRow, MeasuredRow } from './forceTable';

/** What the cells of a row say; NaN and undefined for columns that a table may lack. */
export interface RowCells extends Omit<ForceRow, 'gas' | 'temperature' | 'measured'> {
  readonly gas: number;
  readonly temperature: number;
  readonly measured: MeasuredRow | undefined;
}

/** A row without the columns that are not there. */
export function forceRow(cells: RowCells): ForceRow {
  const { line, setting, pass, velocity, compression, rebound, gas, temperature, measured } = cells;
  // The usual row of a result is made at once: keys that are added later lie in a list of their own.
  if (measured !== undefined && Number.isNaN(gas) && !Number.isNaN(temperature))
    return { line, setting, pass, velocity, compression, rebound, temperature, measured };
  return {
    line,
    setting,
    pass,
    velocity,
    compression,
    rebound,
    ...(!Number.isNaN(gas) && { gas }),
    ...(!Number.isNaN(temperature) && { temperature }),
    ...(measured !== undefined && { measured }),
  };
}

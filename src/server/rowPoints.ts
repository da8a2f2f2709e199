import type { JudgedPoint, JudgedResult } from '../review/judgedResult';

/** The points of each row of a result, by the row's line in its file; empty for a run that was never written. */
export function pointsByLine(result: JudgedResult): ReadonlyMap<number, readonly JudgedPoint[]> {
  const byLine = new Map<number, JudgedPoint[]>();
  for (const point of result.points) {
    const line = result.table.rows[point.row]?.line ?? 0;
    if (line <= 0) continue;
    const ofLine = byLine.get(line);
    if (ofLine === undefined) byLine.set(line, [point]);
    else ofLine.push(point);
  }
  return byLine;
}

/** Whether the file is a committed result, whose rows stand in it. */
export function isCommitted(result: JudgedResult): boolean {
  return (result.table.rows[0]?.line ?? 0) > 0;
}

import type { ForceTable } from '../files/forceTable';
import type { SourcePosition } from '../files/problem';
import type { Finding } from '../review/finding';
import type { JudgedResult } from '../review/judgedResult';

/** The files behind a result as they stand now: what they say is what was judged, where it stands may have moved. */
export interface CurrentFiles {
  readonly table?: ForceTable | undefined;
  readonly reference?: ForceTable | undefined;
}

/**
 * Moves a judged result to where its files stand now. A comment or a blank line changes no number, so nothing is judged again, but the
 * findings must follow their lines.
 */
export function placeResult(result: JudgedResult, now: CurrentFiles): JudgedResult {
  const moves = [tableMoves(result.table, now.table), tableMoves(result.reference, now.reference)];
  const moved = moves.filter((move) => move !== undefined);
  if (moved.length === 0) return result;
  return {
    ...result,
    ...(now.table !== undefined && { table: now.table }),
    ...(now.reference !== undefined && result.reference !== undefined && { reference: now.reference }),
    findings: result.findings.map((finding) => moved.reduce(moveFinding, finding)),
  };
}

/** New place of an old one, in one file. */
interface Moves {
  readonly file: string;
  readonly to: ReadonlyMap<string, SourcePosition>;
}

/** Undefined where nothing moved. */
function tableMoves(then: ForceTable | undefined, now: ForceTable | undefined): Moves | undefined {
  if (then === undefined || now === undefined || then === now) return undefined;
  const to = new Map<string, SourcePosition>();
  const move = (from: number, line: number): void => {
    if (from > 0 && from !== line) to.set(placeKey({ line: from, column: 1 }), { line, column: 1 });
  };
  move(then.headerLine, now.headerLine);
  then.rows.forEach((row, i) => {
    move(row.line, now.rows[i]?.line ?? row.line);
  });
  return to.size === 0 ? undefined : { file: then.file, to };
}

function moveFinding(finding: Finding, { file, to }: Moves): Finding {
  if (finding.file !== file) return finding;
  const place = (position: SourcePosition): SourcePosition => to.get(placeKey(position)) ?? position;
  return {
    ...finding,
    position: place(finding.position),
    ...(finding.related !== undefined && {
      related: finding.related.map((one) => ({ ...one, position: place(one.position) })),
    }),
  };
}

function placeKey({ line, column }: SourcePosition): string {
  return `${line}:${column}`;
}

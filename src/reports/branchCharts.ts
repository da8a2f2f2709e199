import type { BranchChanges } from '../changes/branchChanges';
import { LIGHT } from '../charts/theme';
import { driftDrawing } from './pageFigures';
import { renderSvg } from './svg';

/** A drawing that lies beside a comment. */
export interface BranchChart {
  /** The result that it is of. */
  readonly file: string;
  readonly svg: string;
}

/** A comment with more pictures than this is not read. */
const MOST_CHARTS = 12;
const WIDTH = 590;

/** Drift over tolerance of every result that the branch changes or turns, those that turned first; as files, on white paper. */
export async function branchCharts({ results, turned }: BranchChanges): Promise<readonly BranchChart[]> {
  const first = new Set(turned.map(({ file }) => file));
  const sorted = [...results].sort((a, b) => Number(first.has(b.file)) - Number(first.has(a.file)));
  const charts: BranchChart[] = [];
  for (const { file, after } of sorted) {
    const drawing = after && driftDrawing(after, { theme: LIGHT, width: WIDTH, others: true });
    if (drawing === undefined || charts.length === MOST_CHARTS) continue;
    const { spec, title, caption } = drawing;
    const svg = await renderSvg(spec, { id: `drift-${charts.length + 1}`, title, description: caption });
    charts.push({ file, svg: onPaper(svg) });
  }
  return charts;
}

/** A host may show it on a dark page. */
function onPaper(svg: string): string {
  const paper = `<rect width="100%" height="100%" fill="${LIGHT.paper}"/>`;
  const whole = svg.replace('</desc>', `</desc>${paper}`);
  return whole.includes('xmlns=') ? whole : whole.replace('<svg', '<svg xmlns="http://www.w3.org/2000/svg"');
}

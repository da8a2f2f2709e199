import type { Runtime, Spec } from 'vega';
import type { ChartSpec } from '../charts/chartSpec';
import { escapeXml } from '../text/xml';
import { outlineOf } from './chartOutline';
import { slimSvg } from './slimSvg';

export interface SvgOptions {
  /** Letters, digits and hyphens; different for every drawing of one page, as ids are shared by the page. */
  readonly id: string;
  /** Short name of the drawing, read out by a screen reader. */
  readonly title: string;
  /** What it shows in a sentence or two, and where the numbers stand. */
  readonly description: string;
}

/**
 * Draws a chart as a piece of SVG for an HTML page or a file: no canvas, no code made from text, nothing fetched, and the
 * same bytes for the same chart on every machine. The one place where Vega is loaded, on first use.
 * @throws Error where the chart is not valid Vega-Lite, which is a mistake in src/charts.
 */
export async function renderSvg(chart: ChartSpec, options: SvgOptions): Promise<string> {
  if (!/^[a-z][\w-]*$/i.test(options.id)) throw new Error(`not an id: ${options.id}`);
  const { compile, vega, expressionInterpreter } = await drawingLibraries();
  const problems: string[] = [];
  const collect = vega.logger(vega.Warn, undefined, (_method, _level, message) =>
    problems.push(message.map(String).join(' ')),
  );
  const { spec, key, rows } = outlineOf(chart);
  const plan = PLANS.get(key) ?? planOf(spec);
  vega.resetSVGDefIds();
  const view = new vega.View(plan, {
    renderer: 'none',
    expr: expressionInterpreter,
    loader: REFUSING_LOADER,
    logger: collect,
  });
  // Copies, as Vega writes into the rows that it is given.
  for (const [name, list] of rows)
    view.data(
      name,
      list.map((row) => ({ ...row })),
    );
  const drawn = await view.toSVG();
  view.finalize();
  if (problems.length > 0) throw new Error(`The chart does not fit: ${problems.join('; ')}`);
  keep(key, plan);
  return named(slimSvg(drawn, options.id), options);

  function planOf(outline: ChartSpec): Runtime {
    const compiled = compile(outline as unknown as Parameters<typeof compile>[0], { logger: collect }).spec;
    for (const name of rows.keys()) if (isConverted(compiled, name)) problems.push('rows are drawn as they are');
    return vega.parse(compiled, undefined, { ast: true });
  }
}

/** Whether Vega would read rows other than as they are, which is not done for rows that are handed to a view. */
function isConverted({ data = [] }: Spec, name: string): boolean {
  return data.some((list) => list.name === name && 'format' in list && Object.keys(list.format ?? {}).length > 0);
}

/** What Vega makes of outlines, half of the work of drawing a chart. The one that was used last stands last. */
const PLANS = new Map<string, Runtime>();
/** A page has some twelve kinds of charts for each plan of a test. */
const MOST_PLANS = 64;

function keep(key: string, plan: Runtime): void {
  PLANS.delete(key);
  PLANS.set(key, plan);
  if (PLANS.size > MOST_PLANS) PLANS.delete([...PLANS.keys()][0]!);
}

async function drawingLibraries() {
  const [{ compile }, vega, { expressionInterpreter }] = await Promise.all([
    import('vega-lite'),
    import('vega'),
    import('vega-interpreter'),
  ]);
  return { compile, vega, expressionInterpreter };
}

/** The charts carry their rows; anything that asks for more is refused. */
const REFUSING_LOADER = {
  load: refuse,
  sanitize: refuse,
  http: refuse,
  file: refuse,
};
function refuse(): Promise<never> {
  return Promise.reject(new Error('A chart of a report loads nothing.'));
}

function named(svg: string, { id, title, description }: SvgOptions): string {
  const label = `role="img" aria-labelledby="${id}-t ${id}-d"`;
  const words = `<title id="${id}-t">${escapeXml(title)}</title><desc id="${id}-d">${escapeXml(description)}</desc>`;
  return svg.replace(/^<svg([^>]*)>/, (_, attributes: string) => `<svg${attributes} ${label}>${words}`);
}

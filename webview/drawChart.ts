import embed from 'vega-embed';
import { expressionInterpreter } from 'vega-interpreter';
import type { ChartView } from '../src/protocol/views';
import { element } from './dom';

/** A mark that stands for a point, in pixels of the drawing. */
export interface Mark {
  readonly row: number;
  readonly key: string | undefined;
  readonly x: number;
  readonly y: number;
}

export interface DrawnChart {
  readonly width: number;
  readonly height: number;
  readonly marks: readonly Mark[];
  /** Shows a text beside a place of the drawing; '' takes it away. */
  readonly tip: (text: string, left: string, top: string) => void;
  /** Marks the points of a row; 0 marks nothing. */
  readonly mark: (row: number) => void;
  readonly finish: () => void;
}

/** Charts carry their rows. Whatever asks for more is refused. */
const REFUSING = { load: refuse, sanitize: refuse, http: refuse, file: refuse };
function refuse(): Promise<never> {
  return Promise.reject(new Error('A chart of a page loads nothing.'));
}

/** Draws as SVG, whose colours follow the theme by custom properties; expressions are interpreted, never turned into code. */
export async function drawChart(plot: HTMLElement, { id, spec }: ChartView): Promise<DrawnChart> {
  const tip = element('div', { class: 'tip', 'aria-hidden': 'true' });
  const showTip = (text: string, left: string, top: string): void => {
    tip.textContent = text;
    tip.style.left = `calc(${left} + 12px)`;
    tip.style.top = `calc(${top} + 12px)`;
  };
  const { view, finalize } = await embed(plot, structuredClone(spec), {
    mode: 'vega-lite',
    renderer: 'svg',
    ast: true,
    expr: expressionInterpreter,
    actions: false,
    defaultStyle: false,
    logLevel: 1, // errors: an empty layer is no news
    loader: REFUSING as never,
    tooltip: (_handler, event: MouseEvent | null, _item, value) => {
      if (event === null) {
        showTip('', '0px', '0px'); // Vega takes the tip away when it draws anew
        return;
      }
      const box = plot.getBoundingClientRect();
      showTip(tooltipText(value), `${event.clientX - box.left}px`, `${event.clientY - box.top}px`);
    },
  });
  plot.append(tip);
  const svg = plot.querySelector('svg');
  if (svg === null) throw new Error(`The chart ${id} drew nothing.`);
  svg.setAttribute('aria-hidden', 'true'); // read as the points laid over it, or by the name of what holds it
  const linked = signalNames(view).has('selectedRow');
  return {
    width: Number(svg.getAttribute('width')),
    height: Number(svg.getAttribute('height')),
    marks: marksOf((view.scenegraph() as unknown as { readonly root: SceneItem }).root, startOf(view)),
    tip: showTip,
    mark: (row) => {
      if (linked) void view.signal('selectedRow', row).runAsync();
    },
    finish: finalize,
  };
}

/** Where the scene starts in the drawing: behind the padding, which Vega keeps beside its origin. */
function startOf(view: { origin(): number[]; padding(): unknown }): readonly [number, number] {
  const [x = 0, y = 0] = view.origin();
  const padding = view.padding();
  const { left = 0, top = 0 } = (typeof padding === 'number' ? { left: padding, top: padding } : padding) as Padding;
  return [x + left, y + top];
}
type Padding = { readonly left?: number; readonly top?: number };

function signalNames(view: { getState(): unknown }): ReadonlySet<string> {
  const { signals } = view.getState() as { readonly signals?: Readonly<Record<string, unknown>> };
  return new Set(Object.keys(signals ?? {}));
}

function tooltipText(value: unknown): string {
  if (typeof value === 'object' && value !== null)
    return Object.entries(value)
      .map(([name, part]) => `${name}: ${plain(part)}`)
      .join(', ');
  return plain(value);
}

function plain(value: unknown): string {
  return typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean' ? String(value) : '';
}

/** The part of Vega's scene that is read here. */
interface SceneItem {
  readonly marktype?: string;
  readonly items?: readonly SceneItem[];
  readonly x?: number;
  readonly y?: number;
  readonly datum?: unknown;
}

/** Every symbol whose datum names a row, at its place in the whole drawing. */
function marksOf(root: SceneItem, [left, top]: readonly [number, number]): Mark[] {
  const found: Mark[] = [];
  const visit = (item: SceneItem, x: number, y: number): void => {
    for (const one of item.items ?? []) {
      const at = { x: x + (one.x ?? 0), y: y + (one.y ?? 0) };
      if (item.marktype === 'symbol') take(one.datum, at, found);
      else visit(one, item.marktype === 'group' ? at.x : x, item.marktype === 'group' ? at.y : y);
    }
  };
  visit(root, left, top);
  return found;
}

function take(datum: unknown, at: { readonly x: number; readonly y: number }, found: Mark[]): void {
  if (typeof datum !== 'object' || datum === null) return;
  const { row, key } = datum as { readonly row?: unknown; readonly key?: unknown };
  if (typeof row === 'number' && row > 0) found.push({ row, key: typeof key === 'string' ? key : undefined, ...at });
}

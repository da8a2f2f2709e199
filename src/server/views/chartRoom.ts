import type { ChartSpec } from '../../charts/chartSpec';
import { narrowChart } from '../../charts/narrowChart';

/** Plots are no wider [px]: a reader loses a longer line. */
const WIDEST = 640;
/** Below it [px] a plot shows nothing any more; the page scrolls it then. */
const NARROWEST = 160;
/** Pixels of a page that axis and names beside the plot take. */
const BESIDE = 150;
/** Pages with less room than this for a plot [px] have their charts laid out for it. */
const NARROW = 460;

/** How charts are laid out on a page: drawn for the room that it has, never scaled, so that their text keeps its size. */
export interface ChartRoom {
  /** Pixels across of a plot, without what stands beside it. */
  readonly plot: number;
  readonly isNarrow: boolean;
  readonly fitted: (spec: ChartSpec) => ChartSpec;
}

export interface RoomLimits {
  /** Of the plot [px]. */
  readonly widest?: number;
  /** Pixels that axis and names beside the plot take. */
  readonly beside?: number;
}

/** @param width pixels across that the page has for a chart; a wide page where absent */
export function chartRoom(width: number | undefined, { widest = WIDEST, beside = BESIDE }: RoomLimits = {}): ChartRoom {
  const room = width === undefined || !Number.isFinite(width) ? Infinity : Math.floor(width) - beside;
  const plot = Math.max(NARROWEST, Math.min(widest, room));
  const isNarrow = room < NARROW;
  return { plot, isNarrow, fitted: isNarrow ? (spec) => narrowChart(spec, plot) : (spec) => spec };
}

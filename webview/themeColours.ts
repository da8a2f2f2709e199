import { contrast, hexOf, readable, readRgb, type Rgb } from './colour';

/** Custom properties that charts draw lines and marks with: 3:1 or more against paper and band; texts 4.5:1. */
const LINES = ['compression', 'rebound', 'reference', 'fail', 'edge', 'series-1', 'series-2', 'series-3'] as const;
const TEXTS = ['ink', 'quiet'] as const;
const GROUNDS = ['paper', 'band', 'grid'] as const;
const ALL = [...LINES, ...TEXTS, ...GROUNDS] as const;
/** A little more than is asked for, since pixels are rounded. */
const LINE_CONTRAST = 3.1;
const TEXT_CONTRAST = 4.6;

/** Takes the theme's colours, and takes them again whenever the editor changes its theme. */
export function watchTheme(): void {
  fitColours();
  const again = new MutationObserver(fitColours);
  again.observe(document.documentElement, { attributes: true, attributeFilter: ['style', 'class'] });
  again.observe(document.body, { attributes: true, attributeFilter: ['class'] });
}

/**
 * A theme may give charts colours that cannot be told from its own background (two of the editor's own do). Those are moved towards black or white until
 * they can; the page's style sheet names where each comes from. Set on <main>, so that the editor's own properties stay as they are.
 */
function fitColours(): void {
  const main = document.querySelector('main');
  if (main === null) return;
  const paper = colourOf('--theme-paper') ?? [1, 1, 1];
  const band = colourOf('--theme-band') ?? paper;
  set(main, 'paper', paper);
  set(main, 'band', contrast(band, paper) > 1.6 ? paper : band);
  set(main, 'grid', colourOf('--theme-grid') ?? paper);
  for (const name of LINES) fit(main, name, [paper, band], LINE_CONTRAST);
  for (const name of TEXTS) fit(main, name, [paper], TEXT_CONTRAST);
}

function fit(main: HTMLElement, name: string, grounds: readonly Rgb[], least: number): void {
  const wished = colourOf(`--theme-${name}`) ?? colourOf('--theme-ink') ?? [0.5, 0.5, 0.5];
  set(main, name, readable(wished, grounds, least));
}

function set(main: HTMLElement, name: string, colour: Rgb): void {
  const value = hexOf(colour);
  if (main.style.getPropertyValue(`--chart-${name}`) !== value) main.style.setProperty(`--chart-${name}`, value);
}

/** What a custom property comes to as a colour. */
function colourOf(property: string): Rgb | undefined {
  const probe = document.createElement('span');
  probe.style.setProperty('color', `var(${property})`);
  document.body.append(probe);
  const computed = getComputedStyle(probe).color;
  probe.remove();
  return readRgb(computed);
}

/** The colours that charts are drawn in now, by their custom property: for files, which outlive the theme. */
export function coloursNow(): ReadonlyMap<string, string> {
  const main = document.querySelector('main');
  const style = main === null ? undefined : getComputedStyle(main);
  return new Map(
    ALL.map((name) => [`--chart-${name}`, style?.getPropertyValue(`--chart-${name}`).trim() ?? '#808080']),
  );
}

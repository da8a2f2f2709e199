import { tellHost } from './host';

/** Widest that charts grow with the page [px]. */
const WIDEST = 900;
/** Pixels of a vertical scroll bar, kept free so that charts do not change with its coming and going. */
const SCROLL_BAR = 12;
/** A page that is being dragged wider or narrower draws once it has rested so long [ms]. */
const REST = 200;

/** Pixels across that the page has for a chart. */
export function chartRoom(): number {
  const { paddingLeft, paddingRight } = getComputedStyle(document.body);
  const beside = Number.parseFloat(paddingLeft) + Number.parseFloat(paddingRight) + SCROLL_BAR;
  return Math.max(0, Math.min(WIDEST, Math.floor((window.innerWidth - beside) / 10) * 10));
}

/** Tells the host whenever charts have another room. A page that is being hidden has none, which is no news. */
export function watchRoom(): void {
  let told = chartRoom();
  let resting: ReturnType<typeof setTimeout> | undefined;
  window.addEventListener('resize', () => {
    clearTimeout(resting);
    resting = setTimeout(() => {
      const width = chartRoom();
      if (width === told || width === 0) return;
      told = width;
      tellHost({ kind: 'resized', width });
    }, REST);
  });
}

/** Red, green and blue of sRGB, 0 to 1. */
export type Rgb = readonly [number, number, number];

/** Reads what `getComputedStyle` gives for a colour: `rgb(1, 2, 3)`, `rgba(...)`, `color(srgb 0.1 0.2 0.3)`. Undefined for anything else. */
export function readRgb(text: string): Rgb | undefined {
  const srgb = /^color\(srgb ([\d.e+-]+) ([\d.e+-]+) ([\d.e+-]+)/.exec(text);
  const bytes = /^rgba?\((\d+(?:\.\d+)?)[, ]+(\d+(?:\.\d+)?)[, ]+(\d+(?:\.\d+)?)/.exec(text);
  const found = srgb ?? bytes;
  if (found === null) return undefined;
  const scale = srgb === null ? 255 : 1;
  const [r, g, b] = found.slice(1, 4).map((part) => Math.min(1, Math.max(0, Number(part) / scale)));
  return [r!, g!, b!];
}

export function hexOf(rgb: Rgb): string {
  return `#${rgb
    .map((part) =>
      Math.round(part * 255)
        .toString(16)
        .padStart(2, '0'),
    )
    .join('')}`;
}

/** Contrast of two colours, 1 to 21. Source: WCAG 2.2, definitions of relative luminance and contrast ratio. */
export function contrast(a: Rgb, b: Rgb): number {
  const [light, dark] = [luminance(a), luminance(b)].sort((p, q) => q - p);
  return (light! + 0.05) / (dark! + 0.05);
}

function luminance(rgb: Rgb): number {
  const [r, g, b] = rgb.map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
}

/** The colour itself where it has `least` against every ground, else the nearest mixture with black or white that has, else the better of the two. */
export function readable(colour: Rgb, grounds: readonly Rgb[], least: number): Rgb {
  const worst = (candidate: Rgb): number => Math.min(...grounds.map((ground) => contrast(candidate, ground)));
  const poles: readonly Rgb[] = [
    [0, 0, 0],
    [1, 1, 1],
  ];
  for (let share = 0; share <= 1.0001; share += 0.05)
    for (const pole of poles) {
      const candidate = mix(colour, pole, share);
      if (worst(candidate) >= least) return candidate;
    }
  return worst(poles[0]!) > worst(poles[1]!) ? poles[0]! : poles[1]!;
}

function mix([r, g, b]: Rgb, pole: Rgb, share: number): Rgb {
  const part = (from: number, to: number): number => from + (to - from) * share;
  return [part(r, pole[0]), part(g, pole[1]), part(b, pole[2])];
}

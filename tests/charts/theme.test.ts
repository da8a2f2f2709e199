import { describe, expect, it } from 'vitest';
import { DARK, LIGHT, propertyTheme, SERIES_DASH, themeProperties, type ChartTheme } from '../../src/charts/theme';

/** Relative luminance and contrast ratio of WCAG 2.2 (W3C Recommendation, 2023), definitions in its glossary. */
function luminance(colour: string): number {
  const [r, g, b] = [1, 3, 5].map((i) => {
    const c = parseInt(colour.slice(i, i + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  }) as [number, number, number];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
function contrast(a: string, b: string): number {
  const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number];
  return (high + 0.05) / (low + 0.05);
}

/**
 * How a colour looks to a reader without red or green cones: Viénot, Brettel and Mollon, Color Research and Application 24
 * (1999) 243-252, matrices on linear RGB (value from memory).
 */
const BLIND: Record<string, readonly number[]> = {
  protan: [0.11238, 0.88762, 0, 0.11238, 0.88762, 0, 0.00401, -0.00401, 1],
  deutan: [0.29275, 0.70725, 0, 0.29275, 0.70725, 0, -0.02234, 0.02234, 1],
};
function seenBy(colour: string, m: readonly number[]): readonly number[] {
  const rgb = [1, 3, 5].map((i) => (parseInt(colour.slice(i, i + 2), 16) / 255) ** 2.2);
  return [0, 3, 6].map(
    (row) => Math.max(0, m[row]! * rgb[0]! + m[row + 1]! * rgb[1]! + m[row + 2]! * rgb[2]!) ** (1 / 2.2),
  );
}
function apart(a: readonly number[], b: readonly number[]): number {
  return Math.hypot(...a.map((v, i) => v - b[i]!));
}

for (const [name, theme] of Object.entries<ChartTheme>({ LIGHT, DARK }))
  describe(`theme ${name}`, () => {
    it('has 4.5:1 for text and 3:1 for lines and marks, on paper and on the tolerance band', () => {
      for (const ground of [theme.paper, theme.band]) {
        for (const text of [theme.ink, theme.quiet, theme.compression, theme.rebound, theme.fail])
          expect(contrast(text, ground)).toBeGreaterThanOrEqual(4.5);
        for (const line of [theme.edge, theme.reference, ...theme.series])
          expect(contrast(line, ground)).toBeGreaterThanOrEqual(3);
      }
    });

    it('keeps both sides apart for readers who see no red or no green', () => {
      for (const matrix of Object.values(BLIND))
        expect(apart(seenBy(theme.compression, matrix), seenBy(theme.rebound, matrix))).toBeGreaterThan(0.35);
    });
  });

describe('series', () => {
  it('differ by dash too', () => {
    expect(new Set(SERIES_DASH.map((dash) => JSON.stringify(dash))).size).toBe(LIGHT.series.length);
  });
});

describe('custom properties', () => {
  it('name every colour that the property theme asks for', () => {
    const asked = JSON.stringify(propertyTheme()).match(/--chart-[\w-]+/g)!;
    expect(Object.keys(themeProperties(LIGHT)).sort()).toEqual([...new Set(asked)].sort());
    expect(Object.keys(themeProperties(DARK))).toEqual(Object.keys(themeProperties(LIGHT)));
  });
});

import { describe, expect, it } from 'vitest';
import { contrast, hexOf, readable, readRgb, type Rgb } from '../../webview/colour';

const WHITE: Rgb = [1, 1, 1];
const BLACK: Rgb = [0, 0, 0];

describe('colours of a page', () => {
  it('measures contrast as WCAG 2.2 defines it', () => {
    expect(contrast(BLACK, WHITE)).toBeCloseTo(21, 10); // WCAG 2.2, definition of contrast ratio: 1 to 21
    expect(contrast(WHITE, WHITE)).toBe(1);
    const grey = readRgb('rgb(118, 118, 118)')!;
    expect(contrast(grey, WHITE)).toBeGreaterThan(4.5); // #767676, the lightest grey that passes 4.5:1 on white (common practice)
    expect(contrast(readRgb('rgb(119, 119, 119)')!, WHITE)).toBeLessThan(4.5);
  });

  it('reads what a browser computes, and nothing else', () => {
    expect(readRgb('rgb(255, 0, 51)')).toEqual([1, 0, 0.2]);
    expect(readRgb('rgba(0, 0, 0, 0.5)')).toEqual([0, 0, 0]);
    expect(readRgb('color(srgb 0.5 0.25 1)')).toEqual([0.5, 0.25, 1]);
    for (const text of ['', 'red', 'var(--x)', 'url(x)']) expect(readRgb(text)).toBeUndefined();
    expect(hexOf([1, 0, 0.2])).toBe('#ff0033');
  });

  it('keeps a colour that can be read, and moves any other until it can, against every ground', () => {
    const blue = readRgb('rgb(0, 99, 156)')!;
    expect(readable(blue, [WHITE], 3)).toEqual(blue);
    const grounds: Rgb[] = [WHITE, BLACK, [0.99, 0.96, 0.89], [0.1, 0.11, 0.12], [0.5, 0.5, 0.5]];
    for (const ground of grounds)
      for (let i = 0; i < 27; i++) {
        const wished: Rgb = [(i % 3) / 2, (Math.floor(i / 3) % 3) / 2, Math.floor(i / 9) / 2];
        expect(contrast(readable(wished, [ground], 3), ground)).toBeGreaterThanOrEqual(3);
      }
  });
});

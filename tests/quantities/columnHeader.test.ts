import { describe, expect, it } from 'vitest';
import { channelScale } from '../../src/quantities/channel';
import { columnHeaderText, parseColumnHeader } from '../../src/quantities/columnHeader';
import { parseUnit } from '../../src/quantities/unit';

describe('parseColumnHeader', () => {
  it.each([
    ['time [s]', 'time', 's'],
    ['displacement [[in_i]]', 'displacement', '[in_i]'],
    ['velocity [[in_i]/s]', 'velocity', '[in_i]/s'],
    ['force [k[lbf_av]]', 'force', 'k[lbf_av]'],
    ['rate [[lbf_av]/[in_i]]', 'rate', '[lbf_av]/[in_i]'],
    [' LSC  [click] ', 'LSC', 'click'],
    ['R[click]', 'R', 'click'],
    ['time', 'time', undefined],
    ['a ] b]', 'a ] b]', undefined],
    ['x []', 'x', ''],
    ['', '', undefined],
  ])('%j', (text, name, unit) => {
    const header = parseColumnHeader(text);
    expect([header.name, header.unit]).toEqual([name, unit]);
  });

  it('is read back as written', () => {
    for (const [name, unit] of [
      ['displacement', '[in_i]'],
      ['force', 'k[lbf_av]'],
      ['cycles', undefined],
    ] as const) {
      const header = parseColumnHeader(columnHeaderText(name, unit));
      expect([header.name, header.unit]).toEqual([name, unit]);
    }
  });
});

describe('channelScale', () => {
  it('turns a channel that counts up in rebound', () => {
    expect(channelScale(parseUnit('kN')!, 'rebound')).toEqual({ factor: -1000, offset: -0 });
    expect(channelScale(parseUnit('kN')!)).toEqual({ factor: 1000, offset: 0 });
  });
});

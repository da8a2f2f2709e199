import { describe, expect, it } from 'vitest';
import { kindDiffers, looksLike } from '../../src/files/contentKind';
import { foreignContent } from '../../src/files/contentLook';
import { readReviewConfig } from '../../src/files/readReviewConfig';
import { logOfMetadata, mappingsOf, recogniseFile, resultPathOf } from '../../src/files/recognise';
import { bytesOf } from './support';

const { config } = readReviewConfig(
  'damper-review.yaml',
  bytesOf('formatVersion: 1\nlogs: [{ files: "incoming/**/*.csv" }, { files: "**/x.csv" }]\n'),
);

describe('recogniseFile', () => {
  it.each([
    ['damper-review.yaml', 'config'],
    ['a/damper-review.yaml', undefined],
    ['specs/a.damper.yaml', 'spec'],
    ['specs/a.damper.yml', 'spec'],
    ['specs/a.refcurve.csv', 'reference'],
    ['d/a.testlog.csv', 'testLog'],
    ['d/a.testlog.csv.gz', 'testLog'],
    ['d/a.testlog.tsv', 'testLog'],
    ['d/a.testlog.tsv.gz', 'testLog'],
    ['d/A.TESTLOG.CSV', 'testLog'],
    ['d/a.result.csv', 'result'],
    ['d/a.dutylog.csv', 'dutyLog'],
    ['d/a.corner.yaml', 'corner'],
    ['d/a.corner.yml', 'corner'],
    ['d/a.csv-metadata.json', 'csvw'],
    ['d/a.tsv-metadata.json', 'csvw'],
    ['d/a.csv.gz-metadata.json', 'csvw'],
    ['d/a.tsv.gz-metadata.json', 'csvw'],
    ['d/a.json-metadata.json', undefined],
    ['d/result.csv', undefined],
    ['d/a.testlog.csv-metadata.json', 'csvw'],
    ['incoming/deep/a.csv', 'testLog'],
    ['incoming/a.result.csv', 'result'],
    ['a.csv', undefined],
    ['README.md', undefined],
  ])('%s: %s', (path, kind) => {
    expect(recogniseFile(path, config)).toBe(kind);
  });

  it('counts the mappings that claim a log', () => {
    expect(mappingsOf('incoming/x.csv', config).map((mapping) => mapping.keyPath)).toEqual(['logs[0]', 'logs[1]']);
    expect(mappingsOf('other/y.csv', config)).toEqual([]);
  });

  it.each([
    ['d/a.testlog.csv', 'd/a.result.csv'],
    ['d/a.testlog.csv.gz', 'd/a.result.csv'],
    ['d/a.testlog.tsv', 'd/a.result.csv'],
    ['incoming/x.csv', 'incoming/x.result.csv'],
    ['incoming/x.txt', 'incoming/x.result.csv'],
    ['incoming/x', 'incoming/x.result.csv'],
  ])('the result of %s is %s', (log, result) => {
    expect(resultPathOf(log)).toBe(result);
  });

  it('knows the log of a metadata file', () => {
    expect(logOfMetadata('a/x.csv-metadata.json')).toBe('a/x.csv');
  });
});

describe('looksLike', () => {
  it.each([
    ['formatVersion: 1\nid: a\ntolerance: {}\n', 'spec'],
    ['formatVersion: 1\nlogs: []\n', 'config'],
    ['formatVersion: 1\nsprungMass: 300 kg\n', 'corner'],
    ['# spec: a\nvelocity [mm/s],compression [N],rebound [N]\n', 'reference'],
    ['# serial: a\nvelocity [mm/s];compression [N];rebound [N]\n', 'result'],
    ['"time [s]","displacement [mm]","force [N]"\n', 'testLog'],
    ['time [s]\tdisplacement [mm]\n', 'dutyLog'],
    ['{ "@context": "http://www.w3.org/ns/csvw" }', 'csvw'],
    ['hello', undefined],
    ['', undefined],
  ])('%j: %s', (text, kind) => {
    expect(looksLike(bytesOf(text))).toBe(kind);
  });

  it('says what a wrongly named file looks like', () => {
    const problem = kindDiffers(
      'a.refcurve.csv',
      'reference',
      bytesOf('time [s],displacement [mm],force [N]\n0,0,0\n'),
    );
    expect(problem).toMatchObject({ rule: 'file-kind-differs', file: 'a.refcurve.csv', position: { line: 1 } });
    expect(problem!.message).toBe('By its name this is reference curves; by its content it looks like a test log.');
    expect(kindDiffers('a.testlog.csv', 'testLog', bytesOf('time [s],displacement [mm],force [N]\n'))).toBeUndefined();
    expect(kindDiffers('a.testlog.csv', 'testLog', bytesOf('whatever\n'))).toBeUndefined();
  });
});

describe('foreignContent', () => {
  it.each([
    [[], 'empty'],
    [[0xff, 0xfe, 0x61, 0], 'utf-16'],
    [[0xfe, 0xff, 0, 0x61], 'utf-16'],
    [[0x61, 0, 0x62, 0, 0x63, 0], 'utf-16'],
    [[0, 0x61, 0, 0x62, 0, 0x63], 'utf-16'],
    [[0x1f, 0x8b, 8], 'gzip'],
    [[0x50, 0x4b, 3, 4, 20], 'archive'],
    [[0x61, 0x62, 0, 0x63, 1, 2], 'binary'],
    [[0xef, 0xbb, 0xbf, 0x61], undefined],
    [[0x61, 9, 13, 10], undefined],
  ])('%j: %s', (bytes, kind) => {
    expect(foreignContent(new Uint8Array(bytes))).toBe(kind);
  });

  it('knows the pointer of a large file', () => {
    expect(foreignContent(bytesOf('version https://git-lfs.github.com/spec/v1\noid sha256:1\nsize 2\n'))).toBe(
      'large-file-pointer',
    );
  });
});

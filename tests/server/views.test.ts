import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { isPageView } from '../../src/protocol/viewGuards';
import { REQUEST, type TreeNode } from '../../src/protocol/requests';
import type { PreviewView, TableView } from '../../src/protocol/views';
import { comparisonDocument } from '../../src/reports/comparisonJson';
import { renderHtml } from '../../src/reports/html';
import { reviewDocument } from '../../src/reports/json';
import { partsOf } from '../charts/vegaLiteCheck';
import { elementsOf } from '../reports/htmlElements';
import { tablesOf } from '../reports/htmlTables';
import { LOGS, openWorkshop, resultOf, SPECS } from '../session/workshop';
import { StartedServer } from './startedServer';

/* The pages' payload holds what the JSON document and the HTML page of the command line hold, for one repository. */
const SOFT = resultOf(LOGS.two);
let server: StartedServer;
beforeAll(async () => {
  server = await StartedServer.start();
});
afterAll(() => server.stop());

const preview = (path: string, more: { setting?: string; select?: number; width?: number } = {}) =>
  server.request(REQUEST.preview, { uri: server.uri(path), ...more });

describe('the preview', () => {
  it('holds the numbers of the JSON document and of the page, point by point', async () => {
    const outcome = await (await openWorkshop()).session.review([]);
    const document = JSON.parse(JSON.stringify(reviewDocument(outcome))) as ReturnType<typeof reviewDocument>;
    const page = await renderHtml(outcome, { generated: '2026-05-01T08:00:00Z' });
    expect(document.results.length).toBe(4);
    for (const [i, result] of document.results.entries()) {
      const view = (await preview(result.file))!;
      expect(isPageView(view)).toBe(true);
      const sheet = page.slice(
        page.indexOf(`id="r${i + 1}"`),
        i + 2 > document.results.length ? undefined : page.indexOf(`id="r${i + 2}"`),
      );
      expect(elementsOf(sheet.slice(sheet.indexOf('<h2'))).find(({ name }) => name === 'h2')!.text).toBe(view.title);
      const html = tablesOf(sheet).find(({ columns }) => columns === 17)!;
      expect(view.tables[0]!.rows.map(({ cells }) => cells)).toEqual(html.rows);
      for (const point of result.points) {
        const row = view.tables[0]!.rows.find(({ cells }) => cells[0] === String(point.velocity_mm_s))!;
        const cells = point.side === 'compression' ? row.cells.slice(1, 9) : row.cells.slice(9);
        const exact = [
          point.force_N,
          point.damping_N,
          point.reference_N,
          point.drift_N,
          point.uncertainty_N,
          point.tolerance_N,
        ];
        exact.forEach((force, at) => {
          expect(Math.abs(Number(cells[at]) - force!)).toBeLessThanOrEqual(0.0551);
        });
        expect(cells.at(-1)).toBe(point.verdict);
      }
      expect(view.findings.map(({ message }) => message)).toEqual(
        outcome.results.find(({ file }) => file === result.file)!.findings.map(({ message }) => message),
      );
    }
  });

  it('links each row of the text with its points, both ways', async () => {
    const view = (await preview(SOFT))!;
    const lines = (await server.text(SOFT)).split('\n');
    const force = view.charts.find(({ id }) => id === 'force')!;
    expect(force.points!.map(({ row, key }) => [key.split(' ')[0], lines[row - 1]!.split(',')[1]])).toEqual([
      ['compression', '100'],
      ['compression', '200'],
      ['compression', '300'],
      ['rebound', '100'],
      ['rebound', '200'],
      ['rebound', '300'],
    ]);
    const rows = rowsInSpec(force.spec);
    expect([...new Set(rows)].sort()).toEqual([...new Set(force.points!.map(({ row }) => row))].sort());
    expect(JSON.stringify(force.spec)).toContain('"params":[{"name":"selectedRow","value":0}]');
    const chosen = (await preview(SOFT, { select: force.points![1]!.row }))!;
    expect([view.linked, view.selected, chosen.selected]).toEqual([true, undefined, force.points![1]!.row]);
  });

  it('is drawn for the room that the page has, with the same rows', async () => {
    const wide = (await preview(SOFT))!;
    for (const [width, plot] of [
      [undefined, 640],
      [2000, 640],
      [700, 550],
      [372, 222],
      [0, 160],
    ] as const) {
      const view = (await preview(SOFT, width === undefined ? {} : { width }))!;
      expect(new Set(view.charts.flatMap(({ spec }) => partsOf(spec).flatMap((part) => part['width'] ?? [])))).toEqual(
        new Set([plot]),
      );
      expect(view.charts.map(({ points }) => points)).toEqual(wide.charts.map(({ points }) => points));
    }
  });

  it('is there for a log without a result too, whose rows are counted', async () => {
    await server.settledAfter(() => server.write(resultOf(LOGS.rear), null));
    const view = (await preview(LOGS.rear))!;
    expect([view.linked, view.charts.map(({ id }) => id)]).toEqual([false, ['drift', 'force', 'loops']]);
    expect(view.charts[1]!.points!.map(({ row }) => row)).toEqual([1, 2, 3, 1, 2, 3]);
    await server.settledAfter(async () =>
      server.write(resultOf(LOGS.rear), await openWorkshop().then(({ files }) => files.read(resultOf(LOGS.rear)))),
    );
  });

  it('is nothing for a file that has no result', async () => {
    expect(await preview(SPECS.front)).toBeNull();
    expect(await preview('no/such.csv')).toBeNull();
  });
});

function rowsInSpec(value: unknown): number[] {
  if (Array.isArray(value)) return value.flatMap(rowsInSpec);
  if (typeof value !== 'object' || value === null) return [];
  const own = (value as { row?: unknown }).row;
  return [...(typeof own === 'number' ? [own] : []), ...Object.values(value).flatMap(rowsInSpec)];
}

describe('builds side by side', () => {
  it('hold the numbers of the document of the same comparison', async () => {
    const targets = await server.request(REQUEST.compareTargets, null);
    const target = (label: string): string => targets.find((one) => one.label === label)!.target;
    const [a, b] = [target('F-001 build 1'), target('F-002 build 1')];
    const view = await server.request(REQUEST.compare, { a, b });
    expect(isPageView(view)).toBe(true);
    const { session } = await openWorkshop();
    const document = comparisonDocument(await session.compare('F-001/1', 'F-002/1'));
    const table = view.tables.find(({ id }) => id === 'compared-1') as TableView;
    for (const point of document.points) {
      const row = table.rows.find(({ cells }) => cells[0] === String(point.velocity_mm_s))!;
      const cells = point.side === 'compression' ? row.cells.slice(1, 5) : row.cells.slice(5);
      expect(Math.abs(Number(cells[0]) - point.a_N)).toBeLessThanOrEqual(0.0551);
      expect(Math.abs(Number(cells[1]) - point.b_N)).toBeLessThanOrEqual(0.0551);
      expect(Math.abs(Number(cells[2]!.replace(' *', '')) - point.difference_N)).toBeLessThanOrEqual(0.0551);
    }
    expect(view.sentences.join(' ')).toContain('softer');
    expect(view.charts.map(({ id }) => id)).toEqual(['overlay-1', 'difference-1']);
    const again = await server.request(REQUEST.compare, { a: server.uri(resultOf(LOGS.one)), b: 'F-002/1' });
    expect(again.tables.find(({ id }) => id === 'compared-1')!.rows).toEqual(table.rows);
  });

  it('say in words what a name does not name', async () => {
    await expect(server.request(REQUEST.compare, { a: 'F-999/1', b: 'F-001/1' })).rejects.toThrow(
      /Builds of this repository: F-001\/1/,
    );
    await expect(
      server.request(REQUEST.compare, { a: 'file:///elsewhere/x.result.csv', b: 'F-001/1' }),
    ).rejects.toThrow(/lies in no open damper-spec repository/);
  });
});

describe('tree and status', () => {
  it('show specs, dampers, builds and results with their worst verdicts', async () => {
    const tree = await server.request(REQUEST.tree, null);
    const told = (nodes: readonly TreeNode[]): unknown[] =>
      nodes.map(({ label, verdict, children }) =>
        children.length === 0 ? `${label} ${verdict}` : [`${label} ${verdict}`, ...told(children)],
      );
    expect(told(tree)).toEqual([
      [
        'alder-front fail',
        ['F-001 pass', ['build 1 pass', 'one.result.csv pass']],
        ['F-002 fail', ['build 1 fail', 'two.result.csv fail']],
        ['F-003 pass', ['build 1 pass', 'any.result.csv pass']],
      ],
      ['birch-rear pass', ['R-001 pass', ['build 1 pass', 'rear.result.csv pass']]],
    ]);
    const ids = (nodes: readonly TreeNode[]): string[] => nodes.flatMap((node) => [node.id, ...ids(node.children)]);
    expect(new Set(ids(tree)).size).toBe(ids(tree).length);
  });

  it('say first what a reviewer reads first', async () => {
    const status = (path: string) => server.request(REQUEST.status, { uri: server.uri(path) });
    const view = (await preview(SOFT)) as PreviewView;
    expect(await status(SOFT)).toEqual({ verdict: 'fail', sentence: view.title });
    expect(await status(LOGS.two)).toEqual({ verdict: 'fail', sentence: view.title });
    expect(await status(SPECS.rear)).toEqual({ verdict: 'pass', sentence: '1 result rests on it: 1 pass' });
    expect(await status('README.md')).toBeNull();
  });
});

import { propertyTheme } from '../../charts/theme';
import type { Setting } from '../../files/spec';
import { settingKey } from '../../review/referenceCurves';
import type { JudgedPoint, JudgedResult } from '../../review/judgedResult';
import { verdictAdvice, verdictSentence, verdictWord } from '../../review/verdictSentence';
import { rowsBySetting } from '../../reports/driftFigures';
import { driftDrawing, forceDrawing, loopDrawing } from '../../reports/pageFigures';
import { openingFacts, stepsOf } from '../../reports/openingFacts';
import { GAS_CAUTION, PASS_CAUTION } from '../../reports/resultStory';
import { settingText } from '../../review/wording';
import { spellHidden } from '../../text/visible';
import type { ChartView, PreviewView } from '../../protocol/views';
import { isCommitted } from '../rowPoints';
import { driftPoints, forcePoints } from './chartPoints';
import { chartRoom, type ChartRoom } from './chartRoom';
import { chartView, findingView, pointTables, rowNumber } from './resultParts';

export interface PreviewChoice {
  /** Key of a setting. */
  readonly setting?: string | undefined;
  /** 1-based line of the file. */
  readonly select?: number | undefined;
  /** Pixels across that the page has for a chart. */
  readonly width?: number | undefined;
}

/** The preview of one result: what the report's sheet says of it, with every setting to choose from. */
export function previewView(result: JudgedResult, uriOf: (path: string) => string, choice: PreviewChoice): PreviewView {
  const groups = rowsBySetting(result);
  const selected = choice.select === undefined ? undefined : pointOfLine(result, choice.select);
  const current =
    groups.find(({ setting }) => settingKey(setting) === choice.setting) ??
    groups.find(({ setting }) => selected !== undefined && settingKey(setting) === settingKey(selected.setting)) ??
    groups[0];
  const setting = current?.setting;
  return {
    page: 'preview',
    uri: uriOf(result.file),
    linked: isCommitted(result),
    ...(selected !== undefined && { selected: rowNumber(result, selected) }),
    title: spellHidden(verdictSentence(result)),
    verdict: result.verdict,
    verdictWord: verdictWord(result.verdict, result.spec?.purpose),
    sentences: [verdictAdvice(result)],
    facts: openingFacts(result).map(([name, text]) => ({ name, text: spellHidden(text) })),
    settings:
      groups.length < 2
        ? []
        : groups.map((group) => ({
            key: settingKey(group.setting),
            label: spellHidden(settingText(group.setting)),
            current: group === current,
          })),
    charts: setting === undefined ? [] : chartsOf(result, setting, groups.length > 1, chartRoom(choice.width)),
    tables: pointTables(result, (group) => settingKey(group.setting) === (setting && settingKey(setting))),
    findings: result.findings.map((finding) => findingView(finding, uriOf)),
    steps: stepsOf(result).map(spellHidden),
    cautions: result.verdict === 'pass' ? [PASS_CAUTION] : result.verdict === 'fail' ? [GAS_CAUTION] : [],
  };
}

function pointOfLine(result: JudgedResult, line: number): JudgedPoint | undefined {
  return isCommitted(result) ? result.points.find((point) => result.table.rows[point.row]?.line === line) : undefined;
}

function chartsOf(result: JudgedResult, setting: Setting, several: boolean, room: ChartRoom): readonly ChartView[] {
  const look = { theme: propertyTheme(), width: room.plot, setting };
  const rowOf = (point: JudgedPoint): number => rowNumber(result, point);
  const drift = driftDrawing(result, { ...look, others: several, rowOf });
  const force = forceDrawing(result, { ...look, rowOf });
  const loops = loopDrawing(result, setting, look);
  return [
    ...(drift === undefined ? [] : [chartView('drift', drift, room, driftPoints(result, setting))]),
    ...(force === undefined ? [] : [chartView('force', force, room, forcePoints(result, setting))]),
    ...(loops === undefined ? [] : [chartView('loops', loops, room)]),
  ];
}

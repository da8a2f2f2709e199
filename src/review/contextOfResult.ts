import { reviewAdjusters } from './adjusters/reviewAdjusters';
import type { AdjustersReview } from './adjusters/adjusterReview';
import { basisOfReference, compareBasis, type BasisComparison } from './basis';
import { changeSinceBuild } from './changeSinceBuild';
import { gasOfTest, type GasOfTest } from './gasOfResult';
import type { ChangeSinceBuild } from './judgedResult';
import type { JudgeInput } from './judgeInput';
import { judgePoints, type JudgedPoints } from './judgePoints';
import { missingPoints } from './planCoverage';
import type { RuleOverrides } from './rules/catalogue';
import type { MissingPoint, RuleContext } from './rules/ruleContext';
import { notComparedTexts } from './rules/testBasisDiffers';
import type { SettingShape } from './settingShape';
import { shapeOfResult } from './shapeOfResult';
import { unitLabel } from './wording';

/** What rules look at of one result: its points at once, each of the rest when it is first asked for, as a verdict alone needs little of it. */
export class ContextOfResult implements RuleContext {
  readonly basis: BasisComparison | undefined;
  readonly judged: JudgedPoints;
  readonly missing: readonly MissingPoint[];
  readonly overrides: RuleOverrides;
  #adjusters: AdjustersReview | undefined;
  #notCompared: readonly string[] | undefined;
  #gas: { readonly of: GasOfTest | undefined } | undefined;
  #change: { readonly of: ChangeSinceBuild | undefined } | undefined;
  #shape: { readonly of: SettingShape | undefined } | undefined;

  constructor(readonly input: JudgeInput) {
    const { spec, reference, table, config } = input;
    this.basis = reference && compareBasis(table.basis, basisOfReference(reference, spec?.test.stroke));
    this.judged = judgePoints(input, this.basis);
    this.missing = missingPoints(input);
    this.overrides = { spec: spec?.rules, config: config.rules };
  }

  get unit(): string {
    const { table, file } = this.input;
    return unitLabel({ serial: table.result?.serial ?? '', build: table.result?.build ?? '', file });
  }

  get adjusters(): AdjustersReview {
    return (this.#adjusters ??= reviewAdjusters(this.input));
  }

  get notCompared(): readonly string[] {
    return (this.#notCompared ??= notComparedTexts(this.input, this.basis));
  }

  get gas(): GasOfTest | undefined {
    return (this.#gas ??= { of: gasOfTest(this.input) }).of;
  }

  get change(): ChangeSinceBuild | undefined {
    return (this.#change ??= { of: changeSinceBuild(this.input) }).of;
  }

  get shape(): SettingShape | undefined {
    return (this.#shape ??= { of: shapeOfResult(this.judged, this.judged.worstSetting, this.input.spec) }).of;
  }
}

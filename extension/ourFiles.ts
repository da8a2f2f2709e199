/** Files that hold curves and can be previewed and compared. */
const CURVES = /\.(?:result|refcurve)\.csv$|\.testlog\.(?:csv|tsv)(?:\.gz)?$/i;
const OURS = /\.(?:damper|corner)\.ya?ml$|(?:^|\/)damper-review\.yaml$|\.dutylog\.csv$/i;
const LOG = /\.testlog\.(?:csv|tsv)(?:\.gz)?$/i;

export function holdsCurves(path: string): boolean {
  return CURVES.test(path);
}

export function isOurs(path: string): boolean {
  return CURVES.test(path) || OURS.test(path);
}

export function isTestLog(path: string): boolean {
  return LOG.test(path);
}

/** Texts that the server is told of while they are typed. Logs are not among them: the server reads those itself, and they may be large. */
export const SYNCHRONISED =
  '**/{*.result.csv,*.refcurve.csv,*.damper.yaml,*.damper.yml,*.corner.yaml,*.corner.yml,damper-review.yaml,*.csv-metadata.json,*.tsv-metadata.json,*.csv.gz-metadata.json}';

/** Files whose change on disk matters. Logs of foreign benches go by any CSV name, as damper-review.yaml maps them. */
export const WATCHED =
  '**/{*.csv,*.tsv,*.csv.gz,*.tsv.gz,*.damper.yaml,*.damper.yml,*.corner.yaml,*.corner.yml,damper-review.yaml,*-metadata.json}';

/** The one file that marks a repository, at the root of a folder. */
export const MARKER = 'damper-review.yaml';

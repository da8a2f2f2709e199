import { MOST_TEXT_BYTES } from '../files/decodeText';
import { emptyReviewConfig, readReviewConfig, REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import { mappingsOf, recogniseFile, type FileKind } from '../files/recognise';

/** A larger one is refused. */
export const MOST_CONFIG_BYTES = MOST_TEXT_BYTES;
export const CONFIG_PATH = REVIEW_CONFIG_PATH;

/** What files are by some damper-review.yaml, before any run of a session. */
export interface FileKinds {
  readonly kindOf: (path: string) => FileKind | undefined;
  /** Whether a log is read by a mapping of it. */
  readonly isMapped: (path: string) => boolean;
}

/** @param bytes undefined where there is none that can be read */
export function kindsByConfig(bytes: Uint8Array | undefined): FileKinds {
  const config = bytes === undefined ? emptyReviewConfig() : readReviewConfig(REVIEW_CONFIG_PATH, bytes).config;
  return {
    kindOf: (path) => recogniseFile(path, config),
    isMapped: (path) => mappingsOf(path, config).length > 0,
  };
}

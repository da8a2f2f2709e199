import { MOST_TEXT_BYTES } from '../files/decodeText';
import { emptyReviewConfig, readReviewConfig, REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import { recogniseFile, type FileKind } from '../files/recognise';

/** A larger one is refused. */
export const MOST_CONFIG_BYTES = MOST_TEXT_BYTES;
export const CONFIG_PATH = REVIEW_CONFIG_PATH;

/** What each path is by some damper-review.yaml, before any run of a session. @param bytes undefined where there is none that can be read */
export function kindsByConfig(bytes: Uint8Array | undefined): (path: string) => FileKind | undefined {
  const config = bytes === undefined ? emptyReviewConfig() : readReviewConfig(REVIEW_CONFIG_PATH, bytes).config;
  return (path) => recogniseFile(path, config);
}

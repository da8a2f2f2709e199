/**
 * Version of the analysis. Raise it whenever the numbers of a result can change for the same log: results of an older
 * method are then reported as stale instead of altered.
 */
export const METHOD_VERSION = 1;

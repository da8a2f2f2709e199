/** Below the 65,536 characters of a comment on GitHub, with room for what a workflow adds. */
export const MOST_CHARACTERS = 60_000;
/** Rows of one table, and items of one list. */
export const MOST_ROWS = 60;

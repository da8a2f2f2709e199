/** The lines of an open document or of a stored file, without their ends. */
export type Lines = readonly string[];

export function linesOf(text: string): Lines {
  return text.split(/\r\n|\n|\r/);
}

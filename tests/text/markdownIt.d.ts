/** The little of markdown-it that the tests use; it comes with the packaging tool and ships no types. */
declare module 'markdown-it' {
  class MarkdownIt {
    constructor(options: { html: boolean; linkify: boolean });
    readonly linkify: { set(options: { fuzzyLink: boolean }): void };
    render(text: string): string;
  }
  export = MarkdownIt;
}

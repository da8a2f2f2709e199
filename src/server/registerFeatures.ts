import { ErrorCodes, ResponseError, type CodeAction, type WorkspaceEdit } from 'vscode-languageserver';
import type { PlacedSpec } from '../files/spec';
import { SessionFault } from '../session/sessionFault';
import { spellHidden } from '../text/visible';
import { codeLensesOf } from './features/codeLens';
import { completionsAt } from './features/completion';
import { definitionAt } from './features/definition';
import { documentSymbolsOf } from './features/documentSymbols';
import { hoverAt } from './features/hover';
import { inlayHintsOf } from './features/inlayHints';
import { quickFixesFor, type FixData } from './features/quickFixes';
import { reduceEdits } from './features/reduceAgain';
import { referencesAt } from './features/references';
import { renamedAt, renameEdit } from './features/rename';
import { fileText, type FileText } from './fileText';
import type { ServerParts } from './server';
import type { FileEdits } from '../protocol/requests';

/** Answers the editor's requests about a place in a file. */
export function registerFeatures({ connection, workspace, documents, settings }: ServerParts): void {
  /** The file once everything that changed so far is reviewed. */
  const settledFile = async (uri: string): Promise<FileText | undefined> => {
    const place = await workspace.placeOf(uri);
    if (place === undefined) return undefined;
    await place.repository.whenSettled();
    return fileText(place, documents);
  };
  /** The file as it is now beside the state that was told last: who points at a row does not wait until a large log is read. */
  const shownFile = async (uri: string): Promise<FileText | undefined> => {
    const place = await workspace.placeOf(uri);
    if (place === undefined) return undefined;
    if (!place.repository.wasReviewed) await place.repository.whenSettled();
    return fileText(place, documents);
  };
  const specsOf = (file: FileText): Promise<readonly PlacedSpec[]> => file.repository.session.specs();

  connection.onHover(async ({ textDocument, position }) => {
    const file = await shownFile(textDocument.uri);
    return file === undefined ? null : hoverAt(file, position.line, position.character);
  });
  connection.languages.inlayHint.on(async ({ textDocument, range }) => {
    const [file, { inlayHints }] = [await shownFile(textDocument.uri), await settings.of(textDocument.uri)];
    return file === undefined ? [] : inlayHintsOf(file, range, inlayHints);
  });
  connection.onCodeLens(async ({ textDocument }) => {
    const [file, { codeLens }] = [await shownFile(textDocument.uri), await settings.of(textDocument.uri)];
    return file === undefined || !codeLens ? [] : codeLensesOf(file);
  });
  connection.onCompletion(async ({ textDocument, position }) => {
    const place = await workspace.placeOf(textDocument.uri);
    const file = place === undefined ? undefined : await fileText(place, documents);
    if (file?.kind === undefined) return [];
    const [specs, references] = [await specsOf(file), await file.repository.session.filesOf('reference')];
    return completionsAt(file, position.line, position.character, { specs, references });
  });
  connection.onDefinition(async ({ textDocument, position }) => {
    const file = await settledFile(textDocument.uri);
    return file === undefined ? [] : definitionAt(file, position.line, position.character, await specsOf(file));
  });
  connection.onReferences(async ({ textDocument, position }) => {
    const file = await settledFile(textDocument.uri);
    return file === undefined ? [] : referencesAt(file, position.line, position.character, await specsOf(file));
  });
  connection.onDocumentSymbol(async ({ textDocument }) => {
    const file = await settledFile(textDocument.uri);
    return file === undefined ? [] : documentSymbolsOf(file);
  });
  connection.onPrepareRename(async ({ textDocument, position }) => {
    const file = await settledFile(textDocument.uri);
    const found = file && renamedAt(file, position.line, position.character, await specsOf(file));
    return found === undefined ? null : { range: found.range, placeholder: found.id };
  });
  connection.onRenameRequest(async ({ textDocument, position, newName }) => {
    const file = await settledFile(textDocument.uri);
    const specs = file === undefined ? [] : await specsOf(file);
    const found = file && renamedAt(file, position.line, position.character, specs);
    if (file === undefined || found === undefined) return null;
    return inWords(renameEdit(file, found.spec, newName, specs, documents));
  });
  connection.onCodeAction(async ({ textDocument, context }) => {
    const place = await workspace.placeOf(textDocument.uri);
    const file = place === undefined ? undefined : await fileText(place, documents);
    return file === undefined ? [] : quickFixesFor(file, context.diagnostics);
  });
  connection.onCodeActionResolve(async (action): Promise<CodeAction> => {
    const data = action.data as FixData | undefined;
    const place = data === undefined ? undefined : await workspace.placeOf(data.uri);
    if (place === undefined) return action;
    const edits = await inWords(reduceEdits(place));
    return edits instanceof ResponseError
      ? Promise.reject(edits)
      : { ...action, edit: workspaceEdit(edits, documents) };
  });
}

/** Whole texts as an edit that undo takes back. */
function workspaceEdit({ files }: FileEdits, documents: ServerParts['documents']): WorkspaceEdit {
  return {
    documentChanges: files.flatMap(({ uri, text, isNew }) => {
      const document = documents.at(uri);
      const textDocument = { uri: document?.uri ?? uri, version: document?.version ?? null };
      const whole = { start: { line: 0, character: 0 }, end: { line: 1e6, character: 0 } };
      return [
        ...(isNew ? [{ kind: 'create' as const, uri, options: { ignoreIfExists: true } }] : []),
        { textDocument, edits: [{ range: whole, newText: text }] },
      ];
    }),
  };
}

/** Faults of the user's doing come as an answer that the editor shows. */
async function inWords<Result>(work: Promise<Result>): Promise<Result | ResponseError> {
  try {
    return await work;
  } catch (error) {
    if (!(error instanceof SessionFault)) throw error;
    return new ResponseError(ErrorCodes.InvalidParams, spellHidden(`${error.message} ${error.remedy}`));
  }
}

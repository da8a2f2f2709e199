import { DEFAULT_SETTINGS, type ServerOptions, type ServerSettings } from '../protocol/requests';

/** Settings as far as they are what they should be; the rest keeps its default. */
export function readSettings(value: unknown): ServerSettings {
  const given = isRecord(value) ? value : {};
  const hints = given['inlayHints'];
  const lenses = given['codeLens'];
  return {
    inlayHints: hints === 'off' || hints === 'outside' || hints === 'all' ? hints : DEFAULT_SETTINGS.inlayHints,
    codeLens: typeof lenses === 'boolean' ? lenses : DEFAULT_SETTINGS.codeLens,
  };
}

/** Initialization options; without any the workspace counts as not trusted. */
export function readOptions(value: unknown): ServerOptions {
  const given = isRecord(value) ? value : {};
  const text = (key: string): string | undefined => {
    const found = given[key];
    return typeof found === 'string' && found !== '' ? found : undefined;
  };
  const rulePages = text('rulePages')?.replace(/\/+$/, '');
  const cacheFolder = text('cacheFolder');
  const gitPath = text('gitPath');
  return {
    trusted: given['trusted'] === true,
    ...(rulePages !== undefined && { rulePages }),
    ...(cacheFolder !== undefined && { cacheFolder }),
    ...(gitPath !== undefined && { gitPath }),
  };
}

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

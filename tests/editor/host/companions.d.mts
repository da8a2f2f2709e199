export function packCompanion(
  name: 'memory-files' | 'idle',
  folder: string,
  more?: Readonly<Record<string, string>>,
): string;

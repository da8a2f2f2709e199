import type { PlacedSpec, Setting, Spec } from './spec';
import { withoutPrototype } from './withoutPrototype';

/* What a spec says as a text, so that a later process need not read the file again. */

/** A spec by what it says alone. */
export function withoutPlaces(placed: PlacedSpec): Spec {
  const spec: Spec & { positionOf?: unknown } = { ...placed };
  delete spec.positionOf;
  return spec;
}

/** @returns equal texts for specs that say the same; empty for none */
export function textOfSpec(spec: Spec | undefined): string {
  return spec === undefined ? '' : JSON.stringify(spec);
}

/** The spec that a text of `textOfSpec` stands for. */
export function specOfText(text: string): Spec | undefined {
  if (text === '') return undefined;
  const spec = JSON.parse(text) as Spec;
  const settings = Object.entries(spec.settings).map(([name, setting]): [string, Setting] => [
    name,
    withoutPrototype(Object.entries(setting)),
  ]);
  return { ...spec, settings: withoutPrototype(settings), rules: withoutPrototype(Object.entries(spec.rules)) };
}

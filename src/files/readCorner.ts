import type { Corner } from './corner';
import type { FileProblem } from './problem';
import { cornerSchema } from './schema/cornerSchema';
import { withoutUndefined } from './withoutUndefined';
import { keyPositions, readYamlFile } from './yamlFile';

/** Reads a `.corner.yaml`; the corner only where nothing is wrong with it. */
export function readCorner(file: string, bytes: Uint8Array): { corner?: Corner; problems: FileProblem[] } {
  const { value, tree, problems } = readYamlFile(file, bytes, cornerSchema, 'file-invalid');
  if (value === undefined) return { problems };
  const { id, title, spec, sprungMass, unsprungMass, springRate, motionRatio, springMotionRatio, tyreRate } = value;
  const { bumpTravel, reboundTravel } = value;
  const corner = {
    file,
    id,
    title,
    spec,
    sprungMass,
    unsprungMass,
    springRate,
    motionRatio,
    springMotionRatio,
    tyreRate,
  };
  const travels = { bumpTravel, reboundTravel };
  return { corner: withoutUndefined({ ...corner, ...travels, positionOf: keyPositions(tree) }), problems };
}

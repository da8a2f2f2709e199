export type { SampleChunk } from './motion/sampleChunk';
